"""Passphrases: what a good one is, and one that is made by chance."""

import re
import secrets
from functools import cache

from django.contrib.auth.password_validation import CommonPasswordValidator

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

LEAST, MOST = 12, 200
_FEWEST_LETTERS = 5
# Runs along a keyboard or an alphabet, as fingers run when nothing comes to mind.
_RUNS = ("qwertyuiopasdfghjklzxcvbnm", "abcdefghijklmnopqrstuvwxyz", "01234567890123456789")
_PLAIN_WORDS = ("bicycle", "bike", "cycle", "workshop", "passphrase", "password", "pinchbolt")
_CONSONANTS, _VOWELS = "bdfgklmnprstvz", "aeiou"


def good_passphrase(passphrase: str, about: tuple[str, ...] = (), field: str = "passphrase") -> str:
    """Return the passphrase, if it is hard to guess.

    Args:
        passphrase: As it was typed; blanks inside count.
        about: What a stranger knows: names of the workshop, its town, the person.
        field: The field that the sentence stands at.

    Raises:
        InputRefused: Too short or too long, on the list of common ones, a run of keys, or little besides what a stranger knows.

    Source: NIST SP 800-63B, 3.1.1.2: length counts, common and expected ones are refused, no rule about signs or figures.
    """
    fault = _fault(passphrase, about)
    if fault:
        raise InputRefused(fault, {field: fault})
    return passphrase


def _fault(passphrase: str, about: tuple[str, ...]) -> str:
    if len(passphrase) < LEAST:
        return worded(
            "The passphrase has {passphrase} characters: {least} to {most} are allowed. Three or "
            "four words do well.",
            passphrase=len(passphrase),
            least=LEAST,
            most=MOST,
        )
    if len(passphrase) > MOST:
        return worded(
            "The passphrase has {passphrase} characters: {least} to {most} are allowed. Shorten it.",
            passphrase=len(passphrase),
            least=LEAST,
            most=MOST,
        )
    bare = re.sub(r"[\W_]+", "", passphrase.casefold())
    if passphrase.casefold() in _common() or bare in _common():
        return worded(
            "The passphrase is too common: it stands on lists that thieves try first. Add two words."
        )
    if len(set(bare)) < _FEWEST_LETTERS or any(bare in run * 2 or bare in run[::-1] * 2 for run in _RUNS):
        return worded(
            "The passphrase is easy to guess: a few letters or keys in a row. Use three or four words."
        )
    known = {word for name in (*about, *_PLAIN_WORDS) for word in re.findall(r"\w{3,}", name.casefold())}
    rest = bare
    for word in sorted(known, key=len, reverse=True):
        rest = rest.replace(word, "")
    if len(rest) < LEAST // 2:
        return worded(
            "The passphrase is easy to guess: little but names that everybody knows here. Add two more words."
        )
    return ""


@cache
def _common() -> frozenset[str]:
    """The list of 20,000 common passwords that Django ships."""
    return frozenset(CommonPasswordValidator().passwords)


def made_passphrase() -> str:
    """Return four made words of two syllables: 49 bits by chance, and they can be spoken."""
    return " ".join("".join(_syllable() for _ in range(2)) for _ in range(4))


def made_pin() -> str:
    """Return four figures by chance."""
    return f"{secrets.randbelow(10_000):04d}"


def _syllable() -> str:
    return secrets.choice(_CONSONANTS) + secrets.choice(_VOWELS)
