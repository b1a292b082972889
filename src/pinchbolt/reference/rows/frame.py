"""Interfaces of the frame: bottom bracket, headset, posts, bars, saddles."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from pinchbolt.reference.rows.base import Row


@dataclass(frozen=True, slots=True, kw_only=True)
class BbShell(Row):
    """A bottom bracket shell: bore and widths in mm."""

    id: str
    trade_name: str
    plain: str
    bore: float
    widths: tuple[float, ...]
    fit: str
    bore_actual: float | None = None
    drive_side_hand: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spindle(Row):
    """A crank spindle."""

    id: str
    plain: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SpindleInShell(Row):
    """Spindles that a shell takes, refuses (with why) or takes with something."""

    key: ClassVar[tuple[str, ...]] = ("shell",)

    shell: str
    ok: tuple[str, ...]
    no: Mapping[str, str] | None = None
    with_: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadTube(Row):
    """A head tube end: type and bore, mm."""

    id: str
    bore: float
    plain: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrownRace(Row):
    """A crown race seat."""

    id: str
    steerer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Steerer(Row):
    """A steerer: outside and lower end in mm, and the stem it takes."""

    id: str
    outside: float
    stem: str
    plain: str
    lower: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatPost(Row):
    """Seat post diameters and shims, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: tuple[float, ...]
    common: tuple[float, ...]
    shims: Mapping[float, tuple[float, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class BarClamp(Row):
    """Handlebar clamp diameters and shims, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: tuple[float, ...]
    shims: Mapping[float, tuple[float, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class BarGrip(Row):
    """Diameter of the bar under levers, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SaddleRail(Row):
    """A saddle rail."""

    id: str
    plain: str
