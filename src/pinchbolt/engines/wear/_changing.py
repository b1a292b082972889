"""One chain after another, looked at now and then: how long a chain stays on, and what it does to the cassette by then."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.wear._scale import Array, unevenness

STEPS = 24  # steps of the grid between two looks, or in a spread of a jump where that is more
KNOTS = 160  # points at which the damage of one more look is worked out; it is smooth between them
SETTLED = 30  # looks, and spreads of a jump, after which the renewal density is taken as its limit


@dataclass(frozen=True, slots=True)
class Looks:
    """Growth counted in km, from one look to the next, as independent steps of a gamma process.

    `step` is the grid's width, `growth` the shares of growth between two looks by cell, `visits` the expected number of
    looks that find a chain in each cell, as far as it is not yet even; beyond it is `step / every`.
    """

    every: float
    step: float
    growth: Array
    visits: Array

    def length_km(self, mark: float | Array) -> Array:
        """Expected use at the first look that finds a growth of *mark* or more. [km]"""
        return np.asarray(self.every * self._summed(np.asarray(mark, float), None))

    def damage(self, of: Callable[[Array], Array], mark: Array) -> Array:
        """Expected *of* (growth) at the first look that finds *mark* or more; *of* takes growth in km.

        E[f(end)] = f(0) + sum over looks before the end of E[f(growth after one look more) - f(growth)].
        """
        knots: Array = np.linspace(0.0, float(np.max(mark)) + self.step, KNOTS, dtype=np.float64)
        later: Array = self.step * np.arange(len(self.growth), dtype=np.float64)
        gain = np.asarray(of(np.add.outer(knots, later)) @ self.growth - of(knots))
        return np.asarray(of(np.zeros(1))[0] + self._summed(mark, lambda at: np.interp(at, knots, gain)))

    def _summed(self, mark: Array, gain: Callable[[Array], Array] | None) -> Array:
        """Sum of *gain* over the looks that find less than *mark*; the first is the fitting, at a growth of 0."""
        cells = max(int(np.max(mark) / self.step) + 2, 2)
        visits = np.full(cells, self.step / self.every)
        known = self.visits[:cells]
        visits[: len(known)] = known
        at: Array = self.step * np.arange(cells, dtype=np.float64)
        told = visits if gain is None else visits * gain(at)
        first = 1.0 if gain is None else float(gain(np.zeros(1))[0])
        # A cell holds half a step to both sides of its middle; what lies at 0 itself is the fitting.
        edges = np.concatenate([[0.0], at + self.step / 2])
        return np.asarray(np.interp(mark, edges, np.concatenate([[first], np.cumsum(told)])))


def looked_at(every: float, uneven: tuple[float, float, float]) -> Looks:
    """Return the growth of chains that are looked at every *every* km from their fitting on.

    Growth between two looks is gamma with mean *every* and the law's variance q(every); the looks are taken as
    independent. visits = sum over k of the k-fold convolution, by the renewal equation u = 1 at 0 + growth * u.

    Args:
        every: Use between two looks. [km]
        uneven: noise, slow_sd and slow_use of the law. [km, -, km]

    Returns:
        The looks. [km]

    Valid for: Many looks a life down to less than one. The slow unevenness counts in the spread of a step, not in the
        likeness of neighbouring steps.

    Source: Renewal theory, standard results.
    """
    from scipy.special import gammainc  # noqa: PLC0415

    spread = max(float(unevenness(np.array(every), *uneven)), (every / 200) ** 2) / every
    step = max(every, spread) / STEPS
    cells = int((every + 25 * spread + 6 * (every * spread) ** 0.5) / step) + 2
    reached = gammainc(every / spread, step * (np.arange(cells) + 0.5) / spread)
    growth = np.diff(np.concatenate([[0.0], reached]))
    growth /= growth.sum()
    count = int(SETTLED * (every + spread) / step)
    visits = np.zeros(count)
    back = growth[:0:-1]
    for i in range(count):
        take = min(i, len(back))
        came = float(visits[i - take : i] @ back[len(back) - take :]) if take else 0.0
        visits[i] = (came + (i == 0)) / (1.0 - growth[0])
    return Looks(every, step, growth, visits)
