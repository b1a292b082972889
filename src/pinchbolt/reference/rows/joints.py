"""Fasteners: joints, threads, property classes and what a torque buys."""

from typing import ClassVar, Literal

from pinchbolt.reference.rows.base import Row, entry
from pinchbolt.reference.rows.condition import Condition

Prep = Literal[
    "grease", "anti-seize", "threadlock-medium", "threadlock-low", "pre-coated", "dry", "carbon-paste"
]  # fmt: skip


@entry
class JointRow(Row):
    """A fastener with the parts that it clamps. Torque in N·m; the marking on the part wins over all of it.

    `on` names the kinds of part that bring it, at `end` alone where one is given, and `when` what must hold besides.
    A row stands in where the facts that it names in `if_unknown` are not known: the one that no part can object to.
    What is set by play or by feel, or is held by something else, is not `tried_again`: that would undo what was set.
    `makers_figure_only`: the range only says in what region such figures lie, and is no answer.
    Of the kinds in `elsewhere` it clamps the one that stands at another place than the part that brings it.
    `closed_by`: a tool that shows torque, a hand with a lever or a knurled nut, or the tension of a spoke; what no tool
    shows has figures that only say in what region the work lies. `bolt_class` is the property class that the figures take
    for granted. `counter` is what holds the other side meanwhile. `star`: its bolts are drawn down across and across;
    `passes`: all of them so many times, snug, half, full.
    """

    id: str
    name: str
    place: str
    on: tuple[str, ...]
    thread: str
    count: int
    drive: tuple[str, ...]
    low: float
    high: float
    typical: float
    prep: Prep
    pattern: str
    parts: tuple[str, ...]
    critical: Literal["A", "B", "C"]
    recheck: int
    when: tuple[Condition, ...] = ()
    end: Literal["", "front", "rear"] = ""
    if_unknown: tuple[str, ...] = ()
    elsewhere: tuple[str, ...] = ()
    conflict: str = ""
    caution: str = ""
    first_km: int | None = None
    tried_again: bool = True
    makers_figure_only: bool = False
    hand: str = "right"
    closed_by: Literal["torque", "hand", "tension"] = "torque"
    bolt_class: str = ""
    counter: tuple[str, ...] = ()
    star: bool = False
    passes: Literal[1, 2, 3] = 1
    public_against_ours: Literal["", "inside", "overlaps", "mixed", "outside"] = ""
    widened_after_seeing: str = ""


@entry
class JointCase(Row):
    """Other figures of a joint, where a part is of another stuff or size, or its bolt has another thread. Torque in N·m.

    `when` must hold all of it, of the part that brings the joint and of others; `threads` are those that were read on the
    bolt. Of all cases that hold or may hold, and of the joint's own row where none is sure, the one with the lowest greatest
    value counts: what is not known is never taken for the stronger part. `when_known`: it can't be overlooked by a hand
    (another shape of clamp), so that it counts only where it is known. `makers_figure_only`: no figure but the maker's.
    """

    id: str
    joint: str
    words: str
    low: float
    high: float
    typical: float
    when: tuple[Condition, ...] = ()
    threads: tuple[str, ...] = ()
    prep: Literal[
        "", "grease", "anti-seize", "threadlock-medium", "threadlock-low", "pre-coated", "dry", "carbon-paste"
    ] = ""
    when_known: bool = False
    makers_figure_only: bool = False


@entry
class JointOrder(Row):
    """What is tightened before what, at the same end of the bike; `words` say why."""

    id: str
    first: tuple[str, ...]
    then: tuple[str, ...]
    words: str
    end: Literal["", "front", "rear"] = ""
    if_unknown: tuple[str, ...] = ()


@entry
class Thread(Row):
    """An ISO metric thread: diameter and pitch in mm, stress area in mm2."""

    id: str
    d: float
    pitch: float
    stress_area: float


@entry
class PropertyClass(Row):
    """A bolt's property class and its proof stress in MPa."""

    id: str
    proof: float


@entry
class NutFactor(Row):
    """K in T = K d F for a preparation; `spread` is one sigma of the preload for the same torque, relative."""

    key: ClassVar[tuple[str, ...]] = ("prep",)

    prep: Prep
    k: float
    spread: float
