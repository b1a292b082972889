"""A tyre by its marking: on this rim, in this frame, at which pressure, and how far it rolls."""

import re
from dataclasses import dataclass

from pinchbolt.engines.fit import FitVerdict, FitWord
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
    size_written,
    tyre_size,
    wheel_loads,
)
from pinchbolt.errors import InputRefused, NoSafeAnswer, Unknown
from pinchbolt.values import Interval, Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.fit_answers import fit_rule, rule_json
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables

ENDS = ("front", "rear")
# Width and seat in mm, however they are set apart: no name is looked for.
_IN_MM = re.compile(r"\s*\d{2,3}(\.\d)?\s*[-\u2010-\u2015x]\s*\d{3}\s*$")
WINS = worded("The markings on tyre and rim and their makers' instructions win.")


@dataclass(frozen=True, slots=True)
class TyreRequest:
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
class TyreView:
    """What can be said of a tyre: every part that was asked for, and what could not be told, in sentences."""

    size: TyreSize
    circumference: Circumference
    on_rim: tuple[FitVerdict, ...]
    mounted: MountedWidth | None
    room: Room | None
    pressure: PressureGuide | None
    no_pressure: str
    doubts: tuple[str, ...]


def ask_tyre(request: TyreRequest) -> TyreView:
    """Return what can be said of a tyre.

    Raises:
        InputRefused: No marking, a name that means several seats, or a figure out of any sense.
        NotFound: A name that no seat is sold under.
    """
    if request.end not in ENDS:
        sentence = worded('end is "{end}": front or rear. Say which wheel.', end=request.end[:20])
        raise InputRefused(sentence, {"end": sentence})
    size = _size(request.marking)
    doubts: list[str] = []
    mounted = _mounted(request, size, doubts)
    width = mounted.width if mounted else None
    on_rim = _on_rim(request, size)
    room = _room(request, size, width, doubts)
    pressure, no_pressure = _pressure(request, size, width, _misfit(on_rim, room))
    if pressure is not None:
        doubts += _unread(request)
    return TyreView(
        size=size,
        circumference=circumference(size),
        on_rim=on_rim,
        mounted=mounted,
        room=room,
        pressure=pressure,
        no_pressure=no_pressure,
        doubts=tuple(doubts),
    )


def _size(marking: str) -> TyreSize:
    """The size as it is printed, or as people write it: 28-622, 700x28C, 26 x 1-3/8.

    Raises:
        InputRefused: A seat that no rim has, or a name that means several.
        NotFound: A name that no seat is sold under.
    """
    rows = tables().interfaces["bead_seat"]
    try:
        return tyre_size(marking, rows)
    except InputRefused:
        written = size_written(marking, rows)
        if written is not None and len(written.bead_seats) == 1:
            return TyreSize(written.width, written.bead_seats[0])
        if written is not None and written.bead_seats:
            seats = " or ".join(f"{seat:g}" for seat in written.bead_seats)
            near = f"{written.width:.0f}-{written.bead_seats[0]:g}"
            sentence = worded(
                "{marking} may be {seats} mm: read the marking in mm on the tyre's side, such as {near}.",
                marking=marking.strip()[:30],
                seats=seats,
                near=near,
            )
            raise InputRefused(sentence, {"marking": sentence}) from None
        if not marking.strip() or _IN_MM.match(marking):
            raise
        called = seats_called(marking, rows)
        sentence = worded(
            "{words}: give the marking with its width, such as 28-{bead_seats:.0f}.",
            words=called.words,
            bead_seats=called.bead_seats[0],
        )
        raise InputRefused(sentence, {"marking": sentence}) from None


def _misfit(on_rim: tuple[FitVerdict, ...], room: Room | None) -> str:
    """Why the tyre does not go there at all, in words; empty where nothing is known against it."""
    against = [check.because for check in on_rim if check.verdict is FitWord.DOES_NOT_FIT]
    if room is not None and room.enough is False:
        against.append(worded("too little room in the frame or fork"))
    return "; ".join(against)


