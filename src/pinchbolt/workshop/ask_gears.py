"""The gears of a drive, before and after a swap, and what a hill asks of the legs."""

from dataclasses import dataclass

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
from pinchbolt.workshop.build_sheet import facts_of_bike
from pinchbolt.workshop.drive import Drive, drive_of, rolling_m, teeth_told
from pinchbolt.workshop.looking_up import bike_by_tag

USUAL_CADENCE_RPM = 90.0


@dataclass(frozen=True, slots=True)
class HillAsked:
    """A climb: gradient, rider with bike and load, what the legs hold, and the least cadence. [%, kg, W, rpm]"""

    gradient_percent: float
    mass_kg: float
    power_w: float
    cadence_rpm: float = 60.0


@dataclass(frozen=True, slots=True)
class LineAsked:
    """Chain lines from the frame's middle, each ring its own; the pitch of the sprockets and the stay. [mm]"""

    ring_lines_mm: tuple[float, ...]
    rear_line_mm: float
    sprocket_pitch_mm: float
    stay_mm: float


@dataclass(frozen=True, slots=True)
class GearsAsked:
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
    hill: HillAsked | None = None
    line: LineAsked | None = None


@dataclass(frozen=True, slots=True)
class HillSeen:
    """Whether the lowest gear is low enough (None: it depends), the development asked for, and what the gear costs."""

    enough: bool | None
    words: str
    wanted_m: Interval
    in_lowest: Climb


@dataclass(frozen=True, slots=True)
class GearsSeen:
    """Gears now and after, what the swap does in words, the hill, the chain's slant, and what is not known."""

    now: Gears
    after: Gears | None
    compared: GearsCompared | None
    hill: HillSeen | None
    hill_after: HillSeen | None
    slants: tuple[Slant, ...]
    circumference_m: float
    circumference_after_m: float | None
    doubts: tuple[str, ...]


def gears_of(asked: GearsAsked) -> GearsSeen:
    """Return the gears of a drive, and of the same drive after a swap.

    Raises:
        InputRefused: Counts that are none, or figures out of any sense.
        NotFound: No bike has this tag.
        Unknown: The bike's teeth or tyre are not on its build sheet.
        NoSafeAnswer: A hill that is none.
    """
    before = _drive(asked)
    crank_m = None if asked.crank_mm is None else asked.crank_mm / 1000
    now = before.gears(crank_m, asked.cadence_rpm)
    after = after_m = None
    if asked.after_rings or asked.after_sprockets or asked.after_tyre:
        changed = _after(asked, before)
        after, after_m = changed.gears(crank_m, asked.cadence_rpm), changed.circumference_m
    return GearsSeen(
        now=now,
        after=after,
        compared=compared(now, after) if after else None,
        hill=_hill(asked.hill, now),
        hill_after=_hill(asked.hill, after) if after else None,
        slants=_slants(asked.line, before),
        circumference_m=before.circumference_m,
        circumference_after_m=after_m,
        doubts=before.doubts,
    )


def _drive(asked: GearsAsked) -> Drive:
    known: dict[str, object] = dict(facts_of_bike(bike_by_tag(asked.tag))) if asked.tag else {}
    told = {"rings": asked.rings, "sprockets": asked.sprockets, "tyre_rear": asked.tyre}
    known |= {name: value for name, value in told.items() if value}
    if not asked.tag:
        for name, words in (("rings", "The chainrings"), ("sprockets", "The sprockets")):
            teeth_told(str(known.get(name, "")), name, words)
    if asked.circumference_mm is not None or not asked.tag:
        rolls = rolling_m(asked.tyre, asked.circumference_mm)
        # Any marking will do where the way was rolled out.
        drive = drive_of({**known, "tyre_rear": asked.tyre or "28-622"})
        return Drive(drive.rings, drive.sprockets, rolls, drive.doubts)
    return drive_of(known)


def _after(asked: GearsAsked, before: Drive) -> Drive:
    rings = (
        teeth_told(asked.after_rings, "after_rings", "The chainrings after")
        if asked.after_rings
        else before.rings
    )
    sprockets = before.sprockets
    if asked.after_sprockets:
        sprockets = teeth_told(asked.after_sprockets, "after_sprockets", "The sprockets after")
    return Drive(
        rings, sprockets, rolling_m(asked.after_tyre) if asked.after_tyre else before.circumference_m
    )


def _hill(asked: HillAsked | None, drive: Gears) -> HillSeen | None:
    if asked is None:
        return None
    gradient = asked.gradient_percent / 100
    wanted = lowest_gear_for(gradient, asked.mass_kg, asked.power_w, asked.cadence_rpm)
    enough, words = low_enough(drive, gradient, asked.mass_kg, asked.power_w, asked.cadence_rpm)
    return HillSeen(enough, words, wanted, climb(drive.lowest, gradient, asked.mass_kg, asked.cadence_rpm))


def _slants(asked: LineAsked | None, drive: Drive) -> tuple[Slant, ...]:
    if asked is None:
        return ()
    rings = sorted(drive.rings)
    if len(asked.ring_lines_mm) != len(rings):
        sentence = (
            f"{len(asked.ring_lines_mm)} chain lines for {len(rings)} rings: one line a ring, smallest ring first. "
            "Measure each from the frame's middle."
        )
        raise InputRefused(sentence, {"ring_lines_mm": sentence})
    lines = list(zip(rings, asked.ring_lines_mm, strict=True))
    return chain_slants(lines, drive.sprockets, asked.rear_line_mm, asked.sprocket_pitch_mm, asked.stay_mm)
