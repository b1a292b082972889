"""Chain lives and readings drawn at random, to hold the wear engine to. Every number is assumed, none measured.

The open generator of the method, written again with its own distributions, one by one: same classes, lives, offsets, growth,
visits, distances and gauges. `a_workshop` is what it takes: about 500 bikes a workshop; less is harder to learn from.

Assumed: lognormal wear rates with offsets of workshop, chain family, bike and chain; growth by a gamma process with a
bedding-in of some 150 km and a slightly bent mean; visits every month or every quarter; distances from ride records,
from the owner's word or missing; gauges with a bias of their own in each workshop. `other_truth` bends what the engine
takes for granted: heavy-tailed rates, growth that jumps with the weather instead of a gamma process, slips. `odd` names one
truth more: see `ODD`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
CLASSES = ("dry road", "mixed", "mud", "e-bike", "indoor")
CLASS_SHARE = np.array([0.30, 0.30, 0.20, 0.12, 0.08])
LIFE_KM = np.array([4200.0, 3000.0, 1900.0, 1900.0, 5500.0])  # median to 0.75 %
KM_A_WEEK = np.array([90.0, 70.0, 55.0, 60.0, 70.0])
KM_A_WEEK_LOG_SD = 0.5
LIMIT = 0.75
VISITS = 6
STEP_KM = 25.0
MOST_KM = 16000.0
# Truths that bend one thing: what an owner says, how chains are used, what a gauge is.
ODD = {
    "misreads": "8 % misreads",
    "long km": "owners' km 30 % too long",
    "missing km": "60 % of km missing",
    "commuters": "30 % of riders change to commuting",
    "hubs": "20 % gear-hub chains, unlabelled",
    "bent and wet": "growth x^0.8 or x^1.4, wet seasons of 60 %",
    "drift": "gauges that drift 0.05 % a year, shared by two workshops",
}
# Instruments: three-point go/no-go, two-point go/no-go, rule, caliper.
GAUGES = ("three-point go/no-go", "two-point go/no-go", "steel rule", "caliper")
BIAS = np.array([0.0, 0.17, 0.0, 0.0])
BIAS_SD = np.array([0.02, 0.05, 0.02, 0.03])
READING_SD = np.array([0.02, 0.02, 0.08, 0.03])


@dataclass(frozen=True)
class Workshops:
    """What stays the same from chain to chain: workshop, use, family, bike, and the workshops' gauges."""

    shop: Array
    use_class: Array
    family: Array
    class_offset: Array  # workshops x classes
    family_offset: Array  # workshops x families
    bike: Array
    km_a_day: Array
    words_share: Array
    source: Array  # 0 ride records, 1 the owner's word, 2 the owner's word, often missing
    bias: Array  # workshops x gauges
    pushes: Array  # workshops that use the two-point gauge
    main_gauge: Array


@dataclass(frozen=True)
class Lives:
    """One chain a bike: its wear along the road and what was read at the visits. Percent, km, days."""

    of: Workshops
    log_rate: Array
    path: Array  # bikes x km grid
    passes: Array  # km at which it passes the limit
    at: Array  # true km at the visits
    stated: Array  # km since the visit before, as stated; nan = missing
    days: Array
    wear: Array  # true wear at the visits
    gauge: NDArray[np.int64]
    low: Array
    high: Array


