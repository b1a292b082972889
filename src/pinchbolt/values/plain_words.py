"""Words as they are looked for: accents, capitals, blanks and signs do not matter, and phone numbers are told by their figures."""

import re
import unicodedata

# Letters that carry no mark to take off, as they are typed where a keyboard lacks them (common practice, no source).
_PLAIN_LETTERS = str.maketrans({
    "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ħ": "h", "ŋ": "n",
    "'": None, "’": None, "ʼ": None, "`": None, "´": None,
})  # fmt: skip
_BREAK = re.compile(r"[^\w]+|_+")
_SAME_FIGURES = 9
"""So many last figures make two phone numbers the same, whatever stands before them: 0 or the country's prefix."""


def plain(text: str) -> str:
    """Return *text* in small letters without accents, its words with one blank between them."""
    apart = unicodedata.normalize("NFKD", text.casefold().translate(_PLAIN_LETTERS))
    bare = "".join(one for one in apart if not unicodedata.combining(one)).translate(_PLAIN_LETTERS)
    return " ".join(_BREAK.sub(" ", unicodedata.normalize("NFC", bare)).split())


def figures(text: str) -> str:
    """Return the figures of a phone number as they are dialled at home: a bracketed 0 is left out."""
    return "".join(one for one in text.replace("(0)", "") if one.isascii() and one.isdigit())


def same_phone(one: str, other: str) -> bool:
    """Whether two phone numbers are one: by their last nine figures, short ones by all of them."""
    first, second = figures(one), figures(other)
    if not first or not second:
        return False
    if min(len(first), len(second)) < _SAME_FIGURES:
        return first == second
    return first[-_SAME_FIGURES:] == second[-_SAME_FIGURES:]


def phone_end(text: str) -> str:
    """Return the figures by which a phone number is told."""
    return figures(text)[-_SAME_FIGURES:]


def looked_for(text: str) -> tuple[str, ...]:
    """Return what must stand in the words of something for *text* to find it: a phone number whole, else word by word."""
    told = figures(text)
    if told and not any(one.isalpha() for one in text):
        return ((told[-_SAME_FIGURES:] if len(told) > _SAME_FIGURES else told).lstrip("0") or told,)
    return tuple(dict.fromkeys(plain(text).split()))


def run_together(text: str) -> str:
    """Return *text* as `plain` does, without blanks: so that PB 014 and pb-014 are one."""
    return plain(text).replace(" ", "")
