"""Taking a person out of words: their name, phones and e-mails, wherever somebody typed them."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pinchbolt.values.plain_words import figures

GONE = "[erased]"
_LEAST = 3
_LEAST_FIGURES = 6


@dataclass(frozen=True, slots=True)
class Mask:
    """What is looked for in words: `sure` is the person's alone (whole name, phone, e-mail), `likely` a single word of a name."""

    sure: re.Pattern[str] | None
    likely: re.Pattern[str] | None

    def over(self, value: object, *, likely: bool) -> object:
        """Return a JSON value with the person taken out of every text in it."""
        if isinstance(value, str):
            said = self.sure.sub(GONE, value) if self.sure else value
            return self.likely.sub(GONE, said) if likely and self.likely else said
        if isinstance(value, list):
            return [self.over(one, likely=likely) for one in value]
        if isinstance(value, dict):
            return {name: self.over(one, likely=likely) for name, one in value.items()}
        return value

    def hits(self, value: object) -> Iterator[str]:
        """Texts in which a single word of the name stands, so that somebody looks before it goes."""
        for text in texts_in(value):
            if self.likely and self.likely.search(self.sure.sub(GONE, text) if self.sure else text):
                yield text


def texts_in(value: object) -> Iterator[str]:
    """Every text in a JSON value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, list):
        for one in value:
            yield from texts_in(one)
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts_in(one)


def mask_of(names: Iterable[str], ways: Iterable[str]) -> Mask:
    """Return what takes a person out of words.

    Args:
        names: Every name the person was written down by. [-]
        ways: Phones and e-mails; a number is met however its figures are set apart. [-]
    """
    whole: set[str] = set()
    single: set[str] = set()
    for name in names:
        words = name.split()
        if words:
            (whole if len(words) > 1 else single).add(r"\s+".join(map(re.escape, words)))
        single.update(re.escape(word) for word in words if len(word) >= _LEAST)
    for way in ways:
        told = figures(way)
        if "@" in way:
            whole.add(re.escape(way))
        elif len(told) >= _LEAST_FIGURES:
            whole.add(r"\+?" + r"[\s().\-/]{0,3}".join(told))
            home = told[-9:] if len(told) > 9 else told.lstrip("0")
            whole.add(r"(?:\+?\d[\d\s()\-/]{0,6})?" + r"[\s().\-/]{0,3}".join(home))
    return Mask(_any_of(whole, re.IGNORECASE), _any_of(single, re.IGNORECASE))


def _any_of(pieces: Iterable[str], flags: int) -> re.Pattern[str] | None:
    longest_first = sorted(pieces, key=lambda one: (-len(one), one))
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)", flags) if longest_first else None
