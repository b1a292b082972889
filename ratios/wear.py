"""How forecasts of drawn chains are scored: cover, error, CRPS, calibration, and parts called in time.

Every life is drawn (`ratios/wear_lives.py`), so the figures say how well the method does if the world is like that. Nothing
here is workshop data. `make score-wear` runs them all.
"""

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear import MIXED, ChainLines
from pinchbolt.engines.wear._batch import Batch
from pinchbolt.engines.wear._forecast_chains import foretold
from pinchbolt.engines.wear._scale import OwnScale
from ratios.wear_lives import KM_A_WEEK, LIMIT, VISITS, Array, Lives

LEVELS = np.array([0.025, 0.10, 0.25, 0.50, 0.75, 0.90, 0.975])
TAUS = (np.arange(20) + 0.5) / 20
FLAT_KM = 3000.0
NAMES = np.array([1, 0, 2, 3])  # gauges of the drawn lives in the order of the engine's instruments


def sound_so_far(life: Lives, seen: int) -> NDArray[np.int64]:
    """Parts whose first *seen* readings all lie below the limit."""
    low = np.where(np.isfinite(life.low[:, :seen]), life.low[:, :seen], 0.0)
    return np.flatnonzero((low < LIMIT).all(axis=1))


def said_km(life: Lives) -> Array:
    """Km since the visit before as a workshop has them: as stated, else days times the usual use of the class."""
    guessed = KM_A_WEEK[life.of.use_class][:, None] / 7 * life.days
    return np.where(np.isfinite(life.stated), life.stated, guessed)


def chain_lines(
    life: Lives, seen: int = VISITS, *, closing: str = "", wrong: Array | None = None
) -> ChainLines:
    """Drawn lives as chain lines: *seen* readings; or all up to the visit at which the chain came off.

    *closing* "gauge": it came off when its gauge showed the limit; "bench": it was measured at every visit, and came off at the
    first that found it past; one that is on the road still was not past at its last visit. No workshop knows the km at which a chain
    passed.
    """
    n, i = len(life.at), np.arange(len(life.at))
    gauge = NAMES[life.gauge]
    if wrong is not None:
        gauge = np.where((gauge <= 1) & wrong[life.of.shop.astype(int)][:, None], 1 - gauge, gauge)
    count, closed, after = np.full(n, seen), np.full(n, np.nan), np.full(n, np.nan)
    if closing:
        shown = np.where(np.isfinite(life.low), life.low, -np.inf) >= LIMIT
        past = life.wear >= LIMIT if closing == "bench" else shown
        found = past.any(axis=1)
        count = np.where(found, past.argmax(axis=1) + 1, VISITS)
        reached = np.cumsum(said_km(life), axis=1)
        closed = np.where(found, reached[i, count - 1], np.nan)
        after = np.where(found & (count > 1), reached[i, np.maximum(count - 2, 0)], np.nan)
        if closing == "bench":
            after = np.where(found, after, reached[i, count - 1])
    off = np.arange(VISITS)[None] >= count[:, None]
    return ChainLines(
        shop=life.of.shop.astype(int),
        use=life.of.use_class.astype(int),
        limit=np.full(n, LIMIT),
        closed=closed,
        km=np.where(off, np.nan, life.stated),
        days=life.days,
        gauge=np.where(off, -1, gauge),
        low=np.where(off, -np.inf, life.low),
        high=np.where(off, np.inf, life.high),
        passed_after=after,
        bench=np.full(n, closing == "bench"),
        hub=np.zeros(n, bool),
        start=np.full(n, MIXED),
    )


def cover(life: Lives, seen: int, quantiles: Array) -> tuple[float, float, float]:
    """Share of true remaining km inside the 50, 80 and 95 % intervals (columns as in LEVELS)."""
    true = (life.passes - life.at[:, seen - 1])[sound_so_far(life, seen)]
    return tuple(  # type: ignore[return-value]
        float(np.mean((true >= quantiles[:, a]) & (true <= quantiles[:, 6 - a]))) for a in (2, 1, 0)
    )


def errors(life: Lives, seen: int, median: Array) -> dict[str, float]:
    """Mean error of remaining km, clipped at 0, against a flat 3,000 km and against straight lines through 0.

    The flat distance and the line get the true distance, which is more than anybody knows; `stated line` gets what was said,
    and days times the class's use where nothing was.
    """
    rows = sound_so_far(life, seen)
    true = np.maximum((life.passes - life.at[:, seen - 1])[rows], 0.0)
    at = life.at[rows, seen - 1]
    shown = np.maximum(_middle(life.low[rows, seen - 1], life.high[rows, seen - 1]), 0.02)
    guessed = KM_A_WEEK[life.of.use_class][:, None] / 7 * life.days
    said = np.where(np.isfinite(life.stated), life.stated, guessed)[rows, :seen].sum(axis=1)

    def mean(guess: Array) -> float:
        return float(np.abs(np.maximum(guess, 0.0) - true).mean())

    own, flat = mean(median), mean(FLAT_KM - at)
    line, stated = mean((LIMIT - shown) * at / shown), mean((LIMIT - shown) * said / shown)
    return {"own": own, "flat": own / flat, "line": own / line, "stated line": own / stated, "flat km": flat}


