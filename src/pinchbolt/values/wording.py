"""Every sentence for people, in the one language that this process speaks: English, or what a translation says in its place.

A sentence stands in the source in English, inside `worded(...)`; that text is its name in the translation (a gettext .po file, which
`python -m desk.words` draws). The language is chosen once, when the process starts (`pinchbolt/language.py`); else it is English.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

# What a translation must keep: gaps for values, and marks of emphasis and links. The end of an English plural is its own: {s}.
_KEPT = re.compile(r"\{[^{}]*\}|<[^<>]*>")
_PLURAL = re.compile(r"\{s\d*\}")
_SAID = re.compile(r'"(.*)"')
_ESCAPED = re.compile(r"\\(.)")
_INSTEAD: dict[str, str] = {}
_CODES: dict[str, str] = {}


class LanguageRefused(SystemExit):
    """A translation that can't be used. Nothing is said in half a language: the program ends before it begins, with this sentence."""


@dataclass(frozen=True, slots=True)
class Translated:
    """One message: the English text, what is said instead ("" = not translated yet), the line of the file, whether it is a code.

    A code is a word that is kept in the records and that a page shows as it is, such as agreed.
    """

    english: str
    instead: str
    line: int
    is_code: bool = False


def worded(text: str, /, **values: object) -> str:
    """Return a sentence in the language of this process, its gaps filled.

    Args:
        text: The English sentence, with gaps such as {name}; where no value is given nothing is a gap. [-]
        values: What stands in the gaps. [-]

    Returns:
        Words for people. [-]

    Example:
        >>> worded("{tag} is on stand {stand}.", tag="PB-001", stand=2)
        'PB-001 is on stand 2.'
    """
    said = _INSTEAD.get(text, text)
    return said.format(**values) if values else said


def as_kept(words: str, /) -> str:
    """Return words that the records keep or a form sends, as they stand: what is compared is the same in every language.

    A page says them in its language, a sentence by `coded`.

    Example:
        >>> as_kept("taken back")
        'taken back'
    """
    return words


def coded(code: str) -> str:
    """Return a word of the records, such as agreed, as it is shown; in English as it is kept.

    Example:
        >>> coded("agreed")
        'agreed'
    """
    return _CODES.get(code, code)


def speaks_english() -> bool:
    """Return whether this process says every sentence as it stands in the source."""
    return not (_INSTEAD or _CODES)


def read_translation(text: str) -> Iterator[Translated]:
    """Read a .po file: each message that is not marked fuzzy; of contexts one is known, "code", and plurals are not used.

    Source: GNU gettext manual, "The Format of PO Files".
    """
    parts: dict[str, str] = {}
    at, fuzzy, began = "", False, 0
    for number, line in enumerate([*text.splitlines(), ""], start=1):
        told = line.strip()
        if told.startswith(("msgid ", "msgstr ", "msgctxt ")):
            at = told.split(" ", 1)[0]
            began = number if at == "msgid" else began
        elif not told.startswith('"'):
            if "msgstr" in parts and parts.get("msgid") and not fuzzy:
                yield Translated(parts["msgid"], parts["msgstr"], began, parts.get("msgctxt") == "code")
            if "msgstr" in parts:
                parts, fuzzy = {}, False
            fuzzy = fuzzy or (told.startswith("#,") and "fuzzy" in told)
            continue
        if found := _SAID.search(told):
            parts[at] = parts.get(at, "") + _ESCAPED.sub(_unescaped, found.group(1))


def _unescaped(found: re.Match[str]) -> str:
    return {"n": "\n", "t": "\t"}.get(found.group(1), found.group(1))


def gaps_of(text: str) -> tuple[frozenset[str], tuple[str, ...]]:
    """Return what a translation of a text must keep: its gaps, in any order and as often as it likes; its tags, each once."""
    kept = _KEPT.findall(text)
    gaps = frozenset(one for one in kept if one[0] == "{" and not _PLURAL.fullmatch(one))
    return gaps, tuple(sorted(one for one in kept if one[0] == "<"))


def instead_of(messages: Iterable[Translated], file: str) -> dict[str, str]:
    """Return what is said in the place of each English text that is translated, with the blanks at its ends.

    Raises:
        LanguageRefused: A translation has other gaps or tags than its English text; the sentence names both.
    """
    found: dict[str, str] = {}
    for one in messages:
        if one.instead:
            if gaps_of(one.instead) != gaps_of(one.english):
                raise LanguageRefused(
                    f'{file}, line {one.line}: "{one.instead}" has other gaps or tags than "{one.english}". Put them right.'
                )
            bare = one.english.strip()
            before, _, after = one.english.partition(bare)
            found[one.english] = before + one.instead.strip() + after
    return found


def speak(messages: Iterable[Translated], file: str) -> None:
    """Say every sentence from now on as a translation has it; told once, before anything is said.

    Raises:
        LanguageRefused: The translation can't be used.
    """
    read = list(messages)
    _INSTEAD.update(instead_of((one for one in read if not one.is_code), file))
    _CODES.update(instead_of((one for one in read if one.is_code), file))