def workshops(
    n: int, g: np.random.Generator, shop_sd: float = 0.20, bike_sd: float = 0.35, *, a_workshop: int = 100
) -> Workshops:
    """Draw *n* bikes in workshops of about *a_workshop* each."""
    shops = max(1, n // a_workshop)
    bias = BIAS + BIAS_SD * g.normal(size=(shops, 4))
    shop = g.integers(0, shops, n)
    use_class = g.choice(5, n, p=CLASS_SHARE)
    source = g.choice(3, n, p=[0.45, 0.40, 0.15])
    return Workshops(
        shop=shop,
        use_class=use_class,
        family=g.integers(0, 3, n),
        class_offset=g.normal(0, shop_sd, (shops, 5)),
        family_offset=g.normal(0, 0.12, (shops, 3)),
        bike=g.normal(0, bike_sd, n),
        km_a_day=KM_A_WEEK[use_class] * np.exp(KM_A_WEEK_LOG_SD * g.normal(size=n)) / 7,
        words_share=np.where(source == 0, 1.0, np.exp(0.12 * g.normal(size=n))),
        source=source,
        bias=bias,
        pushes=g.random(shops) < 0.35,
        main_gauge=g.choice([0, 2, 3], n, p=[0.6, 0.15, 0.25]),
    )


def lives(
    of: Workshops, g: np.random.Generator, *, chain_sd: float = 0.18, other_truth: bool = False, odd: str = ""
) -> Lives:
    """Draw one chain a bike and six visits."""
    n = len(of.shop)
    chain = g.standard_t(4, n) / np.sqrt(2) if other_truth else g.normal(size=n)
    log_rate = (
        np.log(LIMIT / LIFE_KM[of.use_class])
        + of.class_offset[of.shop, of.use_class]
        + of.family_offset[of.shop, of.family]
        + of.bike
        + chain_sd * chain
    )
    if odd == "hubs":
        log_rate = log_rate - np.where(g.random(n) < 0.20, np.log(3.2), 0.0)
    monthly = g.random(n) < 0.7
    gap, gap_sd = np.where(monthly, 30.0, 91.0), np.where(monthly, 0.25, 0.35)
    days = gap[:, None] * np.exp(gap_sd[:, None] * g.normal(size=(n, VISITS)))
    days[:, 0] *= np.where(monthly, g.integers(1, 7, n), g.integers(1, 3, n))
    ridden = of.km_a_day[:, None] * days * np.exp(g.normal(-0.03, 0.25, (n, VISITS)))
    faster = np.ones((n, int(MOST_KM / STEP_KM)))
    if odd == "commuters":
        changed, visit = g.random(n) < 0.30, g.integers(1, VISITS - 1, n)
        ridden *= np.where(changed[:, None] & (np.arange(VISITS) >= visit[:, None]), 1.6, 1.0)
        since = np.cumsum(ridden, axis=1)[np.arange(n), visit - 1]
        grid = np.arange(faster.shape[1]) * STEP_KM
        faster = np.where(changed[:, None] & (grid >= since[:, None]), 1.9, 1.0)
    if odd == "bent and wet":
        year_km, start = 365.0 * of.km_a_day[:, None], g.random((n, 1))
        faster = 1.0 + 0.6 * np.sin(2 * np.pi * (np.arange(faster.shape[1]) * STEP_KM / year_km + start))
    at = np.cumsum(ridden, axis=1)
    path = _path(log_rate, g, other_truth, faster, odd == "bent and wet")
    wear = along(path, at)
    by_word = np.where(of.source[:, None] == 0, 1.0, np.exp(0.15 * g.normal(size=(n, VISITS))))
    stated = ridden * of.words_share[:, None] * by_word
    stated[(of.source[:, None] == 2) & (g.random((n, VISITS)) < 0.5)] = np.nan
    if odd == "long km":
        stated *= np.where(of.source[:, None] == 0, 1.0, 1.3)
    if odd == "missing km":
        stated[g.random((n, VISITS)) < 0.6] = np.nan
    slips = 0.08 if odd == "misreads" else 0.02 if other_truth else 0.0
    shift = np.zeros((n, VISITS))
    if odd == "drift":
        # Two workshops buy alike: their gauges drift together, up or down, over the years that the chains were fitted in.
        sense = g.choice([-1.0, 1.0], (len(of.bias) + 1) // 2)[of.shop.astype(int) // 2]
        years = 3.0 * g.random((n, 1)) + np.cumsum(days, axis=1) / 365.0
        shift = 0.05 * sense[:, None] * years
    gauge, low, high = _readings(of, wear + shift, g, other_truth, slips)
    return Lives(of, log_rate, path, _first_pass(path), at, stated, days, wear, gauge, low, high)


def _path(log_rate: Array, g: np.random.Generator, other_truth: bool, faster: Array, bent: bool) -> Array:
    n = len(log_rate)
    rate = np.exp(log_rate)
    at_new, bedding = g.normal(0, 0.015, n), np.abs(g.normal(0.03, 0.015, n))
    bend = g.choice([0.8, 1.4], n) if bent else g.normal(1.06, 0.04, n)
    km = np.arange(int(MOST_KM / STEP_KM) + 1) * STEP_KM
    mean = 3000.0 * (km[None] / 3000.0) ** bend[:, None]
    step = np.diff(mean, axis=1)
    if other_truth:
        # Weather: a factor that holds for some 400 km and then is drawn anew, nothing finer.
        blocks = int(MOST_KM / 400) + 1
        weather = np.exp(g.normal(-0.5 * 0.3**2, 0.3, (n, blocks)))
        step *= weather[:, (km[:-1] / 400).astype(int)]
    else:
        step = g.gamma(np.maximum(step, 1e-9) / 120.0, 120.0)
    path = np.zeros((n, len(km)), np.float32)
    path[:, 1:] = np.cumsum(step * faster, axis=1) * rate[:, None]
    path += (at_new[:, None] + bedding[:, None] * -np.expm1(-km / 150.0)[None]).astype(np.float32)
    return path


def _readings(
    of: Workshops, wear: Array, g: np.random.Generator, other_truth: bool, misreads: float
) -> tuple[NDArray[np.int64], Array, Array]:
    n = len(wear)
    gauge = np.repeat(of.main_gauge[:, None], VISITS, 1)
    borrowed = g.random((n, VISITS)) < 0.10
    gauge[borrowed] = g.choice([0, 2, 3], int(borrowed.sum()))
    gauge = np.where((gauge == 0) & of.pushes[of.shop][:, None], 1, gauge)
    shown = wear + of.bias[of.shop[:, None], gauge] + READING_SD[gauge] * g.normal(size=(n, VISITS))
    if misreads:
        slips = g.random(shown.shape) < misreads
        shown = np.where(slips, g.uniform(0, 1, shown.shape), shown)
    if other_truth:
        shown = np.where(gauge == 2, np.round(shown / 0.05) * 0.05, shown)
    low, high = as_shown(shown, gauge)
    return gauge, low, high


def as_shown(value: Array, gauge: NDArray[np.int64]) -> tuple[Array, Array]:
    """What the gauge shows of a value: below 0.5, between, 0.75 or more; a rule or caliper shows the value."""
    low, high = value.copy(), value.copy()
    marks = gauge <= 1
    low[marks] = np.where(value >= 0.75, 0.75, np.where(value >= 0.5, 0.5, -np.inf))[marks]
    high[marks] = np.where(value >= 0.75, np.inf, np.where(value >= 0.5, 0.75, 0.5))[marks]
    return low, high


def along(path: Array, at: Array) -> Array:
    """Wear at distances *at* (bikes x points) along the road."""
    k = np.clip((at / STEP_KM).astype(int), 0, path.shape[1] - 2)
    f = at / STEP_KM - k
    i = np.arange(len(path))[:, None]
    return np.asarray(path[i, k] * (1 - f) + path[i, k + 1] * f, dtype=float)


def _first_pass(path: Array) -> Array:
    past = path >= LIMIT
    k = np.maximum(past.argmax(axis=1), 1)
    i = np.arange(len(path))
    f = (LIMIT - path[i, k - 1]) / np.maximum(path[i, k] - path[i, k - 1], 1e-9)
    beyond = MOST_KM * LIMIT / np.maximum(path[:, -1], 0.05)
    return np.where(past[:, -1], (k - 1 + f) * STEP_KM, beyond).astype(float)
