"""Taking a person out of words: their name, phones and e-mails, wherever somebody typed them."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from pinchbolt.values.plain_words import figures

GONE = "[erased]"
# Keys of a JSON value under which somebody typed or a sentence stands; under every other key stand codes, never a person.
FREE = frozenset({
    "words", "bike_words", "owner_words", "seen_words", "left_with", "note", "notes", "why", "reason", "reasons", "doubts", "said",
    "said_by", "taken_by", "text", "told", "what", "who", "name", "to_name", "owner_name", "called", "warnings", "found",
})  # fmt: skip
_LEAST = 3
_LEAST_FIGURES = 6


@dataclass(frozen=True, slots=True)
class Mask:
    """What is looked for in words: `sure` is the person's alone (whole name, phone, e-mail), `likely` a single word of a name.

    A single word is looked for only where words are typed: a bell is a part, and Tom Bell an owner. `codes` are words of the trade
    tables; a text that is one of them is no person.
    """

    sure: re.Pattern[str] | None
    likely: re.Pattern[str] | None
    codes: frozenset[str] = frozenset()

    def over(self, value: object, *, likely: bool, free: bool = True) -> object:
        """Return a JSON value with the person taken out of every text in it; `free`: words are typed where it stands."""
        if isinstance(value, str):
            if value in self.codes:
                return value
            said = self.sure.sub(GONE, value) if self.sure else value
            return self.likely.sub(GONE, said) if likely and free and self.likely else said
        if isinstance(value, list):
            return [self.over(one, likely=likely, free=free) for one in value]
        if isinstance(value, dict):
            return {
                name: self.over(one, likely=likely, free=_is_typed(name, value))
                for name, one in value.items()
            }
        return value

    def hits(self, value: object) -> Iterator[str]:
        """Texts in which a single word of the name stands, so that somebody looks before it goes."""
        for text in _typed_in(value):
            if text in self.codes or self.likely is None:
                continue
            if self.likely.search(self.sure.sub(GONE, text) if self.sure else text):
                yield text


def _typed_in(value: object, free: bool = True) -> Iterator[str]:
    """Every text in a JSON value that somebody typed."""
    if isinstance(value, str):
        if free:
            yield value
    elif isinstance(value, list):
        for one in value:
            yield from _typed_in(one, free)
    elif isinstance(value, dict):
        for name, one in value.items():
            yield from _typed_in(one, _is_typed(name, value))


def _is_typed(name: str, beside: Mapping[str, object]) -> bool:
    """Whether words are typed under a key; what has a price beside it is the name of a part."""
    return name in FREE and not (name == "name" and "each" in beside)


def mask_of(names: Iterable[str], ways: Iterable[str], codes: Iterable[str] = ()) -> Mask:
    """Return what takes a person out of words.

    Args:
        names: Every name the person was written down by. [-]
        ways: Phones and e-mails; a number is met however its figures are set apart. [-]
        codes: Ids of the trade tables. [-]
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
    return Mask(_any_of(whole, re.IGNORECASE), _any_of(single, re.IGNORECASE), frozenset(codes))


def _any_of(pieces: Iterable[str], flags: int) -> re.Pattern[str] | None:
    longest_first = sorted(pieces, key=lambda one: (-len(one), one))
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)", flags) if longest_first else None