def _middle(low: Array, high: Array) -> Array:
    return np.where(low == high, low, np.where(np.isinf(low), 0.25, np.where(np.isinf(high), LIMIT, 0.625)))


def crps_ratio(life: Lives, seen: int, quantiles: Array) -> float:
    """Mean CRPS of remaining km (clipped at 0, from quantiles at TAUS) against the error of a flat 3,000 km."""
    rows = sound_so_far(life, seen)
    true = np.maximum((life.passes - life.at[:, seen - 1])[rows], 0.0)[:, None]
    off = true - np.maximum(quantiles, 0.0)
    pinball = np.maximum(TAUS * off, (TAUS - 1) * off)
    flat = np.abs(np.maximum(FLAT_KM - life.at[rows, seen - 1], 0.0) - true[:, 0]).mean()
    return float(2 * pinball.mean() / flat)


def area_under_curve(score: Array, yes: NDArray[np.bool_]) -> float:
    """Chance that a yes scores above a no."""
    order = np.argsort(np.argsort(score)) + 1.0
    n, m = int(yes.sum()), int((~yes).sum())
    return float((order[yes].sum() - n * (n + 1) / 2) / (n * m))


def reliability(log_odds: Array, same: NDArray[np.bool_]) -> float:
    """Worst difference of stated chance and true share, over ten bins with more than 200 parts."""
    chance = 1 / (1 + np.exp(-log_odds))
    worst = 0.0
    for k in range(10):
        bin_ = (chance >= k / 10) & (chance <= (k + 1) / 10)
        if bin_.sum() > 200:
            worst = max(worst, abs(float(chance[bin_].mean() - same[bin_].mean())))
    return worst


def plain_batch(
    scale: OwnScale,
    use: Array,
    low: Array,
    high: Array,
    sd: float,
    bias_sd: float = 0.0,
    steps: Array | None = None,
) -> Batch:
    """Parts of one kind as a batch: *use* before each reading and to now, ends of the readings, marks of a step gauge."""
    n, looks = low.shape

    def all_of(value: float) -> Array:
        return np.full(n, value)

    biases = 1 if bias_sd else 0
    start = np.zeros((n, 3, 3))
    start[:, :, 2] = 1.0
    start[:, 0] = 1.0, 0.0, max(scale.start_sd, 1e-4)
    bias = np.zeros((n, biases, 2, 3))
    bias[:, :, 0] = 1.0, 0.0, bias_sd
    bias[:, :, 1, 2] = 1.0
    none = np.zeros(n, np.int64)
    marks = np.zeros(0) if steps is None else steps
    return Batch(
        mu=all_of(scale.mu), sigma=all_of(scale.sigma), tail=all_of(0.0), tail_factor=all_of(2.2), hub=all_of(0.0),
        hub_off=all_of(0.0), noise=all_of(scale.noise), slow_sd=all_of(scale.slow_sd), slow_use=all_of(scale.slow_use),
        start=start, run_in=all_of(0.0), use=use, use_var=0 * use, bedded=np.zeros((n, looks)),
        bedded_new=all_of(0.0), low=low, high=high,
        sd=np.full((n, looks), sd), look=np.ones((n, looks, biases)), again=np.zeros((n, looks)), bias=bias,
        misread=np.full((n, looks), scale.misread), marks=np.zeros((n, 0)), marked=none,
        outcomes=np.tile(marks, (n, 1)), shown=none + len(marks),
        known_bias=all_of(0.0), usual=all_of(-1.0), part_sd=all_of(scale.part_sigma), ahead=all_of(0.0), readings=np.full(n, looks),
        biases=np.full(n, biases),
    )  # fmt: skip


def safety_calls(seed: int, n: int) -> float:
    """Share of rotors below their least thickness on arrival, when called at the 5 % point of remaining km."""
    g = np.random.default_rng(seed)
    life_km, log_sd = 13000.0, 0.5
    scale = OwnScale(
        new=0.0, per_unit=1.0, start_sd=0.08, warn=0.67, mu=-np.log(life_km), sigma=log_sd, part_sigma=0.2,
        noise=0.04 * life_km, slow_sd=0.15, slow_use=life_km / 6, misread=0.02,
    )  # fmt: skip
    rate = np.exp(scale.mu + log_sd * g.normal(size=n))
    looks = 6
    wear, bias = 0.08 * g.normal(size=n), 0.03 * g.normal(size=n)
    low, use = np.empty((n, looks)), np.zeros((n, looks + 1))
    for j in range(looks):
        use[:, j] = 2200 * np.exp(0.4 * g.normal(size=n))
        wear = wear + rate * g.gamma(use[:, j] / scale.noise, scale.noise)
        low[:, j] = wear + bias + 0.05 * g.normal(size=n)
    point = foretold(plain_batch(scale, use, low, low.copy(), 0.05, 0.03), np.array([0.05]))[0][:, 0]
    # Those whose call lies ahead ride to it; the others were dealt with on the spot.
    called = point > 0
    arrive = wear + rate * g.gamma(np.maximum(point, 1e-6) / scale.noise, scale.noise)
    return float((called & (arrive >= 1.0)).sum() / called.sum())
