"""How long to cut a chain: by a derailleur's biggest pair, or by the slot in which an axle moves."""

from dataclasses import dataclass

from pinchbolt.engines.gearing import PITCH_MM, SPARE, ChainLength, FixedChain, chain_length, fixed_chains
from pinchbolt.errors import InputRefused, NoSafeAnswer
from pinchbolt.values.wording import worded

EVEN = worded("A plain chain has no half links: the number of pitches is even.")


@dataclass(frozen=True, slots=True)
class ChainRequest:
    """Stay and wheels; what the derailleur takes; the slot of an axle where there is no derailleur. [mm, teeth]"""

    stay_mm: float
    ring: int
    sprocket: int
    small_ring: int | None = None
    small_sprocket: int | None = None
    capacity: int | None = None
    growth_mm: float = 0.0
    spare_pitches: int = SPARE
    slot_mm: float | None = None


@dataclass(frozen=True, slots=True)
class ChainView:
    """How many pitches to cut, the working line by line, and doubts. [pitches, teeth, mm]

    `wrap_pitches` is the taut loop on the biggest pair; the rest stands only where it was asked for. With a slot,
    `places` are the even lengths with the axle's place, and `pitches` is the first of them.
    """

    pitches: int
    length_mm: float
    wrap_pitches: float | None
    spare_pitches: float | None
    slack_pitches: float | None
    slack_teeth: float | None
    cage_short_teeth: float | None
    places: tuple[FixedChain, ...]
    because: str
    working: tuple[str, ...]
    doubts: tuple[str, ...]


def chain_to_cut(request: ChainRequest) -> ChainView:
    """Return how long to cut a chain, and the working.

    Raises:
        InputRefused: A figure out of any sense, wheels that touch, or a capacity without the smallest sprocket.
        NoSafeAnswer: No even length stands inside the slot.
    """
    if request.slot_mm is not None:
        return _in_slot(request, request.slot_mm)
    if request.small_sprocket is None and (request.capacity is not None or request.small_ring is not None):
        sentence = worded(
            "the smallest sprocket is missing: the cage's work is counted down to it. Count its teeth."
        )
        raise InputRefused(sentence, {"small_sprocket": sentence})
    found = chain_length(
        request.stay_mm,
        request.ring,
        request.sprocket,
        small_ring=request.small_ring,
        small_sprocket=request.small_sprocket,
        capacity=request.capacity,
        growth_mm=request.growth_mm,
        spare_pitches=request.spare_pitches,
    )
    return ChainView(
        pitches=found.pitches,
        length_mm=round(found.pitches * PITCH_MM, 1),
        wrap_pitches=found.wrap,
        spare_pitches=found.spare,
        slack_pitches=found.slack,
        slack_teeth=found.slack_teeth,
        cage_short_teeth=found.cage_short,
        places=(),
        because=worded(
            "{wrap:.2f} + {spare_pitches} pitches, rounded up to {pitches}",
            wrap=found.wrap,
            spare_pitches=request.spare_pitches,
            pitches=found.pitches,
        ),
        working=tuple(f"{reason.words} ({reason.source})" for reason in found.reasons),
        doubts=_doubts(request, found),
    )


def _doubts(request: ChainRequest, found: ChainLength) -> tuple[str, ...]:
    doubts = [
        worded(
            "Look at big ring on big sprocket on the stand before the chain is joined; the "
            "derailleur maker's rule wins."
        )
    ]
    if request.growth_mm == 0:
        doubts.append(
            worded("Rear suspension: say how much the stay grows, or measure it with the air let out.")
        )
    if found.cage_short:
        doubts.append(
            worded(
                "The cage is {cage_short:.1f} teeth short: the chain hangs on the smallest pair. The "
                "owner leaves that pair alone, or a longer cage is fitted.",
                cage_short=found.cage_short,
            )
        )
    return tuple(doubts)


def _in_slot(request: ChainRequest, slot_mm: float) -> ChainView:
    if (
        request.small_sprocket is not None
        or request.small_ring is not None
        or request.capacity is not None
        or request.growth_mm
    ):
        sentence = worded(
            "A slot is for bikes without a derailleur: leave out the smallest wheels, capacity and growth."
        )
        raise InputRefused(sentence, {"slot_mm": sentence})
    places = fixed_chains(request.stay_mm, slot_mm, request.ring, request.sprocket)
    if not places:
        raise NoSafeAnswer(
            worded(
                "No even chain stands inside a slot of {slot_mm:g} mm from {stay_mm:g} mm with "
                "{ring}/{sprocket}: another sprocket, a half link made for it, or a tensioner.",
                slot_mm=slot_mm,
                stay_mm=request.stay_mm,
                ring=request.ring,
                sprocket=request.sprocket,
            )
        )
    first = places[0]
    lines = [
        worded(
            "{pitches} pitches: the axle stands {moved_mm:.1f} mm into the slot, stay {stay_mm:.1f} mm",
            pitches=one.pitches,
            moved_mm=one.moved_mm,
            stay_mm=one.stay_mm,
        )
        for one in places
    ]
    return ChainView(
        pitches=first.pitches,
        length_mm=round(first.pitches * PITCH_MM, 1),
        wrap_pitches=None,
        spare_pitches=None,
        slack_pitches=None,
        slack_teeth=None,
        cage_short_teeth=None,
        places=places,
        because=lines[0],
        working=(*lines, EVEN),
        doubts=(
            worded(
                "Leave 10 to 15 mm of play midway (common practice, no source): the axle stands a "
                "little forward of taut."
            ),
        ),
    )
