"""What many parts teach a workshop: level of the log rate by class, bias of each instrument, by evidence.

log evidence of all readings, plus log priors, is raised in rounds: each workshop moves along the slope of its parts (Fisher's
identity) by steps of the outer product of their slopes. This is the one learner: of chains from files (`_learn_chains`), and
of a workshop's own parts (`_learn_own`).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._batch import ONE_BY_ONE, Batch, over, weigh
from pinchbolt.engines.wear._compiled import compiled
from pinchbolt.engines.wear._lines import DRIFTED
from pinchbolt.engines.wear._scale import Array

NODES = 16
# How far a workshop may be from the trade, as a whole and by class (log rate). Assumptions, fitted where workshops are many.
SHOP_SD, CLASS_SD = 0.12, 0.16
PRIOR_SHOPS = 4.0  # how many workshops these assumptions count for
LIVES_SD = 0.30
PRIOR_BIASES = 8.0  # how many instruments the usual spread of biases counts for
# How far all instruments of one workshop are off together (percent), before any is known, and how many workshops that counts
# for: the same hand, the same chains that it buys. Assumptions.
COMMON_SD, PRIOR_COMMON = 0.01, 4.0
READ = 0.98  # of its prior variance is left of a bias that readings were taken with
MOMENT_STEPS = 20
MOST_MOVE = 0.25  # of any figure in one round
TAKEN = 0.6  # of a step: where parts differ less than believed, whole steps swing from side to side


@dataclass(slots=True)
class LevelBelief:
    """Per workshop: mean of what is asked (levels by class, then biases by instrument) and its covariance; the classes' own
    mean, and spreads between workshops. `prior_mean`, `prior_sd` of the biases (levels: 0, and by the spreads); `one_story`:
    it is clear what such an instrument usually shows; `bias_spread`: times as far as usual they differ from that; `drifts`:
    what is common may have come by drift."""

    mean: Array  # workshops x asked
    cov: Array  # workshops x asked x asked
    classes: Array
    shop_sd: float
    class_sd: float
    prior_mean: Array
    prior_sd: Array
    one_story: NDArray[np.bool_]
    common: Array
    common_var: Array
    bias_spread: float = 1.0
    drifts: bool = True

    @property
    def levels(self) -> int:
        """Number of classes."""
        return len(self.classes)

    @property
    def drifted(self) -> Array:
        """By how much the biases of each workshop differ from chain to chain because they drifted: sd, one a workshop.

        Instruments that are off together by b were not so from the first day on: at one chain they were off by nothing, at
        another by 2 b, and they go on drifting along each.
        """
        return np.asarray(DRIFTED * np.abs(self.common) * self.drifts)

    def biases_before(self) -> tuple[Array, Array]:
        """Mean and variance of what each bias of each workshop was before its own readings (workshops x biases)."""
        mean, sd = self.prior_mean[:, self.levels :], self.prior_sd[:, self.levels :]
        return mean + self.common[:, None], sd**2 + self.common_var[:, None]


@dataclass(frozen=True, slots=True)
class Slopes:
    """Of each part: log evidence, and its slope by all that is asked of its workshop (parts x asked)."""

    evidence: Array
    slope: Array


def first_belief(shops: int, classes: int, bias: Array, bias_sd: Array) -> LevelBelief:
    """What is believed before any part: levels 0, biases *bias* give or take *bias_sd*."""
    asked = classes + len(bias)
    mean, sd = np.zeros((shops, asked)), np.ones((shops, asked))
    mean[:, classes:], sd[:, classes:] = bias, bias_sd
    return LevelBelief(
        mean.copy(),
        np.zeros((shops, asked, asked)),
        np.zeros(classes),
        SHOP_SD,
        CLASS_SD,
        mean,
        sd,
        np.zeros((shops, asked), bool),
        np.zeros(shops),
        np.zeros(shops),
    )


def weighed(batch: Batch) -> tuple[Array, Array, Array]:
    """Log evidence of each part, its slopes by mean log rate and by the mean of each bias (own scale)."""
    n = len(batch.mu)
    evidence, by_rate, by_bias = np.zeros(n), np.zeros(n), np.zeros((n, max(batch.bias.shape[1], 1)))
    run = compiled()[1] if n > ONE_BY_ONE else weigh
    over(n, lambda a, b: run(batch, a, b, NODES, evidence, by_rate, by_bias))
    return evidence, by_rate, by_bias


def rounds(belief: LevelBelief, shop: NDArray[np.int64], count: int, slopes: Callable[[], Slopes]) -> None:
    """Move every workshop's belief towards its parts, *count* times. In place."""
    for _ in range(count):
        found = slopes()
        for s in range(len(belief.mean)):
            _move(belief, s, found.slope[shop == s])
        _spread_of_workshops(belief)
        _common_biases(belief)
        _spread_of_biases(belief)


