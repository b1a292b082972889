"""Days until a mark is passed: the guarded law of use, met by a use a day that is itself uncertain."""

from datetime import date, timedelta

import numpy as np

from pinchbolt.engines.wear._hunt import Law, chance_of, grid_of
from pinchbolt.engines.wear._normal import HERMITE_W, HERMITE_X, integral, probit
from pinchbolt.engines.wear._one import bent
from pinchbolt.engines.wear._scale import Array
from pinchbolt.engines.wear.wear_types import RateOfUse
from pinchbolt.values import DaySpread

TEN_YEARS = 3652.0
# Each turn lays fifteen days between two, so that a sixteenth is left: as close as twenty-four halvings, in a quarter of the calls.
PARTS, TURNS = 16, 6


class Days:
    """Chance of being past a mark after some days: the mean of the law of use over a lognormal use a day.

    Between the points at which the law of use is *laid* down its probit goes straight, so the order of two laws is kept.
    Where it is not laid down (a clock, which jumps between two such points) it is asked anew.
    """

    def __init__(
        self,
        law: Law,
        mark: float,
        laid: Array | None,
        use: RateOfUse,
        width: float,
        used: float,
        bend: float,
    ) -> None:
        self.law, self.mark, self.laid, self.width = law, mark, laid, width
        self.speed = use.median_a_week / 7 * np.exp(use.log_sd * HERMITE_X)
        self.used, self.bend = used, bend
        if laid is None:
            return
        grid = grid_of(law)
        now = probit(chance_of(law, np.array([mark]), np.zeros(1)))
        # Today is a point of its own: whether it is past now must not be smoothed over.
        self.use = np.concatenate([grid[grid < 0], [0.0], grid[grid > 0]])
        self.probits = np.concatenate([probit(laid[grid < 0]), now, probit(laid[grid > 0])]) / width

    def chance(self, days: Array) -> Array:
        """Chance of being past the mark after each of *days* (below 0: before today)."""
        use = days[:, None] * self.speed
        if self.bend != 1.0:
            use = bent(self.used + use, self.bend) - bent(np.array([self.used]), self.bend)
        if self.laid is None:
            flat = use.reshape(-1)
            chance = chance_of(self.law, np.full(len(flat), self.mark), flat).reshape(use.shape)
            return np.asarray(chance @ HERMITE_W)
        return np.asarray(integral(np.interp(use, self.use, self.probits)) @ HERMITE_W)

    def until(self, levels: Array) -> Array:
        """Days until the chance reaches each of *levels*, within ten years either way; infinite beyond."""
        low, apart = np.full(len(levels), -TEN_YEARS), 2 * TEN_YEARS
        never = self.chance(low + apart) < levels
        steps = np.arange(1, PARTS)
        for _ in range(TURNS):
            apart /= PARTS
            between = low[:, None] + steps * apart
            below = self.chance(between.ravel()).reshape(between.shape) < levels[:, None]
            low += below.sum(1) * apart
        return np.where(never, np.inf, low + apart)

    def spread(self, today: date, levels: Array) -> DaySpread:
        """The days of five levels; None beyond ten years."""
        a, b, c, d, e = (
            None if days == np.inf else today + timedelta(days=round(days))
            for days in self.until(levels).tolist()
        )
        return DaySpread(c, (b, d), (a, e))
