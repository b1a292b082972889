"""Interfaces of the frame: bottom bracket, headset, posts, bars, saddles."""

from collections.abc import Mapping
from typing import ClassVar

from pinchbolt.reference.rows.base import Row, entry


@entry
class BbShell(Row):
    """A bottom bracket shell: bore, widths and what cups add to them over the bearings, mm; below 0 where a bearing sits inside the face."""

    id: str
    trade_name: str
    plain: str
    bore: float
    widths: tuple[float, ...]
    fit: str
    cups: float
    bore_actual: float | None = None
    drive_side_hand: str = ""


@entry
class Spindle(Row):
    """A crank spindle."""

    id: str
    plain: str


@entry
class SpindleInShell(Row):
    """Spindles that a shell takes, refuses (with why) or takes with something."""

    key: ClassVar[tuple[str, ...]] = ("shell",)

    shell: str
    ok: tuple[str, ...]
    no: Mapping[str, str] | None = None
    with_: Mapping[str, str] | None = None


@entry
class HeadTube(Row):
    """A head tube end: type and bore, mm."""

    id: str
    bore: float
    plain: str


@entry
class CrownRace(Row):
    """A crown race seat."""

    id: str
    steerer: str


@entry
class Steerer(Row):
    """A steerer: outside and lower end in mm, and the stem it takes."""

    id: str
    outside: float
    stem: str
    plain: str
    lower: float | None = None


@entry
class SeatPost(Row):
    """Seat post diameters and shims, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: tuple[float, ...]
    common: tuple[float, ...]
    shims: Mapping[float, tuple[float, ...]]


@entry
class BarClamp(Row):
    """Handlebar clamp diameters and shims, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: tuple[float, ...]
    shims: Mapping[float, tuple[float, ...]]


@entry
class BarGrip(Row):
    """Diameter of the bar under levers, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: Mapping[str, float]


@entry
class SaddleRail(Row):
    """A saddle rail."""

    id: str
    plain: str
