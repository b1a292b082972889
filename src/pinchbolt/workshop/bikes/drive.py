"""What the facts of a build say of its drive: chainrings, sprockets, and how far its wheel rolls."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from pinchbolt.engines.gearing import Gears, gears
from pinchbolt.engines.tyres import circumference, tyre_size
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values.wording import worded

# Facts that no fit rule looks at, but gears do: teeth one by one, "50 34" and "11 12 13 14 16 18 21 25 28 32 36".
RINGS, SPROCKETS = "rings", "sprockets"
# And the ratios of a hub gear, lowest first: "0.75 1 1.333".
HUB_RATIOS, INSIDE = "hub_ratios", "gears_inside"
TYRE = ("tyre_rear", "tyre", "tyre_front")
"""Facts that are a tyre's marking, the rear one first: it is the one that drives."""
_APART = re.compile(r"[\s,;/x-]+")


@dataclass(frozen=True, slots=True)
class Drive:
    """Chainrings, sprockets, rolling circumference, and what of them is not known. [teeth, m]"""

    rings: tuple[int, ...]
    sprockets: tuple[int, ...]
    circumference_m: float
    doubts: tuple[str, ...] = ()
    inside: tuple[float, ...] = ()

    def gears(self, crank_m: float | None = None, cadence_rpm: float | None = None) -> Gears:
        """The gears of this drive."""
        return gears(self.rings, self.sprockets, self.circumference_m, crank_m, cadence_rpm, self.inside)


def parse_teeth(words: str, field: str, name: str) -> tuple[int, ...]:
    """Return counts of teeth as typed: 50/34, 50,34 and 50 34 are one.

    Raises:
        InputRefused: Something in it is no count of teeth.
    """
    pieces = [piece for piece in _APART.split(words.strip()) if piece]
    if not pieces or not all(piece.isdigit() and len(piece) <= 3 for piece in pieces):
        sentence = worded(
            '{name} is "{words}": counts of teeth are needed, such as 50/34 or 11-13-15-18. Count again.',
            name=name,
            words=words[:40],
        )
        raise InputRefused(sentence, {field: sentence})
    return tuple(int(piece) for piece in pieces)


def parse_ratios(words: str, field: str) -> tuple[float, ...]:
    """Return the ratios of a hub gear as typed: 0.75/1/1.33, 0,75 1 1,33 and 75 % 100 % 133 % are one.

    Raises:
        InputRefused: Something in it is no ratio, or one stands twice.
    """
    pieces = re.split(r"[\s;/]+", words.strip().replace("%", " ").replace(",", "."))
    try:
        found = [float(piece) for piece in pieces if piece]
    except ValueError:
        found = []
    found = [one / 100 if min(found) >= 10 else one for one in found]
    if (
        not found
        or len(set(found)) != len(found)
        or not all(0.15 <= one <= 4 for one in found)
        or len(found) > 20
    ):
        sentence = worded(
            'The ratios of the hub gear are "{words}": each once, 0.15 to 4, such as '
            "0.75/1/1.33. Read them in the hub's sheet.",
            words=words[:40],
        )
        raise InputRefused(sentence, {field: sentence})
    return tuple(sorted(found))


def rolling_m(tyre: str, circumference_mm: float | None = None) -> float:
    """Return the rolling circumference by a measured figure, else by the tyre's marking. [m]

    Raises:
        InputRefused: The marking is none, or neither was given.
    """
    if circumference_mm is not None:
        return circumference_mm / 1000
    if not tyre:
        sentence = worded(
            "The tyre is missing: its marking, such as 28-622, or the circumference rolled out. Give one."
        )
        raise InputRefused(sentence, {"tyre": sentence})
    return circumference(tyre_size(tyre)).nominal


def drive_of(facts: Mapping[str, object]) -> Drive:
    """Return the drive of a build by its facts; where only the ends of the cassette are known, it says so.

    Raises:
        Unknown: Rings, sprockets or tyre are not on the build sheet.
    """
    doubts: list[str] = []
    rings = _wheels(facts, RINGS, ("ring_big", "ring_small"), doubts)
    sprockets = _wheels(facts, SPROCKETS, ("sprocket_big", "sprocket_small"), doubts)
    tyre = next((str(facts[name]) for name in TYRE if facts.get(name)), "")
    missing = [
        words
        for words, known in (
            (worded("the chainrings"), rings),
            (worded("the sprockets"), sprockets),
            (worded("the tyre's marking"), tyre),
        )
        if not known
    ]
    if missing:
        raise Unknown(
            worded(
                "Gears can't be told: {missing} {are} not on the build sheet. Count the teeth, "
                "read the tyre's side, and write it in.",
                missing=worded(" and ").join(missing),
                are=worded("are") if len(missing) > 1 else worded("is"),
            )
        )
    ratios = str(facts.get(HUB_RATIOS) or "")
    if facts.get(INSIDE) and not ratios:
        doubts.append(
            worded("The ratios of the hub gear are not known: what is told is its direct gear alone.")
        )
    inside = parse_ratios(ratios, HUB_RATIOS) if ratios else ()
    return Drive(rings, sprockets, rolling_m(tyre), tuple(doubts), inside)


def _wheels(
    facts: Mapping[str, object], each: str, ends: tuple[str, str], doubts: list[str]
) -> tuple[int, ...]:
    if facts.get(each):
        known = parse_teeth(str(facts[each]), each, worded("The fact {each}", each=each))
    else:
        known = tuple({int(value) for name in ends if isinstance(value := facts.get(name), int | float)})
    if each == SPROCKETS and len(known) == len(ends):
        doubts.append(
            worded("Only the ends of the cassette are known: the sprockets between them are not told of.")
        )
    return tuple(sorted(known))
