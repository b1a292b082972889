"""What the torque engine is asked and what it answers. Torque in N·m throughout."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from pinchbolt.values import Interval, Reason

LimitKind = Literal["marking", "shop table", "trade table"]


@dataclass(frozen=True, slots=True)
class TorqueMarking:
    """A value read off a part. A lone value is a greatest value; a range gives both ends.

    `means` is "target" only where the part or its maker's sheet plainly names the value to use. A target then
    stands in `greatest`; it moves the aim and limits nothing.
    """

    part: str
    greatest: float
    least: float | None = None
    means: Literal["greatest", "target"] = "greatest"


@dataclass(frozen=True, slots=True)
class TorqueRange:
    """Least, greatest and usual torque that a table gives for a joint."""

    least: float
    greatest: float
    typical: float
    source: str


@dataclass(frozen=True, slots=True)
class JointSpec:
    """One joint of one bike: the table rows for it and what could be read on its parts.

    `critical` is "A" where failure can throw the rider; `recheck_months` and `first_km` are the table's, None
    where it has none.
    """

    id: str
    name: str
    parts: tuple[str, ...]
    trade: TorqueRange
    shop: TorqueRange | None = None
    markings: tuple[TorqueMarking, ...] = ()
    table_is_no_default: bool = False
    critical: str = ""
    recheck_months: float | None = None
    first_km: float | None = None


@dataclass(frozen=True, slots=True)
class Governs:
    """Which limit decides an end of the window, and where it stands."""

    value: float
    kind: LimitKind
    named: str


@dataclass(frozen=True, slots=True)
class JointWindow:
    """What all parts of the joint accept together; `aim` is where to set if nothing else speaks.

    `without_markings` is the table's range alone; 0 to infinite where no table may stand in for the maker.
    """

    joint: str
    floor: float
    cap: float
    aim: float
    floor_by: Governs
    cap_by: Governs
    without_markings: tuple[float, float]
    reasons: tuple[Reason, ...]
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ToolSpec:
    """A torque tool. `steps` lists the only settings of a preset tool; else settings go by `step` within the range.

    `deviation` is (shown - true) / true at worst, as ISO 6789-1 defines it. `tested_from` is the lowest torque that the
    tool's certificate covers; None: a fifth of the greatest, as the 2003 edition tests. `untested`: nobody has ever
    calibrated it here, and it is of a kind that does not keep its value by itself. `points` are those of its certificate,
    what it showed and by how much of the true torque that was too high: they tell what to expect, and never narrow `deviation`.
    """

    id: str
    name: str
    least: float
    greatest: float
    deviation: float
    step: float = 0.1
    steps: tuple[float, ...] = ()
    due: date | None = None
    arm: float | None = None
    tested_from: float | None = None
    untested: bool = False
    points: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Setting:
    """Where to set a tool. `lowest` to `highest` is the whole safe range of settings; `applies` what the bolt may get.

    `may_fall_short_by` is 0 where both ends are guaranteed; above 0 only the upper end is (see `guard_upper`).
    """

    tool: str
    set: float
    lowest: float
    highest: float
    applies: Interval
    reasons: tuple[Reason, ...]
    warnings: tuple[str, ...] = ()
    may_fall_short_by: float = 0.0


@dataclass(frozen=True, slots=True)
class DoneJudged:
    """A done value against its window, with the tool's deviation carried. `inside` only where that is certain."""

    inside: bool
    applied: Interval
    words: str
