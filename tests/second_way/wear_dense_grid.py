"""The wear forecast of one part with one instrument on a dense grid of (rate, wear, bias): no moments, no Gaussian closure.

For each rate the density over wear and bias is carried on a grid; growth is a convolution by a normal cut into cells, a
reading a product with its likelihood at every cell. Slow, plain, and right to the width of a cell.
"""

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from tests.second_way.wear_one_part import FLAT, Part, variance_of_growth

Array = NDArray[np.float64]
RATES, WEARS, BIASES = 37, 241, 15


class DenseGrid:
    """Posterior of one part on the grid, after all its readings."""

    def __init__(self, part: Part) -> None:
        self.part = part
        z = np.linspace(-3.7, 3.7, RATES)
        self.rates = np.exp(part.mu + part.sigma * z)
        prior = np.exp(-0.5 * z**2)
        prior /= prior.sum()
        self.edges = np.linspace(-0.6, 2.4, WEARS + 1)
        self.wear = 0.5 * (self.edges[1:] + self.edges[:-1])
        unit = np.linspace(-3.5, 3.5, BIASES)
        self.bias_weight = np.exp(-0.5 * unit**2) / np.exp(-0.5 * unit**2).sum()
        self.bias = part.biases[0][0] + part.biases[0][1] * unit
        density = np.stack([prior[k] * self._all_readings(rate) for k, rate in enumerate(self.rates)])
        self.evidence = float(np.log(density.sum()))
        self.density = density / density.sum()

    def _all_readings(self, rate: float) -> Array:
        part = self.part
        first = np.diff(ndtr((self.edges - part.start[0]) / part.start[1]))
        cells = first[:, None] * self.bias_weight[None, :]
        for look in part.looks:
            cells = self._grown(cells, rate, look.use, look.use_var) * self._likelihood(
                look.low, look.high, look.sd
            )
        return self._grown(cells, rate, *part.use_to_now).sum(axis=1)

    def _grown(self, cells: Array, rate: float, use: float, use_var: float) -> Array:
        sd = rate * np.sqrt(variance_of_growth(use, self.part.noise) + use_var)
        if sd == 0.0:
            return cells
        ends = (self.edges[:, None] - self.wear[None, :] - rate * use) / sd
        below = ndtr(ends)
        below[0], below[-1] = 0.0, 1.0  # what leaves the grid stays in its last cell
        return np.diff(below, axis=0) @ cells

    def _likelihood(self, low: float, high: float, sd: float) -> Array:
        expected = self.wear[:, None] + self.bias[None, :]
        width = FLAT[1] - FLAT[0]
        if low == high:
            good = np.exp(-0.5 * ((low - expected) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
            slip = 1 / width
        else:
            good = ndtr((high - expected) / sd) - ndtr((low - expected) / sd)
            slip = max(min(high, FLAT[1]) - max(low, FLAT[0]), 1e-3 * width) / width
        return (1 - self.part.misread) * good + self.part.misread * slip

    def passed_by(self, use: Array) -> Array:
        """Chance that the limit is passed within each of *use*."""
        chance = np.zeros(len(use))
        for k, rate in enumerate(self.rates):
            for j, x in enumerate(use):
                sd = rate * np.sqrt(variance_of_growth(float(x), self.part.noise))
                past = ndtr((self.wear + rate * x - 1.0) / max(sd, 1e-9))
                chance[j] += float(self.density[k] @ past)
        return chance
