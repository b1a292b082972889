"""Interfaces of the drive: freehub, cassette, chain, shifting, chainrings, chain line."""

from collections.abc import Mapping
from typing import ClassVar

from pinchbolt.reference.rows.base import PairVerdict, Row, entry


@entry
class Freehub(Row):
    """A freehub body or driver; lengths in mm. What has other `splines` never goes on."""

    id: str
    trade_name: str
    plain: str
    splines: str
    spline_length: float | None = None
    lockring: str = ""
    smallest_sprocket: int | None = None


@entry
class Cassette(Row):
    """A cassette by how it seats: its first sprocket in teeth, the drive that it makes, its row in `sprocket_pitch`.

    `body_length`: of the body that it was made for, mm. A row that spans several counts of sprockets says no `speeds`; its
    `drives` say the drive by count.
    """

    id: str
    plain: str
    splines: str
    speeds: int | None = None
    body_length: float | None = None
    drives: Mapping[int, str] | None = None
    first_sprocket: int | None = None
    drive: str = ""
    spacing: str = ""


@entry
class CassetteOnBody(Row):
    """A pair; `behind` lists spacers that go behind the cassette, mm."""

    key: ClassVar[tuple[str, ...]] = ("cassette", "body")

    cassette: str
    body: str
    verdict: PairVerdict
    behind: tuple[float, ...] = ()
    with_: str = ""
    because: str = ""


@entry
class SprocketPitch(Row):
    """Sprocket centre to sprocket centre, mm."""

    id: str
    speeds: int
    pitch: float
    plain: str = ""


@entry
class Chain(Row):
    """A chain: width over the pin ends, between inner plates, and roller diameter, mm."""

    id: str
    plain: str
    speeds: tuple[int, ...]
    outer: float
    inner: float
    roller: float


@entry
class DriveRow(Row):
    """What a chain runs on, with the chain that it was cut for."""

    id: str
    plain: str
    chain: str


@entry
class ChainOnDrive(Row):
    """A pair of chain and drive."""

    key: ClassVar[tuple[str, ...]] = ("chain", "drive")

    chain: str
    drive: str
    verdict: PairVerdict
    because: str = ""


@entry
class ShiftFamily(Row):
    """Shifter and rear derailleur of one family: cable a click by speeds, mm, and the derailleur's ratio."""

    id: str
    plain: str
    ratio: float | None = None
    pulls: Mapping[int, float] | None = None


@entry
class FrontMechBand(Row):
    """Band diameters of front derailleurs, mm."""

    key: ClassVar[tuple[str, ...]] = ()

    diameters: tuple[float, ...]


@entry
class RingMount(Row):
    """How a chainring sits on its crank: arms, bolt circle in mm, smallest teeth. `unclear`: what the row leaves open."""

    id: str
    arms: int
    plain: str
    circle: int | None = None
    smallest: int | None = None
    unclear: str = ""


@entry
class ChainLine(Row):
    """Usual chain line in front and behind, mm from the frame's middle."""

    id: str
    front: float
    rear: float
    plain: str


@entry
class PedalThread(Row):
    """Thread of pedal and crank; diameter over its crests, mm."""

    id: str
    plain: str
    diameter: float


@entry
class Hanger(Row):
    """A kind of gear hanger."""

    id: str
    plain: str
