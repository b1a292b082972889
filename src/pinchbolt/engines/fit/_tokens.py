"""A question cut into tokens: one form a word, figures with what they count, sizes and ranges whole, slips of the pen mended."""

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import lru_cache

from pinchbolt.engines.fit._spoken import SAME, SMALL

MM_PER_INCH = 25.4
MOST_TOKENS = 24
# Words that stand between two parts: what is said of the one ends there.
_BETWEEN = frozenset("on in into onto with to for against and over under".split())
_NUMBERS = {
    "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9",
    "ten": "10", "eleven": "11", "twelve": "12", "thirteen": "13", "single": "1", "double": "2", "triple": "3",
}  # fmt: skip
_COUNTED = "speed|spd|sp|bolt|arm|piece|ring|groove|lug|hole|spline"
_NUMBER_WORD = re.compile(rf"\b({'|'.join(_NUMBERS)})[\s-]+(?={_COUNTED})")
# International standard tabs are written IS, and "is" is a small word: capitals, or what follows, tell them apart.
_IS_TABS = re.compile(
    r"\bIS\b|\b[iI]s(?=[ -](?:tab|mount|standard|caliper|adapt))|\binternational standard\b", re.ASCII
)
_UNIT = r"mm|cm|teeth|tooth|t|speed|speeds|spd|sp|s|inch(?:es)?|\"|''|bolts?|arms?|piece|bcd|gauge|g|er|c|b|a"
# A part that is braze-on or screw-on: this "on" joins no two parts.
_ON = re.compile(r"\b(braze|screw|bolt|clamp)[ -]on\b")
_TOKEN = re.compile(
    rf"""(?P<tyre>\d{{2,3}}-\d{{3}}(?!\d))
    | (?P<cross>\d+(?:\.\d+)?)\s*x\s*(?P<by>\d+(?:\.\d+)?)(?:[\s-]+(?P<part>\d+/(?:2|4|8|16|32)))?(?P<letter>mm|[abc])?(?![\w])
    | (?P<mixed>\d+)[\s-]+(?P<over>\d+/(?:2|4|8|16|32))(?!\d)
    | (?P<rings>\d{{2}})\s?/\s?(?P<ring>\d{{2}})(?!\d)
    | (?P<fraction>\d+/\d+)
    | (?P<times>[123])x(?![\w])
    | (?P<low>\d{{1,2}})\s?-\s?(?P<high>\d{{1,2}})\s?(?:t\b|teeth)?(?![\w.])
    | (?P<figure>\d+(?:[.,]\d+)?)(?:[\s-]?(?P<unit>{_UNIT})(?![\w]))?
    | (?P<word>[^\W\d_]+(?:\d+\w*)?)
    | (?P<stop>[,;:?!])""",
    re.VERBOSE,
)
_UNITS = {
    "teeth": "t", "tooth": "t", "speeds": "speed", "spd": "speed", "sp": "speed", "s": "speed", "inch": "in", "inches": "in", '"': "in",
    "''": "in", "bolts": "bolt", "arms": "arm", "g": "gauge", "er": "in",
}  # fmt: skip
_DECIMAL_SIZE = re.compile(r"(?:1[0-9]|2[0-9])x[1-5](?:\.\d+)?")
# What is counted makes the figure a word of its own; lengths stay figures.
ITS_OWN = frozenset({"speed", "bolt", "arm", "gauge", "piece"})


@dataclass(frozen=True, slots=True)
class SaidWord:
    """One thing said: its text, the figure that it is (None: a word), what it counts, the ends of a range, and whether a
    joining word stood before it. `beside`: it came along with a size, and need not be explained.
    """

    text: str
    figure: float | None = None
    unit: str = ""
    ends: tuple[float, float] | None = None
    opens: bool = False
    beside: bool = False


def in_mm(token: SaidWord) -> float | None:
    """The figure of a token in millimetres, where inches were said: 1-1/8 is 28.6 as parts are marked."""
    return (
        round(token.figure * MM_PER_INCH, 1)
        if token.figure is not None and token.unit == "in"
        else token.figure
    )


def tokens_of(text: str, vocabulary: Collection[str] = ()) -> tuple[SaidWord, ...]:
    """What was said, at most `MOST_TOKENS`; words that the vocabulary lacks are read as its nearest, if there is one."""
    found: list[SaidWord] = []
    opens = False
    for token in _raw(text):
        if token.text in _BETWEEN or token.text == ",":
            opens = True
        elif token.text not in SMALL:
            found.append(replace(token, opens=opens))
            opens = False
    return tuple(_mended(_codes(found, vocabulary), vocabulary)[:MOST_TOKENS])


@lru_cache(maxsize=16384)
def texts_of(text: str) -> tuple[str, ...]:
    """The texts of a phrase of the tables, cut as a question is; joining words and small ones left out."""
    return tuple(token.text for token in tokens_of(text))


