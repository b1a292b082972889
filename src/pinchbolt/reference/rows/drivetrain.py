"""Interfaces of the drive: freehub, cassette, chain, shifting, chainrings, chain line."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from pinchbolt.reference.rows.base import PairVerdict, Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Freehub(Row):
    """A freehub body or driver; lengths in mm."""

    id: str
    trade_name: str
    plain: str
    spline_length: float | None = None
    lockring: str = ""
    smallest_sprocket: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cassette(Row):
    """A cassette by how it seats."""

    id: str
    plain: str
    speeds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CassetteOnBody(Row):
    """A pair; `behind` lists spacers that go behind the cassette, mm."""

    key: ClassVar[tuple[str, ...]] = ("cassette", "body")

    cassette: str
    body: str
    verdict: PairVerdict
    behind: tuple[float, ...] = ()
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SprocketPitch(Row):
    """Sprocket centre to sprocket centre, mm."""

    id: str
    speeds: int
    pitch: float
    plain: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain(Row):
    """A chain: width over the pin ends, between inner plates, and roller diameter, mm."""

    id: str
    plain: str
    speeds: tuple[int, ...]
    outer: float
    inner: float
    roller: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainOnDrive(Row):
    """A pair of chain and drive."""

    key: ClassVar[tuple[str, ...]] = ("chain", "drive")

    chain: str
    drive: str
    verdict: PairVerdict
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftFamily(Row):
    """Shifter and rear derailleur of one family: cable a click by speeds, mm, and the derailleur's ratio."""

    id: str
    plain: str
    ratio: float | None = None
    pulls: Mapping[int, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontMechBand(Row):
    """Band diameters of front derailleurs, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RingMount(Row):
    """How a chainring sits on its crank: arms, bolt circle in mm, smallest teeth."""

    id: str
    arms: int
    plain: str
    circle: int | None = None
    smallest: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainLine(Row):
    """Usual chain line in front and behind, mm from the frame's middle."""

    id: str
    front: float
    rear: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PedalThread(Row):
    """Thread of pedal and crank."""

    id: str
    plain: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanger(Row):
    """A kind of gear hanger."""

    id: str
    plain: str
