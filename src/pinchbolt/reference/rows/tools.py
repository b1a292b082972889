"""The tool board: tools, sockets, torque tools and their classes, kits."""

from decimal import Decimal
from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import Row, entry

Hangs = Literal["bench", "travel", "both"]


@entry
class ToolRow(Row):
    """A tool, the drives it covers, its sizes in mm, its mass in g and the torque in N·m that it must bear.

    `bits` are the drives that it lets a torque tool turn: bits, sockets, and what has a square hole of its own.
    """

    id: str
    name: str
    covers: tuple[str, ...]
    kit: Hangs
    grams: int
    bits: tuple[str, ...] = ()
    size_min: float | None = None
    size_max: float | None = None
    worn_at: float | None = None
    proof: float | None = None
    lobe_a: float | None = None
    lobe_b: float | None = None
    check: str = ""
    every: int | None = None
    sd: float | None = None
    care: str = ""


@entry
class Socket(Row):
    """The socket in a screw's head, mm across flats, to judge a rounded one."""

    key: ClassVar[tuple[str, ...]] = ("drive",)

    drive: str
    min: float
    max: float


@entry
class ScrewHead(Row):
    """Which key a cap screw and a button-head screw of a thread take."""

    key: ClassVar[tuple[str, ...]] = ("thread",)

    thread: str
    cap: str
    button: str


@entry
class TorqueClass(Row):
    """A class of torque tool and its permissible deviation, relative; some classes change at 10 N·m.

    `keeps`: nothing in it is wound up or set, so that it is reckoned by its class until a check says otherwise.
    """

    id: str
    plain: str
    keeps: bool = False
    deviation: float | None = None
    deviation_to_10: float | None = None
    deviation_over_10: float | None = None


@entry
class TorqueTool(Row):
    """A torque tool: its range in N·m and its steps; a preset tool lists its only settings in `steps`."""

    id: str
    name: str
    class_: str
    range: tuple[float, float]
    kit: Hangs
    grams: int
    drive: str
    step: float | None = None
    steps: tuple[float, ...] = ()


@entry
class TorqueRule(Row):
    """A rule of using torque tools, in words."""

    id: str
    words: str
    example: str = ""


@entry
class KitRow(Row):
    """A named set of tools."""

    id: str
    name: str
    tools: tuple[str, ...]


@entry
class JointChoice(Row):
    """Joints that a kit is chosen for under one word: what may come loose on the road, what is undone for the journey.

    `besides` is what it must do apart from bolts: lift a tyre, close a chain.
    """

    id: str
    name: str
    joints: tuple[str, ...]
    besides: tuple[str, ...] = ()


@entry
class ToolPrice(Row):
    """What a tool costs new, with tax, in the workshop's currency; `id` is the tool's or the torque tool's."""

    id: str
    price: Decimal
