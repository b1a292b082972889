"""Hold the wear engine to its bars on drawn lives, and print what it reached: `python -m ratios.wear`.

Every life is drawn (`ratios/wear_lives.py`), so the figures say how well the method does if the world is like that, and
`other truth` what is left when it is not. Nothing here is workshop data.
"""

import argparse
import sys
import time
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._evidence import Fit
from pinchbolt.engines.wear._fleet_filter import Cloud
from pinchbolt.engines.wear._many import Fleet, filter_fleet, forecast_fleet, in_single
from pinchbolt.engines.wear._next_part import evidence_on_new_part, rate_after, rate_of_next, since_fitting
from pinchbolt.engines.wear._predict import day_curve, passed_by
from ratios.wear_fleet import (
    CHAIN_LOG_SD,
    LIFE_LOG_SD,
    PER_UNIT,
    fleets,
    learned,
    use_a_day,
)
from ratios.wear_lives import (
    BIAS,
    BIAS_SD,
    KM_A_WEEK,
    LIFE_KM,
    LIMIT,
    READING_SD,
    VISITS,
    Array,
    Lives,
    along,
    as_shown,
    lives,
    workshops,
)

LEVELS = np.array([0.025, 0.10, 0.25, 0.50, 0.75, 0.90, 0.975])
TAUS = (np.arange(20) + 0.5) / 20
FLAT_KM = 3000.0


def sound_so_far(life: Lives, seen: int) -> NDArray[np.int64]:
    """Parts whose first *seen* readings all lie below the limit."""
    low = np.where(np.isfinite(life.low[:, :seen]), life.low[:, :seen], 0.0)
    return np.flatnonzero((low < LIMIT).all(axis=1))


def remaining(
    life: Lives,
    seen: int,
    levels: Array,
    fit: Fit | None = None,
    mu: Array | None = None,
    sigma: Array | None = None,
) -> Array:
    """Quantiles of remaining km after *seen* readings, for the parts that are sound so far."""
    rows = sound_so_far(life, seen)
    found = np.full((len(life.at), len(levels)), np.nan)
    for here, fleet in fleets(life, seen, rows=rows, mu=mu, sigma=sigma, fit=fit):
        found[here] = forecast_fleet(fleet, levels).remaining
    return found[rows]


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


def day_cover(life: Lives, seen: int, fit: Fit | None = None) -> float:
    """Share of days at the limit inside the 80 % interval, use going on as it went on this bike."""
    rows = sound_so_far(life, seen)
    inside = []
    mean_log, sd_log = use_a_day(life, seen)
    for here, fleet in fleets(life, seen, rows=rows, fit=fit):
        true_days = (life.passes - life.at[:, seen - 1])[here] / (
            life.of.km_a_day[here] * np.exp(-0.03 + 0.25**2 / 2)
        )
        for i in range(0, len(here), 2000):
            part = slice(i, i + 2000)
            cloud, _ = filter_fleet(fleet.take(part))
            chance = _day_chance(
                cloud, fleet.noise, true_days[part], mean_log[here[part]], sd_log[here[part]]
            )
            inside.append((chance >= 0.1) & (chance <= 0.9))
    return float(np.concatenate(inside).mean())


def _day_chance(
    cloud: Cloud, noise: tuple[float, float, float], days: Array, mean_log: Array, sd_log: Array
) -> Array:
    """Forecast chance of having passed the limit after *days*, for each part its own use a day."""
    scaled = days * np.exp(mean_log)
    out = np.empty(len(days))
    for sd in np.unique(np.round(sd_log, 3)):
        rows = np.flatnonzero(np.round(sd_log, 3) == sd)
        curve = day_curve(
            cloud.weight[rows],
            cloud.rate[rows],
            cloud.wear[rows] - 1,
            cloud.wear_var[rows],
            noise,
            (1.0, float(sd)),
        )
        out[rows] = curve(scaled[rows, None])[0][:, 0]
    return out


