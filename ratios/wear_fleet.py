"""From drawn lives to the arrays of the wear engine, as a workshop would hand them over."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._evidence import Fit, fit_by_evidence, shifted
from pinchbolt.engines.wear._many import Fleet
from ratios.wear_lives import (
    BIAS,
    BIAS_SD,
    KM_A_WEEK,
    KM_A_WEEK_LOG_SD,
    LIFE_KM,
    LIMIT,
    READING_SD,
    Array,
    Lives,
)

NEW, NEW_SD = 0.02, 0.02
PER_UNIT = 1.0 / (LIMIT - NEW)
LIFE_LOG_SD, CHAIN_LOG_SD = 0.46, 0.18
NOISE = (120.0, 0.15, 500.0)
MISREAD = 0.02
RECORD_SHARE, WORD_SHARE = 0.02, 0.17
STEP_LOG_SD = 0.27  # of a day's use from visit to visit


def use_a_day(life: Lives, seen: int) -> tuple[Array, Array]:
    """Mean and sd of the log of km a day, from the class and the stated distances of the first *seen* visits."""
    prior = np.log(KM_A_WEEK[life.of.use_class] / 7)
    noise = np.where(life.of.source == 0, STEP_LOG_SD, np.hypot(STEP_LOG_SD, 0.15)) ** 2
    known = np.isfinite(life.stated[:, :seen])
    logs = np.where(known, np.log(np.where(known, life.stated[:, :seen], 1.0) / life.days[:, :seen]), 0.0)
    precision = 1 / KM_A_WEEK_LOG_SD**2 + known.sum(axis=1) / noise
    mean = (prior / KM_A_WEEK_LOG_SD**2 + logs.sum(axis=1) / noise) / precision
    return mean, 1 / np.sqrt(precision)


def distances(life: Lives, seen: int) -> tuple[Array, Array]:
    """Distance before each of the first *seen* visits and its variance; a missing one is days times the use a day."""
    mean, sd = use_a_day(life, seen)
    stated, days = life.stated[:, :seen], life.days[:, :seen]
    var_log = (sd**2 + STEP_LOG_SD**2)[:, None]
    guess = np.exp(mean[:, None] + var_log / 2) * days
    share = np.where(life.of.source == 0, RECORD_SHARE, WORD_SHARE)[:, None]
    missing = ~np.isfinite(stated)
    use = np.where(missing, guess, stated)
    return use, np.where(missing, guess**2 * np.expm1(var_log), (share * use) ** 2)


def fleets(
    life: Lives,
    seen: int,
    *,
    rows: NDArray[np.int64] | None = None,
    mu: Array | None = None,
    sigma: Array | None = None,
    fit: Fit | None = None,
) -> Iterator[tuple[NDArray[np.int64], Fleet]]:
    """Yield rows and their fleet after *seen* readings, one fleet for each number of instruments used on a part."""
    rows = np.arange(len(life.at)) if rows is None else rows
    use, use_var = distances(life, seen)
    gauge = life.gauge[:, :seen]
    order = _first_uses(gauge)
    counts = order.max(axis=1) + 1
    mu = -np.log(LIFE_KM[life.of.use_class]) if mu is None else mu
    sigma = np.full(len(mu), LIFE_LOG_SD) if sigma is None else sigma
    for count in np.unique(counts[rows]):
        here = rows[counts[rows] == count]
        fleet = _fleet(life, here, seen, int(count), order, use, use_var, mu, sigma)
        yield here, fleet if fit is None else shifted(fleet, life.of.use_class[here], fit)


def learned(life: Lives, seen: int) -> Fit:
    """What a set of other lives teaches of all: lives by class, spread and unevenness."""
    return fit_by_evidence(
        [(life.of.use_class[rows], fleet) for rows, fleet in fleets(life, seen)], len(LIFE_KM)
    )


def _first_uses(gauge: NDArray[np.int64]) -> NDArray[np.int64]:
    """Number the instruments of each part in order of first use: 0, 1, ..."""
    n, seen = gauge.shape
    order = np.zeros((n, seen), int)
    number = np.full((n, 4), -1)
    used = np.zeros(n, int)
    i = np.arange(n)
    for j in range(seen):
        new = number[i, gauge[:, j]] < 0
        number[i[new], gauge[new, j]] = used[new]
        used += new
        order[:, j] = number[i, gauge[:, j]]
    return order


def _fleet(
    life: Lives,
    here: NDArray[np.int64],
    seen: int,
    count: int,
    order: NDArray[np.int64],
    use: Array,
    use_var: Array,
    mu: Array,
    sigma: Array,
) -> Fleet:
    n = len(here)
    gauge, number = life.gauge[here, :seen], order[here]
    mean, sd = np.zeros((n, 1 + count)), np.zeros((n, 1 + count))
    sd[:, 0] = NEW_SD * PER_UNIT
    through = np.zeros((n, seen, 1 + count))
    through[:, :, 0] = 1.0
    i = np.arange(n)
    for j in range(seen):
        mean[i, 1 + number[:, j]] = BIAS[gauge[:, j]] * PER_UNIT
        sd[i, 1 + number[:, j]] = BIAS_SD[gauge[:, j]] * PER_UNIT
        through[i, j, 1 + number[:, j]] = 1.0
    none = np.zeros((n, 1))
    return Fleet(
        mu=mu[here],
        sigma=sigma[here],
        mean=mean,
        sd=sd,
        use=np.hstack([use[here], none]),
        use_var=np.hstack([use_var[here], none]),
        low=(life.low[here, :seen] - NEW) * PER_UNIT,
        high=(life.high[here, :seen] - NEW) * PER_UNIT,
        gauge_sd=READING_SD[gauge] * PER_UNIT,
        through=through,
        noise=NOISE,
        misread=MISREAD,
    )
