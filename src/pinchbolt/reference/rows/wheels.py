"""Interfaces of the wheel: axles, tyres, rims, valves, spokes."""

from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import PairVerdict, Row, entry


@entry
class Axle(Row):
    """An axle kind: end, spacing and diameter in mm, and what holds the wheel."""

    id: str
    end: Literal["front", "rear"]
    spacing: int
    diameter: int
    plain: str
    hold: Literal["quick release", "nuts", "thru"]


@entry
class HubInFrame(Row):
    """A hub of one axle kind in a frame or fork of another."""

    key: ClassVar[tuple[str, ...]] = ("hub", "frame")

    hub: str
    frame: str
    verdict: PairVerdict
    with_: str = ""
    because: str = ""


@entry
class AxleThread(Row):
    """Thread of a thru axle."""

    id: str
    plain: str


@entry
class BeadSeat(Row):
    """A bead seat diameter in mm and the names it goes by."""

    key: ClassVar[tuple[str, ...]] = ("mm",)

    mm: int
    names: tuple[str, ...]


@entry
class TyreOnHookedRim(Row):
    """Tyre widths allowed on a hooked rim of an inner width, mm."""

    key: ClassVar[tuple[str, ...]] = ("inner",)

    inner: int
    tyre_min: int
    tyre_max: int


@entry
class TyreOnHooklessRim(Row):
    """Tyre widths allowed on a hookless rim of an inner width, mm."""

    key: ClassVar[tuple[str, ...]] = ("inner",)

    inner: int
    tyre_min: int
    tyre_max: int


@entry
class Hookless(Row):
    """What holds for every hookless rim; pressure in bar."""

    key: ClassVar[tuple[str, ...]] = ()

    least_tyre: str
    trade_name: str
    max_bar: float
    tyre_must: str
    tube: str


@entry
class MeasuringRim(Row):
    """Inner width in mm of the rim on which a section width is measured."""

    key: ClassVar[tuple[str, ...]] = ("rim",)

    section: tuple[int, int]
    rim: int


@entry
class MountedWidthRow(Row):
    """How a tyre's width grows with its rim."""

    key: ClassVar[tuple[str, ...]] = ()

    rule: str


@entry
class Valve(Row):
    """A valve and the rim hole it needs, mm."""

    id: str
    hole: float
    plain: str


@entry
class Spoke(Row):
    """A spoke: middle thickness in mm, middle area in mm2."""

    id: str
    middle: float
    area: float
    plain: str


@entry
class SpokeThread(Row):
    """Thread of spoke and nipple: major diameter in mm."""

    id: str
    major: float
    tpi: int
    plain: str


@entry
class Nipple(Row):
    """A nipple by its key size, mm."""

    id: str
    plain: str


@entry
class SpokeLength(Row):
    """How a spoke's length is computed."""

    key: ClassVar[tuple[str, ...]] = ()

    formula: str