def calibration(life: Lives, fit: Fit | None = None) -> tuple[float, float]:
    """Expected calibration error and Brier skill of the chance to pass the limit before the next visit, all visits."""
    chances, came = [], []
    for seen in range(1, VISITS):
        rows = sound_so_far(life, seen)
        mean_log, sd_log = use_a_day(life, seen)
        step_sd = np.hypot(sd_log, 0.25)
        for here, fleet in fleets(life, seen, rows=rows, fit=fit):
            for i in range(0, len(here), 2000):
                part = here[i : i + 2000]
                cloud, _ = filter_fleet(fleet.take(slice(i, i + 2000)))
                chances.append(
                    _day_chance(cloud, fleet.noise, life.days[part, seen], mean_log[part], step_sd[part])
                )
                came.append(life.wear[part, seen] >= LIMIT)
    chance, true = np.concatenate(chances), np.concatenate(came).astype(float)
    order = np.array_split(np.argsort(chance), 20)
    ece = sum(len(b) * abs(chance[b].mean() - true[b].mean()) for b in order) / len(chance)
    base = true.mean()
    return float(ece), float(1 - np.mean((chance - true) ** 2) / (base * (1 - base)))


def with_earlier_chain(of_seed: int, n: int, fit: Fit | None = None) -> dict[int, float]:
    """Error over flat where one earlier chain of the bike was read at its visits, by number of readings."""
    g = np.random.default_rng(of_seed)
    of = workshops(n, g)
    earlier, now = lives(of, g), lives(of, g)
    mu = -np.log(LIFE_KM[of.use_class])
    sigma, part = np.full(n, LIFE_LOG_SD), np.full(n, CHAIN_LOG_SD)
    noise_only = None
    if fit is not None:
        mu, sigma, part = mu + fit.shift[of.use_class], sigma * fit.spread, part * fit.spread
        noise_only = replace(fit, shift=0 * fit.shift, spread=1.0)
    mean, sd = np.empty(n), np.empty(n)
    for rows, fleet in fleets(earlier, VISITS, mu=mu, sigma=sigma, fit=noise_only):
        for i in range(0, len(rows), 2000):
            here = rows[i : i + 2000]
            cloud, _ = filter_fleet(fleet.take(slice(i, i + 2000)), 24)
            mean[here], sd[here] = rate_after([cloud], mu[here], sigma[here], part[here])
    return {
        seen: errors(now, seen, remaining(now, seen, np.array([0.5]), noise_only, mean, sd)[:, 0])["flat"]
        for seen in (1, 2, 4)
    }


def same_part_odds(seed: int, n: int, fit: Fit | None = None) -> tuple[Array, Array, Array]:
    """Log odds for the part on record at the third visit, whether it is, and the wear read before."""
    g = np.random.default_rng(seed)
    of = workshops(n, g)
    life, fresh = lives(of, g), lives(of, g)
    seen = 3
    changed = g.random(n) < 0.5
    ridden = life.at[:, seen - 1] - life.at[:, seen - 2]
    new_wear = along(fresh.path, (ridden * g.random(n))[:, None])[:, 0]
    gauge = life.gauge[:, seen - 1]
    value = new_wear + of.bias[of.shop, gauge] + READING_SD[gauge] * g.normal(size=n)
    low, high = as_shown(value[:, None], gauge[:, None])
    life.low[changed, seen - 1], life.high[changed, seen - 1] = low[changed, 0], high[changed, 0]
    odds = np.empty(n)
    for rows, fleet in fleets(life, seen, fit=fit):
        for i in range(0, len(rows), 1500):
            here, part = rows[i : i + 1500], fleet.take(slice(i, i + 1500))
            odds[here] = _log_odds(part, gauge[here])
    return odds, ~changed, life.wear[:, seen - 2]


def _log_odds(part, gauge: NDArray[np.int64]) -> Array:  # type: ignore[no-untyped-def]
    cloud, before = filter_fleet(part, 24)
    last = part.low.shape[1] - 1
    short = replace(part, low=part.low.copy(), high=part.high.copy())
    # Without the last reading: an open interval on both sides is no reading.
    short.low[:, last], short.high[:, last] = -np.inf, np.inf
    earlier, _ = filter_fleet(short, 24)
    n = len(part)
    part_sigma = part.sigma * (CHAIN_LOG_SD / LIFE_LOG_SD)
    new_mean = np.stack([np.zeros(n), BIAS[gauge] * PER_UNIT], axis=1)
    new_sd = np.stack([np.full(n, 0.02 * PER_UNIT), BIAS_SD[gauge] * PER_UNIT], axis=1)
    fresh = evidence_on_new_part(
        rate_of_next(earlier, part.mu, part.sigma, part_sigma),
        new_mean,
        new_sd,
        (since_fitting(part.use[:, last]), since_fitting(np.sqrt(part.use_var[:, last])) ** 2),
        (part.low[:, last], part.high[:, last]),
        part.gauge_sd[:, last],
        part.noise,
        part.misread,
    )
    return cloud.evidence - before - fresh


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