def _raw(text: str) -> Iterator[SaidWord]:
    text = (
        re.sub("[\u2010-\u2015\u2212]", "-", text)
        .replace("\u00d7", "x")
        .replace("\u2033", '"')
        .replace("\u00bd", " 1/2")
    )
    if text != text.upper():
        text = _IS_TABS.sub(" istabs ", text)
    text = _NUMBER_WORD.sub(lambda found: _NUMBERS[found[1]] + " ", text.lower()).replace("'s", "")
    text = _ON.sub(r"\1on", text)
    for found in _TOKEN.finditer(text.replace("half inch", "1/2")):
        yield from _token(found)


def _token(found: "re.Match[str]") -> Iterator[SaidWord]:
    kind = found.lastgroup if found.lastgroup not in ("unit", "letter", "part") else ""
    if found["tyre"]:
        width, seat = found["tyre"].split("-")
        yield SaidWord(f"{float(width):g}", float(width), "c", beside=True)
        yield SaidWord(seat, float(seat), "seat")
    elif found["cross"]:
        yield from _crossed(found)
    elif found["mixed"]:
        text = f"{found['mixed']}-{found['over']}"
        yield SaidWord(text, float(found["mixed"]) + _share(found["over"]), "in")
    elif found["rings"]:
        low, high = sorted((float(found["rings"]), float(found["ring"])))
        yield SaidWord("range", None, "rings", (low, high))
    elif found["fraction"]:
        yield SaidWord(found["fraction"])
    elif found["times"]:
        yield SaidWord(f"{found['times']}x")
    elif found["low"]:
        low, high = sorted((float(found["low"]), float(found["high"])))
        yield SaidWord("range", None, "", (low, high))
    elif found["figure"]:
        yield _figure(found["figure"].replace(",", "."), found["unit"] or "")
    elif found["word"]:
        yield from _words(found["word"])
    elif kind == "stop":
        yield SaidWord(",")


def _crossed(found: "re.Match[str]") -> Iterator[SaidWord]:
    first, second = float(found["cross"]), float(found["by"])
    if first >= 500:
        # 700 x 28c: a seat by its name, and the width of a tyre.
        yield SaidWord(f"{first:g}{found['letter'] if found['letter'] in ('a', 'b', 'c') else 'c'}")
        yield SaidWord(f"{second:g}", second, "c", beside=True)
    elif found["part"]:
        yield SaidWord(f"{first:g}x{second:g}-{found['part']}")
    else:
        yield SaidWord(f"{first:g}x{second:g}")


def _figure(digits: str, unit: str) -> SaidWord:
    value, unit = float(digits), _UNITS.get(unit, unit)
    if unit == "cm":
        value, unit = value * 10, "mm"
    if unit in ITS_OWN:
        return SaidWord(f"{value:g}{unit}", value, unit)
    if unit in ("a", "b") or (unit == "c" and value >= 200):
        return SaidWord(f"{value:g}{unit}")
    return SaidWord(f"{value:g}", value, unit)


def _words(word: str) -> Iterator[SaidWord]:
    if not word.isalpha():
        yield SaidWord(word)
        return
    if len(word) > 3 and word[-1] == "s" and word[-2] not in "sui":
        word = word[:-1]
    yield from (SaidWord(one) for one in SAME.get(word, word).split())


def _share(fraction: str) -> float:
    over, under = fraction.split("/")
    return int(over) / int(under)


def _codes(said: list[SaidWord], vocabulary: Collection[str]) -> list[SaidWord]:
    """Codes that were written apart are put together: pf 30 is pf30, zs 44 is zs44."""
    found: list[SaidWord] = []
    for token in said:
        last = found[-1] if found else None
        if (
            last is not None
            and last.figure is None
            and token.figure is not None
            and not token.opens
            and last.text.isalpha()
            and f"{last.text}{token.text}" in vocabulary
        ):
            found[-1] = replace(last, text=f"{last.text}{token.text}")
        else:
            found.append(token)
    return found


def _mended(said: list[SaidWord], vocabulary: Collection[str]) -> list[SaidWord]:
    """Slips of the pen: a word that nobody knows is the word next to it, where there is one. So is a size: 26 x 2.1 is as
    26 x 1.75, since decimals stand for one seat."""
    return [
        replace(token, text=_nearest(token.text, vocabulary))
        if vocabulary and len(token.text) > 4 and token.text not in vocabulary
        else token
        for token in said
    ]


def _nearest(word: str, vocabulary: Collection[str]) -> str:
    if _DECIMAL_SIZE.fullmatch(word):
        first = word.split("x", maxsplit=1)[0]
        return next(
            (
                one
                for one in sorted(vocabulary)
                if _DECIMAL_SIZE.fullmatch(one) and one.split("x")[0] == first
            ),
            word,
        )
    if not word.isalpha():
        return word
    near = [
        one for one in vocabulary if one.isalpha() and abs(len(one) - len(word)) < 3 and one[0] == word[0]
    ]
    return next(iter(get_close_matches(word, near, 1, 0.82)), word)
