"""Words as people say them, cut into pieces that can be compared: one form a word, numbers apart, small words left out."""

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

# What the trade says in more than one word, and spellings; the right side is what the tables say.
SAME: Mapping[str, str] = {
    "tire": "tyre", "disk": "disc", "seatpost": "seat post", "seatposts": "seat post", "bb": "bottom bracket", "mech": "derailleur",
    "cog": "sprocket", "block": "freewheel", "chainring": "ring", "handlebar": "bar", "crankset": "crank", "chainset": "crank",
    "through": "thru",
    "qr": "quick release", "skewer": "quick release", "boost": "wide flange boost", "nutted": "nut", "bolted": "nut", "freehub": "body",
    "driver": "body", "hydro": "hydraulic", "calliper": "caliper", "kid": "child", "children": "child", "centerlock": "centre lock",
    "centrelock": "centre lock", "center": "centre", "sixbolt": "six bolt", "backpedal": "coaster", "sclaverand": "presta", "woods": "dunlop",
    "vbrake": "v brake", "aluminum": "aluminium", "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "seven": "7", "eight": "8",
    "nine": "9", "ten": "10", "eleven": "11", "twelve": "12", "thirteen": "13", "spd": "speed", "sp": "speed", "click": "position",
    "inside": "inner", "wide": "width", "wheelset": "wheel", "big": "biggest", "largest": "biggest", "small": "smallest",
    "chainstay": "chain stay",
}  # fmt: skip
SMALL = frozenset(
    "a an the or whether that which will would does do did fit fits my is it its can could i put go goes what of at mm cm from "
    "be this there old new have has use used are was need needs want please me you your how".split()
)
_BETWEEN = frozenset("on in into onto with to for against and over under".split())
# A code said whole: pf30a is not pf30 and a letter.
_WHOLE = re.compile(r"(?<![\w.])[a-z]+\d+[a-z]?(?![\w.])")
_PIECE = re.compile(r"\d+/\d+|\d+(?:[.,]\d+)?|[^\W\d_]+")


@lru_cache(maxsize=8192)
def pieces_of(text: str) -> tuple[str, ...]:
    """The pieces of a text, joining words kept."""
    found: list[str] = []
    for word in text.lower().replace("'s", "").replace("s'", "s").split():
        for raw in _PIECE.findall(word):
            piece = raw.replace(",", ".")
            if len(piece) > 3 and piece[-1] == "s" and piece[-2] not in "sui":
                piece = piece[:-1]
            if piece[0].isdigit() and "/" not in piece:
                found.append(f"{float(piece):g}")
            else:
                found += SAME.get(piece, piece).split()
        found += _WHOLE.findall(word)
    return tuple(found)


def said_pieces(words: str) -> tuple[str, ...]:
    """The pieces of what was said, joining words and small ones left out."""
    return tuple(piece for piece in pieces_of(words) if piece not in _BETWEEN and piece not in SMALL)


def is_figure(piece: str) -> bool:
    """Whether a piece is a number."""
    return piece[0].isdigit() and "/" not in piece


def heard(pieces: Sequence[str], among: Mapping[str, float]) -> float:
    """How much of *among* (pieces with their weight) was said."""
    return sum(among.get(piece, 0.0) for piece in set(pieces))