def safety_calls(seed: int, n: int) -> float:
    """Share of rotors below their least thickness on arrival, when called at the 5 % point of remaining km."""
    g = np.random.default_rng(seed)
    life_km, log_sd = 13000.0, 0.5
    noise = (0.04 * life_km, 0.15, life_km / 6)
    rate = np.exp(-np.log(life_km) + log_sd * g.normal(size=n))
    looks, below, called = 6, np.zeros(n, bool), np.zeros(n, bool)
    wear = 0.08 * g.normal(size=n)
    bias = 0.03 * g.normal(size=n)
    low = np.empty((n, looks))
    use = np.empty((n, looks + 1))
    for j in range(looks):
        use[:, j] = 2200 * np.exp(0.4 * g.normal(size=n))
        wear = wear + rate * g.gamma(use[:, j] / noise[0], noise[0])
        low[:, j] = wear + bias + 0.05 * g.normal(size=n)
    use[:, looks] = 0.0
    fleet = Fleet(
        mu=np.full(n, -np.log(life_km)),
        sigma=np.full(n, log_sd),
        mean=np.zeros((n, 2)),
        sd=np.tile([0.08, 0.03], (n, 1)),
        use=use,
        use_var=np.zeros((n, looks + 1)),
        low=low,
        high=low.copy(),
        gauge_sd=np.full((n, looks), 0.05),
        through=np.ones((n, looks, 2)),
        noise=noise,
        misread=0.02,
    )
    point = forecast_fleet(fleet, np.array([0.05])).remaining[:, 0]
    # Those whose call lies ahead ride to it; the others were dealt with on the spot.
    called = point > 0
    arrive = wear + rate * g.gamma(np.maximum(point, 1e-6) / noise[0], noise[0])
    below = called & (arrive >= 1.0)
    return float(below.sum() / called.sum())


