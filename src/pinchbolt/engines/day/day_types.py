"""What the day engine is asked and what it answers. A clock is in minutes from the start of today, by the clock on the wall."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pinchbolt.values import Reason

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]

DAY = 1440.0
"""Minutes of a day."""


@dataclass(frozen=True, slots=True)
class Wait:
    """Something that must come before work can start: a part from a supplier, or the owner's answer.

    `due` is the day that was said, counted from today, None where nobody said one. `since` counts the open days that have gone by
    since it was ordered or asked; where a day was said, since that one.
    """

    what: str = "part"
    supplier: str = ""
    since: int = 0
    due: int | None = None


@dataclass(frozen=True, slots=True)
class JobAhead:
    """A job that is not done.

    `minutes` are the estimate's low, usual and high of what is left. [min] `used`: minutes spent on the stand already, None
    where it is not begun. [min] `promise`: by when it is promised, None where nothing is. [min] `nights`: nights that glue, sealant
    or fluid need after the work; `after`: minutes of second look and ten stops, which nothing shortens. [min] `needs`: kinds of
    work that not everybody does. `cured_on`: the day, counted from today, on which what was done already has had its nights; 0: it has.
    """

    id: str
    minutes: tuple[float, float, float]
    kind: str = ""
    promise: float | None = None
    used: float | None = None
    used_by: str = ""
    waits: tuple[Wait, ...] = ()
    nights: int = 0
    after: float = 0.0
    needs: frozenset[str] = frozenset()
    cured_on: int = 0


@dataclass(frozen=True, slots=True)
class Hands:
    """A person and when they are in: for each day from today (opens, closes) in minutes of that day, None where they are away. [min]

    `lacks` names kinds of work that they leave to others.
    """

    name: str
    days: Sequence[tuple[float, float] | None]
    lacks: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class DoneJob:
    """A job that was done: minutes by the estimate, minutes that it stood on a stand, its main kind of work, who did it. [min]"""

    usual: float
    took: float
    kind: str
    person: str


@dataclass(frozen=True, slots=True)
class PastJob:
    """A job as it came in: usual minutes [min], its lead, open days until work could start, nights.

    The lead counts open days to the day of its first promise, with the share of that day's hours behind the point: 1.5 is the middle
    of the next open day. [days] `queue`: usual minutes of the jobs that stood here unbegun then, None where that is not known. [min]
    """

    usual: float
    lead: float
    wait: float = 0.0
    nights: int = 0
    queue: float | None = None


@dataclass(frozen=True, slots=True)
class Odds:
    """By when, and how likely. [min], [-]"""

    at: float
    odds: float


@dataclass(frozen=True, slots=True)
class OtherOdds:
    """The odds of another open promise without the new job and with it. [-]"""

    id: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class PromiseOdds:
    """Days for a job: `best` is the first at the chosen odds (None: none within the days asked), `days` what is said, best first.

    `others` are the open promises, the hardest hit first, `reasons` what decides. `middle` and `late`: when it is ready in the
    middle and in nine of ten runs, promised for the best day. [min]

    Where no day is at the chosen odds: `is_full` says that the shop's queue is why, and not the job's own part, night or hands;
    `if_none_sooner` is then the first day that is, if nothing that comes in is done before it (None: not even then).
    """

    best: Odds | None
    days: tuple[Odds, ...]
    all_days: tuple[Odds, ...]
    others: tuple[OtherOdds, ...]
    middle: float
    late: float
    reasons: tuple[Reason, ...] = field(default=())
    is_full: bool = False
    if_none_sooner: Odds | None = None
