"""The gears of a drive, before and after a swap, and what a hill asks of the legs."""

from dataclasses import dataclass, replace

from pinchbolt.engines.gearing import (
    Climb,
    Gears,
    GearsCompared,
    Slant,
    chain_slants,
    climb,
    compared,
    low_enough,
    lowest_gear_for,
)
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.bikes.drive import (
    HUB_RATIOS,
    Drive,
    drive_of,
    parse_ratios,
    parse_teeth,
    rolling_m,
)

USUAL_CADENCE_RPM = 90.0
# What is typed below this is a share taken for a percentage. [%]
LEAST_HILL = 0.3


@dataclass(frozen=True, slots=True)
class HillRequest:
    """A climb: gradient, rider with bike and load, what the legs hold, and the least cadence. [%, kg, W, rpm]"""

    gradient_percent: float
    mass_kg: float
    power_w: float
    cadence_rpm: float = 60.0


@dataclass(frozen=True, slots=True)
class ChainLineRequest:
    """Chain lines from the frame's middle, each ring its own; the pitch of the sprockets and the stay. [mm]"""

    ring_lines_mm: tuple[float, ...]
    rear_line_mm: float
    sprocket_pitch_mm: float
    stay_mm: float


@dataclass(frozen=True, slots=True)
class GearsRequest:
    """Drive as counts of teeth (50/34, 11-13-15), by a bike's tag where they are empty; `after_` what a swap brings."""

    tag: str = ""
    rings: str = ""
    sprockets: str = ""
    tyre: str = ""
    circumference_mm: float | None = None
    crank_mm: float | None = None
    cadence_rpm: float = USUAL_CADENCE_RPM
    after_rings: str = ""
    after_sprockets: str = ""
    after_tyre: str = ""
    hub_ratios: str = ""
    after_hub_ratios: str = ""
    hill: HillRequest | None = None
    line: ChainLineRequest | None = None


@dataclass(frozen=True, slots=True)
class HillView:
    """Whether the lowest gear is low enough (None: it depends), the development asked for, and what the gear costs."""

    enough: bool | None
    words: str
    wanted_m: Interval
    in_lowest: Climb


@dataclass(frozen=True, slots=True)
class GearsView:
    """Gears now and after, what the swap does in words, the hill, the chain's slant, and what is not known."""

    now: Gears
    after: Gears | None
    compared: GearsCompared | None
    hill: HillView | None
    hill_after: HillView | None
    slants: tuple[Slant, ...]
    circumference_m: float
    circumference_after_m: float | None
    doubts: tuple[str, ...]


def gears_of(request: GearsRequest) -> GearsView:
    """Return the gears of a drive, and of the same drive after a swap.

    Raises:
        InputRefused: Counts that are none, or figures out of any sense.
        NotFound: No bike has this tag.
        Unknown: The bike's teeth or tyre are not on its build sheet.
        NoSafeAnswer: A hill that is none.
    """
    before = _drive(request)
    crank_m = None if request.crank_mm is None else request.crank_mm / 1000
    now = before.gears(crank_m, request.cadence_rpm)
    after = after_m = None
    if request.after_rings or request.after_sprockets or request.after_tyre or request.after_hub_ratios:
        changed = _after(request, before)
        after, after_m = changed.gears(crank_m, request.cadence_rpm), changed.circumference_m
    return GearsView(
        now=now,
        after=after,
        compared=compared(now, after) if after else None,
        hill=_hill(request.hill, now),
        hill_after=_hill(request.hill, after) if after else None,
        slants=_slants(request.line, before),
        circumference_m=before.circumference_m,
        circumference_after_m=after_m,
        doubts=before.doubts,
    )


def _drive(request: GearsRequest) -> Drive:
    known: dict[str, object] = dict(facts_of_bike(bike_by_tag(request.tag))) if request.tag else {}
    told = {
        "rings": request.rings,
        "sprockets": request.sprockets,
        "tyre_rear": request.tyre,
        HUB_RATIOS: request.hub_ratios,
    }
    known |= {name: value for name, value in told.items() if value}
    if not request.tag:
        for name, words in (("rings", worded("The chainrings")), ("sprockets", worded("The sprockets"))):
            parse_teeth(str(known.get(name, "")), name, words)
    if request.circumference_mm is not None or not request.tag:
        rolls = rolling_m(request.tyre, request.circumference_mm)
        # Any marking will do where the way was rolled out.
        drive = drive_of({**known, "tyre_rear": request.tyre or "28-622"})
        return replace(drive, circumference_m=rolls)
    return drive_of(known)


def _after(request: GearsRequest, before: Drive) -> Drive:
    rings = (
        parse_teeth(request.after_rings, "after_rings", worded("The chainrings after"))
        if request.after_rings
        else before.rings
    )
    sprockets = before.sprockets
    if request.after_sprockets:
        sprockets = parse_teeth(request.after_sprockets, "after_sprockets", worded("The sprockets after"))
    rolls = rolling_m(request.after_tyre) if request.after_tyre else before.circumference_m
    inside = before.inside
    if request.after_hub_ratios:
        inside = (
            ()
            if request.after_hub_ratios == "none"
            else parse_ratios(request.after_hub_ratios, "after_hub_ratios")
        )
    return Drive(rings, sprockets, rolls, inside=inside)


def _hill(request: HillRequest | None, drive: Gears) -> HillView | None:
    if request is None:
        return None
    if 0 < abs(request.gradient_percent) < LEAST_HILL:
        sentence = worded(
            "gradient is {gradient_percent:g} %, which is nearly flat: a hill is {least_hill:g} "
            "% and more. Was {request_gradient_percent:g} % meant? Write 9 for 9 %; 0 for the "
            "flat.",
            gradient_percent=request.gradient_percent,
            least_hill=LEAST_HILL,
            request_gradient_percent=request.gradient_percent * 100,
        )
        raise InputRefused(sentence, {"gradient_percent": sentence})
    gradient = request.gradient_percent / 100
    wanted = lowest_gear_for(gradient, request.mass_kg, request.power_w, request.cadence_rpm)
    enough, words = low_enough(drive, gradient, request.mass_kg, request.power_w, request.cadence_rpm)
    return HillView(
        enough, words, wanted, climb(drive.lowest, gradient, request.mass_kg, request.cadence_rpm)
    )


def _slants(request: ChainLineRequest | None, drive: Drive) -> tuple[Slant, ...]:
    if request is None:
        return ()
    rings = sorted(drive.rings)
    if len(request.ring_lines_mm) != len(rings):
        sentence = worded(
            "{ring_lines_mm} chain lines for {rings} rings: one line a ring, smallest ring "
            "first. Measure each from the frame's middle.",
            ring_lines_mm=len(request.ring_lines_mm),
            rings=len(rings),
        )
        raise InputRefused(sentence, {"ring_lines_mm": sentence})
    lines = list(zip(rings, request.ring_lines_mm, strict=True))
    return chain_slants(
        lines, drive.sprockets, request.rear_line_mm, request.sprocket_pitch_mm, request.stay_mm
    )
