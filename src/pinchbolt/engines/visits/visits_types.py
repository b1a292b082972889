"""What the visits engine takes and gives: bikes that are due, the room of each week, and who is asked in which."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BikeDue:
    """A bike to be asked back.

    `past` is the chance that it is past its limit at the start of week 0, 1, 2 ... and at the end of the last; one more than
    there are weeks, never falling. `loss` is what being past costs, `early` what each week before its own day `own_week`
    costs, `minutes` the bench time that it takes.
    """

    name: str
    past: tuple[float, ...]
    own_week: int
    minutes: float
    loss: float
    early: float = 0.0
    safety: bool = False


@dataclass(frozen=True, slots=True)
class AskedBack:
    """A bike, the week in which it is asked back, and the chance that it is past its limit by then."""

    name: str
    week: int
    chance_past: float


@dataclass(frozen=True, slots=True)
class WeeksPlan:
    """Every bike with its week, in order; `over` are the minutes of each week beyond its room."""

    asked: tuple[AskedBack, ...]
    cost: float
    over: tuple[float, ...]
    by: str