def against_dense_grid(parts: int) -> tuple[float, float, float, float]:
    """CRPS ratio, median and 95th percentile of differences in chance, mean error of log evidence, against a dense grid."""
    from tests.second_way.wear_dense_grid import DenseGrid  # noqa: PLC0415
    from tests.second_way.wear_from_fleet import part_of  # noqa: PLC0415

    g = np.random.default_rng(7)
    life = lives(workshops(6 * parts, g), g)
    off, evidence, score = [], [], np.zeros(2)
    for seen in (1, 2, 4):
        rows, fleet = next(iter(fleets(life, seen, rows=sound_so_far(life, seen))))
        fleet, rows = fleet.take(slice(0, parts // 3 + 1)), rows[: parts // 3 + 1]
        cloud, _ = filter_fleet(fleet)
        use = np.linspace(0.0, 12000.0, 61) * np.ones((len(fleet), 1))
        mine, _ = passed_by(cloud.weight, cloud.rate, cloud.wear - 1.0, cloud.wear_var, use, fleet.noise)
        true = np.maximum(life.passes[rows] - life.at[rows, seen - 1], 0.0)
        for i in range(len(fleet)):
            grid = DenseGrid(part_of(fleet, i))
            theirs = grid.passed_by(use[i])
            inside = (theirs > 0.02) & (theirs < 0.98)
            off.append(np.abs(mine[i] - theirs)[inside])
            evidence.append(abs(cloud.evidence[i] - grid.evidence))
            step = use[i] >= true[i]
            score += [((mine[i] - step) ** 2).sum(), ((theirs - step) ** 2).sum()]
    all_off = np.concatenate(off)
    return (
        float(score[0] / score[1]),
        float(np.median(all_off)),
        float(np.quantile(all_off, 0.95)),
        float(np.mean(evidence)),
    )


# What the benchmark asks of each part: the use until three elongations, at five chances each.
MARKS = tuple((percent - 0.02) * PER_UNIT for percent in (0.5, 0.75, 1.0))
FIVE = np.array([0.1, 0.25, 0.5, 0.75, 0.9])


def speed_ratio(
    n: int, reference_parts: int, levels: Array = FIVE, marks: tuple[float, ...] = MARKS
) -> tuple[float, float]:
    """Parts a second: this engine in bulk on two threads, and the plain per-part reference; six readings each."""
    from tests.second_way.wear_from_fleet import part_of  # noqa: PLC0415
    from tests.second_way.wear_one_part import quantiles  # noqa: PLC0415

    groups = [in_single(fleet) for fleet in drawn_fleets(n)]
    bulk = np.inf
    for _ in range(3):
        t = time.perf_counter()
        for fleet in groups:
            forecast_fleet(fleet, levels, marks=marks, workers=2)
        bulk = min(bulk, time.perf_counter() - t)
    share = np.array([len(f) for f in groups]) / n
    t = 0.0
    for fleet, part in zip(groups, share, strict=True):
        m = max(2, round(part * reference_parts))
        parts = [part_of(fleet, i) for i in range(m)]
        begin = time.perf_counter()
        quantiles(parts, [float(v) for v in levels], marks)
        t += (time.perf_counter() - begin) / m * part
    return n / bulk, 1 / t


def drawn_fleets(n: int) -> list[Fleet]:
    """*n* drawn chains with six readings each, as fleets."""
    g = np.random.default_rng(5)
    return [fleet for _, fleet in fleets(lives(workshops(n, g), g), VISITS)]


def report(n: int, other_truth: bool, fitted: bool, say) -> None:  # type: ignore[no-untyped-def]
    """Print cover, errors, CRPS, days and calibration on one draw; *fitted*: priors learned from 4,000 other chains."""
    g = np.random.default_rng(11 if other_truth else 1)
    life = lives(workshops(n, g), g, other_truth=other_truth)
    fit = None
    if fitted:
        other = np.random.default_rng(21 if other_truth else 22)
        fit = learned(lives(workshops(4000, other), other, other_truth=other_truth), VISITS)
    say(
        f"\n{'other truth' if other_truth else 'drawn lives'}, {'learned' if fitted else 'trade'} priors: {n:,} chains"
    )
    if fit is not None:
        say(
            f"  learned: spread x {fit.spread:.2f}, noise x {fit.noise:.2f}, slow unevenness x {fit.slow_sd:.2f}"
        )
    say("readings  cover 50/80/95       error/flat  /line  CRPS/flat  days 80 %")
    for seen in (1, 2, 4):
        both = remaining(life, seen, np.concatenate([LEVELS, TAUS]), fit)
        quantiles, fine = both[:, :7], both[:, 7:]
        c, e = cover(life, seen, quantiles), errors(life, seen, quantiles[:, 3])
        say(
            f"{seen:8d}  {100 * c[0]:.1f}/{100 * c[1]:.1f}/{100 * c[2]:.1f}  {e['flat']:15.3f}  {e['line']:.3f}  "
            f"{crps_ratio(life, seen, fine):9.3f}  {100 * day_cover(life, seen, fit):9.1f}"
        )
    ece, skill = calibration(life, fit)
    say(f"passing before the next visit: calibration error {ece:.4f}, Brier skill {skill:.3f}")


def main() -> None:
    """Print all figures."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--chains", type=int, default=20000)
    n = ask.parse_args().chains

    def say(line: str) -> None:
        sys.stdout.write(line + "\n")
        sys.stdout.flush()

    for other_truth, fitted in ((False, False), (False, True), (True, True)):
        report(n, other_truth, fitted, say)
    other = np.random.default_rng(22)
    fit = learned(lives(workshops(4000, other), other), VISITS)
    memory = with_earlier_chain(3, n, fit)
    say(
        "with one earlier chain of the bike, error/flat: "
        + ", ".join(f"{k}: {v:.3f}" for k, v in memory.items())
    )
    odds, same, before = same_part_odds(4, n, fit)
    worn = before >= 0.5
    say(
        f"same part: AUC {area_under_curve(odds, same):.3f}, {area_under_curve(odds[worn], same[worn]):.3f} where the reading "
        f"before was at least 0.5; worst reliability {reliability(odds, same):.3f}"
    )
    say(f"safety parts called at the 5 % point: {100 * safety_calls(6, n):.1f} % past on arrival")
    crps, middle, most, evidence = against_dense_grid(200)
    say(
        f"against a dense grid, 200 parts: CRPS ratio {crps:.4f}, chance off by {middle:.4f} (median), {most:.4f} (95 %), "
        f"log evidence by {evidence:.3f}"
    )
    fast, slow = speed_ratio(5 * n, 60)
    say(
        f"speed, three limits at five chances: {fast:,.0f} parts/s in bulk on two threads, {slow:.1f} parts/s one by one: "
        f"{fast / slow:,.0f} times"
    )


if __name__ == "__main__":
    main()
