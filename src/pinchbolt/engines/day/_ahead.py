"""A shop as it stands, and what its records taught."""

from dataclasses import dataclass, field

from pinchbolt.engines.day._coming_in import ComingIn
from pinchbolt.engines.day._hours import AtBikes
from pinchbolt.engines.day._stand_minutes import StandMinutes
from pinchbolt.engines.day._waiting_days import WaitsLearned
from pinchbolt.engines.day.day_types import Hands, JobAhead

RUNS = 256


@dataclass(frozen=True, slots=True)
class ShopTaught:
    """All that the shop's records taught; the trade's values until then."""

    minutes: StandMinutes = field(default_factory=StandMinutes)
    waiting: WaitsLearned = field(default_factory=WaitsLearned)
    coming: ComingIn = field(default_factory=ComingIn)
    at_bikes: AtBikes = field(default_factory=AtBikes)


@dataclass(frozen=True, slots=True)
class ShopAhead:
    """A shop as it stands: the clock now [min], who is in when, how many stands, the jobs that are open, what was learned.

    `seed` and `runs` decide the chance: the same give the same odds.
    """

    now: float
    hands: tuple[Hands, ...]
    stands: int
    jobs: tuple[JobAhead, ...]
    learned: ShopTaught = field(default_factory=ShopTaught)
    seed: int = 0
    runs: int = RUNS