def _unread(request: TyreRequest) -> list[str]:
    """Markings that nobody read: each may lie below the ceiling that was used."""
    unread = [
        what
        for what, bar in (
            (worded("The tyre"), request.tyre_max_bar),
            (worded("The rim"), request.rim_max_bar),
        )
        if bar is None
    ]
    return [
        worded(
            "{what}'s greatest pressure is not known: read its marking; where it is lower, it is "
            "the ceiling.",
            what=what,
        )
        for what in unread
    ]


def _mounted(request: TyreRequest, size: TyreSize, doubts: list[str]) -> MountedWidth | None:
    if request.rim_inner_mm is None:
        return None
    try:
        return mounted_width(size.width, request.rim_inner_mm, tables().interfaces["measuring_rim"])
    except Unknown as missing:
        doubts.append(missing.sentence)
        return None


def _on_rim(request: TyreRequest, size: TyreSize) -> tuple[FitVerdict, ...]:
    found = []
    if request.rim_seat_mm is not None:
        found.append(fit_rule("tyre-diameter", {"tyre_bsd": size.bead_seat, "rim_bsd": request.rim_seat_mm}))
    if request.rim_inner_mm is not None or request.hooked is not None:
        told = {
            "rim_inner": request.rim_inner_mm,
            "hook": request.hooked,
            "tyre_width": size.width,
            "tyre_allowed_hookless": request.allowed_hookless,
            "pressure_bar": request.pressure_bar,
            "tyre_max_bar": request.tyre_max_bar,
            "rim_max_bar": request.rim_max_bar,
        }
        found.append(fit_rule("tyre-width", told))
    return tuple(found)


def _room(request: TyreRequest, size: TyreSize, width: Interval | None, doubts: list[str]) -> Room | None:
    if request.opening_mm is None:
        return None
    if request.mounted_mm is not None:
        width = Interval(request.mounted_mm, request.mounted_mm)
    if width is None:
        doubts.append(
            worded(
                "The rim's inner width is not known: room is told for the printed {width:g} mm, and "
                "a tyre stands wider on a wide rim. Measure it mounted.",
                width=size.width,
            )
        )
        width = Interval(size.width, size.width)
    return room_beside(width, request.opening_mm, runout=request.runout_mm, racing=request.racing)


def _pressure(
    request: TyreRequest, size: TyreSize, width: Interval | None, misfit: str
) -> tuple[PressureGuide | None, str]:
    """The guide, or the sentence that says why no pressure is safe."""
    if request.total_kg is None:
        return None, ""
    if misfit:
        return None, worded(
            "No pressure: the tyre does not fit ({misfit}). Choose another tyre or rim.", misfit=misfit
        )
    load = dict(zip(ENDS, wheel_loads(request.total_kg), strict=True))[request.end]
    if request.hooked is None:
        return (
            None,
            worded(
                "Whether the rim has hooks is not known, and it decides the ceiling: feel for the "
                "hook under the rim's edge."
            ),
        )
    if not request.hooked and request.allowed_hookless is not True:
        return (
            None,
            worded(
                "On a rim without hooks the tyre must be allowed there by its maker: read its side, "
                "or its maker's list."
            ),
        )
    mounted = (
        request.mounted_mm
        if request.mounted_mm is not None
        else (width.low + width.high) / 2
        if width
        else None
    )
    try:
        guide = pressure_guide(
            load,
            size.width,
            hooked=request.hooked,
            tyre_max=request.tyre_max_bar,
            rim_max=request.rim_max_bar,
            tyre_min=request.tyre_min_bar,
            off_road=request.off_road,
            mounted=mounted,
        )
    except NoSafeAnswer as none:
        return None, none.sentence
    return guide, ""


def tyre_json(found: TyreView) -> Json:
    """Return what can be said of a tyre as plain values, each fit rule as every door tells it."""
    return {**as_json(found), "on_rim": [rule_json(check) for check in found.on_rim], "note": WINS}