def _move(belief: LevelBelief, s: int, slope: Array) -> None:
    """One step of one workshop: slope over information, both with the prior's."""
    levels = belief.levels
    usual, var = (each[s] for each in belief.biases_before())
    prior_cov = np.diag(np.concatenate([np.zeros(levels), var]))
    prior_cov[:levels, :levels] = belief.shop_sd**2 + belief.class_sd**2 * np.eye(levels)
    prior = np.linalg.inv(prior_cov)
    centre = np.concatenate([belief.classes, usual])
    belief.cov[s] = np.linalg.inv(slope.T @ slope + prior)
    step = belief.cov[s] @ (slope.sum(axis=0) - prior @ (belief.mean[s] - centre))
    belief.mean[s] += TAKEN * step * min(1.0, MOST_MOVE / max(float(np.abs(step).max()), 1e-12))


def _spread_of_workshops(belief: LevelBelief) -> None:
    """Means of the classes over workshops, and how far workshops differ, by their moments with the prior's weight.

    One workshop can't tell its level from the trade's: what it learns stays with it.
    """
    shops, k = len(belief.mean), belief.levels
    if shops < 2 or k < 2:
        return
    levels = belief.mean[:, :k]
    var = np.array([np.diag(c)[:k] for c in belief.cov])
    weight = 1 / (var + belief.shop_sd**2 + belief.class_sd**2)
    belief.classes = (weight * levels).sum(axis=0) / (weight.sum(axis=0) + 1 / LIVES_SD**2)
    off = levels - belief.classes
    square = np.einsum("si,sj->ij", off, off) + belief.cov[:, :k, :k].sum(axis=0)
    own = np.trace(square) / k
    shared = (square.sum() - np.trace(square)) / (k * (k - 1))
    whole = (shared + PRIOR_SHOPS * SHOP_SD**2) / (shops + PRIOR_SHOPS)
    rest = (own - shared + PRIOR_SHOPS * CLASS_SD**2) / (shops + PRIOR_SHOPS)
    belief.shop_sd, belief.class_sd = float(np.sqrt(max(whole, 0.0009))), float(np.sqrt(max(rest, 0.0009)))


def _seen_alone(belief: LevelBelief) -> tuple[NDArray[np.bool_], Array, Array]:
    """Instruments of which it is clear what they are, and that readings were taken with (workshops x biases); what those
    readings alone say of each, less what such an instrument usually shows, and its variance: the belief without its prior."""
    levels = belief.levels
    var = np.array([np.diag(c) for c in belief.cov])[:, levels:]
    usual, before = belief.biases_before()
    seen = belief.one_story[:, levels:] & (var < READ * before)
    alone = 1 / (1 / var[seen] - 1 / before[seen])
    off = (belief.mean[:, levels:] - usual)[seen] / var[seen] * alone
    found, doubt = np.zeros(var.shape), np.full(var.shape, np.inf)
    found[seen] = off + (usual - belief.prior_mean[:, levels:])[seen]
    doubt[seen] = alone
    return seen, found, doubt


def _common_biases(belief: LevelBelief) -> None:
    """By how much all instruments of each workshop are off together, and how far workshops are in that, by moments. In place.

    Where new chains read as worn on rule and caliper alike, a go/no-go gauge of that workshop is likely off the same way: it
    shows nothing of new chains itself.
    """
    if len(belief.mean) < 2:
        return
    _, off, doubt = _seen_alone(belief)
    weight = 1 / (doubt + belief.prior_sd[:, belief.levels :] ** 2)
    precision, found = weight.sum(axis=1), (weight * off).sum(axis=1)
    square = COMMON_SD**2
    for _ in range(MOMENT_STEPS):
        var = 1 / (precision + 1 / square)
        square = float(
            (PRIOR_COMMON * COMMON_SD**2 + ((var * found) ** 2 + var).sum()) / (PRIOR_COMMON + len(var))
        )
    belief.common_var = 1 / (precision + 1 / square)
    belief.common = belief.common_var * found


def _spread_of_biases(belief: LevelBelief) -> None:
    """How far instruments differ from what such instruments usually show: one factor for all, by its moments. In place.

    Where gauges drift, new chains show it on rules and calipers; that go/no-go gauges are then no surer is what this carries
    over to them. What is common to all of a workshop is not counted again.
    """
    levels = belief.levels
    sd, one = belief.prior_sd[:, levels:], belief.one_story[:, levels:]
    seen, off, doubt = _seen_alone(belief)
    if seen.sum() < 2:
        return
    rest, alone = (off - belief.common[:, None])[seen], doubt[seen]
    usual, square = (sd[seen] / belief.bias_spread) ** 2, belief.bias_spread**2
    for _ in range(MOMENT_STEPS):
        left = 1 / (1 / (square * usual) + 1 / alone)
        found = ((left * rest / alone) ** 2 + left) / usual
        square = float((PRIOR_BIASES + found.sum()) / (PRIOR_BIASES + len(found)))
    sd[one] *= np.sqrt(square) / belief.bias_spread
    belief.bias_spread = float(np.sqrt(square))
