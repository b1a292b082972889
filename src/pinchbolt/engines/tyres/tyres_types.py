"""What the tyres engine is asked and what it answers."""

from dataclasses import dataclass

from pinchbolt.values import Interval, Reason


@dataclass(frozen=True, slots=True)
class TyreSize:
    """A tyre as its side is marked: printed width and bead seat diameter. [mm]"""

    width: float
    bead_seat: float


@dataclass(frozen=True, slots=True)
class Seats:
    """What a name in inches may mean: every bead seat that is sold under it. [mm]"""

    name: str
    bead_seats: tuple[float, ...]
    words: str


@dataclass(frozen=True, slots=True)
class MountedWidth:
    """How wide the tyre stands on this rim. [mm]"""

    width: Interval
    measuring_rim: float
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Room:
    """Room on the narrower side of the tyre, and what is needed. [mm] `enough` is None where the width decides."""

    room: Interval
    need: float
    enough: bool | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class PressureGuide:
    """Where to start, never above the ceiling and never below the floor. [bar]

    `held` says what the guide ran into (ceiling, floor, or nothing), `ceiling_by` whose figure the ceiling is, `wanted` what
    the load asks for, and `too_narrow` that the ceiling is below that, with what it leads to.
    """

    start: Interval
    floor: float
    ceiling: float
    ceiling_by: str
    held: str
    wanted: float
    too_narrow: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Circumference:
    """Rolling circumference: nominal, and what it may be under a rider. [m]"""

    nominal: float
    rolling: Interval
    reasons: tuple[Reason, ...]
