"""Which part stands at which place of the drawing, and what is said there."""

from collections.abc import Iterable
from dataclasses import dataclass

from pinchbolt.drawing import PLACES, Spot
from pinchbolt.values import Verdict
from pinchbolt.workshop.bike_sheet import PartSeen

WORDS = {
    "bar": "bar and levers",
    "headset": "headset, fork",
    "front-wheel": "front wheel",
    "front-brake": "front brake",
    "frame": "frame, bolts",
    "saddle": "saddle and post",
    "rear-wheel": "rear wheel",
    "rear-brake": "rear brake",
    "gears": "gears behind",
    "chain": "chain or belt",
    "cranks": "cranks",
    "power": "battery, motor",
}
_ONE_PLACE = {
    "bar": ("handlebar", "stem", "grips", "shifters", "bar tape"),
    "headset": ("headset", "fork"),
    "frame": (
        "frame", "safety bolts", "pivots", "rear shock", "mudguards", "carrier", "kickstand", "lights", "child seat", "hitch",
    ),
    "saddle": ("saddle", "seat post", "dropper post"),
    "gears": (
        "cassette", "freewheel", "freehub", "sprocket", "hub gear", "rear derailleur", "front derailleur", "hanger", "gear cables",
    ),
    "chain": ("chain", "belt"),
    "cranks": ("crank", "bottom bracket", "pedals", "chainring"),
    "power": ("battery", "motor", "speed sensor", "loom"),
}  # fmt: skip
_AT_AN_END = {
    "wheel": ("wheel", "tyre", "tube", "sealant", "rim", "hub"),
    "brake": (
        "brake",
        "brake fluid",
        "brake cable",
        "pads",
        "rim pads",
        "rotor",
        "roller brake",
        "coaster brake",
    ),
}
_PLACE_OF = {kind: place for place, kinds in _ONE_PLACE.items() for kind in kinds}
_END_OF = {kind: what for what, kinds in _AT_AN_END.items() for kind in kinds}


@dataclass(frozen=True, slots=True)
class AtPlace:
    """A place with its parts."""

    place: str
    words: str
    parts: tuple[PartSeen, ...]

    @property
    def told(self) -> tuple[PartSeen, ...]:
        """Parts of which something is known: read, fitted here, or specified."""
        return tuple(part for part in self.parts if part.last or part.since_known or part.specification)

    @property
    def rest(self) -> tuple[PartSeen, ...]:
        """The other parts: on the bike since before the records began, and never read."""
        told = {part.id for part in self.told}
        return tuple(part for part in self.parts if part.id not in told)


def place_of(kind: str, end: str) -> str:
    """Return the place of the drawing at which a part is; one that nobody foresaw is listed with the frame."""
    if kind in _END_OF:
        return f"{end or 'rear'}-{_END_OF[kind]}"
    return _PLACE_OF.get(kind, "frame")


def at_places(parts: Iterable[PartSeen]) -> tuple[AtPlace, ...]:
    """Return the parts gathered by place, in the order of the drawing; places without a part are left out."""
    found: dict[str, list[PartSeen]] = {place: [] for place in PLACES}
    for part in parts:
        found[place_of(part.kind, part.place)].append(part)
    return tuple(AtPlace(place, WORDS[place], tuple(here)) for place, here in found.items() if here)


def spots(places: Iterable[AtPlace]) -> tuple[Spot, ...]:
    """Return the places as the drawing takes them: the worst last finding of each, and how much was never read."""
    made = []
    for one in places:
        worst = max(
            (Verdict(f.verdict) for part in one.parts for f in part.last),
            key=lambda verdict: verdict.rank,
            default=None,
        )
        note = (
            worst.value
            if worst
            else ("not read yet" if any(part.limits for part in one.parts) else "nothing to read")
        )
        made.append(Spot(one.place, one.words, note, f"#{one.place}", worst.value if worst else ""))
    return tuple(made)
