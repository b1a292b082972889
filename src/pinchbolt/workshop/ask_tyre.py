"""A tyre by its marking: on this rim, in this frame, at which pressure, and how far it rolls."""

from dataclasses import dataclass
from typing import Any

from pinchbolt.engines.fit import FitVerdict
from pinchbolt.engines.tyres import (
    Circumference,
    MountedWidth,
    PressureGuide,
    Room,
    TyreSize,
    circumference,
    mounted_width,
    pressure_guide,
    room_beside,
    seats_called,
    tyre_size,
    wheel_loads,
)
from pinchbolt.errors import InputRefused, NoSafeAnswer, Unknown
from pinchbolt.values import Interval
from pinchbolt.workshop.check_fit import fit_rule, rule_told
from pinchbolt.workshop.plain import as_json
from pinchbolt.workshop.trade_tables import tables

ENDS = ("front", "rear")
WINS = "The markings on tyre and rim and their makers' instructions win."


@dataclass(frozen=True, slots=True)
class TyreAsked:
    """A tyre as marked or called, the rim, the frame, and who rides. [mm, bar, kg]"""

    marking: str
    rim_inner_mm: float | None = None
    rim_seat_mm: float | None = None
    hooked: bool | None = None
    allowed_hookless: bool | None = None
    mounted_mm: float | None = None
    opening_mm: float | None = None
    runout_mm: float = 0.0
    racing: bool = False
    off_road: bool = False
    total_kg: float | None = None
    end: str = "rear"
    tyre_max_bar: float | None = None
    tyre_min_bar: float | None = None
    rim_max_bar: float | None = None
    pressure_bar: float | None = None


@dataclass(frozen=True, slots=True)
class TyreSeen:
    """What can be said of a tyre: every part that was asked for, and what could not be told, in sentences."""

    size: TyreSize
    circumference: Circumference
    on_rim: tuple[FitVerdict, ...]
    mounted: MountedWidth | None
    room: Room | None
    pressure: PressureGuide | None
    no_pressure: str
    doubts: tuple[str, ...]


def tyre_told(asked: TyreAsked) -> TyreSeen:
    """Return what can be said of a tyre.

    Raises:
        InputRefused: No marking, a name that means several seats, or a figure out of any sense.
        NotFound: A name that no seat is sold under.
    """
    if asked.end not in ENDS:
        sentence = f'end is "{asked.end[:20]}": front or rear. Say which wheel.'
        raise InputRefused(sentence, {"end": sentence})
    size = _size(asked.marking)
    doubts: list[str] = []
    mounted = _mounted(asked, size, doubts)
    width = mounted.width if mounted else None
    pressure, no_pressure = _pressure(asked, size, width)
    if pressure is not None:
        doubts += _unread(asked)
    return TyreSeen(
        size=size,
        circumference=circumference(size),
        on_rim=_on_rim(asked, size),
        mounted=mounted,
        room=_room(asked, size, width, doubts),
        pressure=pressure,
        no_pressure=no_pressure,
        doubts=tuple(doubts),
    )


def _size(marking: str) -> TyreSize:
    try:
        return tyre_size(marking)
    except InputRefused:
        if not marking.strip() or "-" in marking.strip()[2:4]:
            raise
        seats = seats_called(marking, tables().interfaces["bead_seat"])
        sentence = f"{seats.words}: give the marking with its width, such as 28-{seats.bead_seats[0]:.0f}."
        raise InputRefused(sentence, {"marking": sentence}) from None


def _unread(asked: TyreAsked) -> list[str]:
    """Markings that nobody read: each may lie below the ceiling that was used."""
    unread = [
        what
        for what, bar in (("The tyre", asked.tyre_max_bar), ("The rim", asked.rim_max_bar))
        if bar is None
    ]
    return [
        f"{what}'s greatest pressure is not known: read its marking; where it is lower, it is the ceiling."
        for what in unread
    ]


def _mounted(asked: TyreAsked, size: TyreSize, doubts: list[str]) -> MountedWidth | None:
    if asked.rim_inner_mm is None:
        return None
    try:
        return mounted_width(size.width, asked.rim_inner_mm, tables().interfaces["measuring_rim"])
    except Unknown as missing:
        doubts.append(missing.sentence)
        return None


def _on_rim(asked: TyreAsked, size: TyreSize) -> tuple[FitVerdict, ...]:
    found = []
    if asked.rim_seat_mm is not None:
        found.append(fit_rule("tyre-diameter", {"tyre_bsd": size.bead_seat, "rim_bsd": asked.rim_seat_mm}))
    if asked.rim_inner_mm is not None or asked.hooked is not None:
        told = {
            "rim_inner": asked.rim_inner_mm,
            "hook": asked.hooked,
            "tyre_width": size.width,
            "tyre_allowed_hookless": asked.allowed_hookless,
            "pressure_bar": asked.pressure_bar,
            "tyre_max_bar": asked.tyre_max_bar,
            "rim_max_bar": asked.rim_max_bar,
        }
        found.append(fit_rule("tyre-width", told))
    return tuple(found)


def _room(asked: TyreAsked, size: TyreSize, width: Interval | None, doubts: list[str]) -> Room | None:
    if asked.opening_mm is None:
        return None
    if asked.mounted_mm is not None:
        width = Interval(asked.mounted_mm, asked.mounted_mm)
    if width is None:
        doubts.append(
            f"The rim's inner width is not known: room is told for the printed {size.width:g} mm, and a tyre stands "
            "wider on a wide rim. Measure it mounted."
        )
        width = Interval(size.width, size.width)
    return room_beside(width, asked.opening_mm, runout=asked.runout_mm, racing=asked.racing)


def _pressure(asked: TyreAsked, size: TyreSize, width: Interval | None) -> tuple[PressureGuide | None, str]:
    """The guide, or the sentence that says why no pressure is safe."""
    if asked.total_kg is None:
        return None, ""
    load = dict(zip(ENDS, wheel_loads(asked.total_kg), strict=True))[asked.end]
    if asked.hooked is None:
        return (
            None,
            "Whether the rim has hooks is not known, and it decides the ceiling: feel for the hook under the rim's edge.",
        )
    if not asked.hooked and asked.allowed_hookless is not True:
        return (
            None,
            "On a rim without hooks the tyre must be allowed there by its maker: read its side, or its maker's list.",
        )
    mounted = (
        asked.mounted_mm if asked.mounted_mm is not None else (width.low + width.high) / 2 if width else None
    )
    try:
        guide = pressure_guide(
            load,
            size.width,
            hooked=asked.hooked,
            tyre_max=asked.tyre_max_bar,
            rim_max=asked.rim_max_bar,
            tyre_min=asked.tyre_min_bar,
            off_road=asked.off_road,
            mounted=mounted,
        )
    except NoSafeAnswer as none:
        return None, none.sentence
    return guide, ""


def tyre_seen_told(found: TyreSeen) -> dict[str, Any]:
    """Return what can be said of a tyre as plain values, each fit rule as every door tells it."""
    return {**as_json(found), "on_rim": [rule_told(check) for check in found.on_rim], "note": WINS}
