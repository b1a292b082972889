"""Score the bulk forecast on drawn chains and print each figure beside its bar: `make score-wear`.

Chains, readings and workshops are drawn (`ratios/wear_lives.py`, every number there is an assumption); 4,000 chains are
learned from, 20,000 others of the same workshops are forecast, on two seeds. `open generator` has about 500 bikes a
workshop, as the method's own; in `small workshops` there are about 100, so that each teaches less. `other truth` bends what
the engine takes for granted; `growing play` lets a two-point gauge show ever more; `named wrongly` calls the go/no-go gauge
of one workshop in ten by the other's name. The straight line through 0 takes the true distance, which nobody knows;
`as stated` is the line that a mechanic could draw.
"""

import argparse
import sys
import time
import tomllib
from dataclasses import fields, replace
from pathlib import Path

import numpy as np

import pinchbolt
from pinchbolt.engines.wear import ChainLines, LearnedChains, forecast_chains, learn_chains, trade_chains
from ratios.wear import (
    LEVELS,
    TAUS,
    area_under_curve,
    calibration,
    cover,
    crps_ratio,
    errors,
    reliability,
    safety_calls,
    sound_so_far,
    speed_ratio,
    with_earlier_chain,
)
from ratios.wear_lives import (
    LIMIT,
    READING_SD,
    VISITS,
    Array,
    Lives,
    Workshops,
    along,
    as_shown,
    lives,
    workshops,
)
from ratios.wear_parts import PARTS, part_score

NAMES = np.array([1, 0, 2, 3])  # gauges of the drawn lives in the order of the engine's instruments
COVER_BAR, OTHER_COVER_BAR = ((48, 54), (78, 83), (94, 97)), ((46, 54), (76, 84), (92.5, 97))
FLAT_BAR, LINE_BAR = {1: 0.68, 2: 0.62, 4: 0.54}, {1: 0.55, 2: 0.65, 4: 0.72}
FEW = 3000
BIKE_BAR = {1: 0.58, 2: 0.54, 4: 0.49}
ALL_LEVELS = tuple(float(v) for v in np.unique(np.concatenate([LEVELS, TAUS])))
missed: list[str] = []


def say(text: str) -> None:
    """One line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def held(what: str, shown: str, bar: str, good: bool) -> None:
    """One figure beside its bar."""
    say(f"  {what:<46} {shown:<22} {bar:<26} {'held' if good else 'MISSED'}")
    if not good:
        missed.append(what)


def some(life: Lives, rows: slice) -> Lives:
    """Part of the drawn lives."""
    one_a_bike = ("shop", "use_class", "family", "bike", "km_a_day", "words_share", "source", "main_gauge")
    of = replace(life.of, **{name: getattr(life.of, name)[rows] for name in one_a_bike})
    return Lives(of, **{f.name: getattr(life, f.name)[rows] for f in fields(life) if f.name != "of"})


def chain_lines(
    life: Lives, seen: int = VISITS, *, closing: bool = False, wrong: Array | None = None
) -> ChainLines:
    """Drawn lives as chain lines: *seen* readings; or, *closing*, all up to the visit that finds the chain at its limit."""
    n = len(life.at)
    gauge = NAMES[life.gauge]
    if wrong is not None:
        gauge = np.where((gauge <= 1) & wrong[life.of.shop.astype(int)][:, None], 1 - gauge, gauge)
    count, closed = np.full(n, seen), np.full(n, np.nan)
    if closing:
        past = life.wear >= LIMIT
        count = np.where(past.any(axis=1), past.argmax(axis=1) + 1, VISITS)
        closed = np.where(past.any(axis=1), life.passes, np.nan)
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
    )


def read_again(life: Lives, growth: float, g: np.random.Generator) -> Lives:
    """The same chains, two-point gauges showing *growth* percent more each thousand km."""
    bias = life.of.bias[life.of.shop[:, None].astype(int), life.gauge]
    more = np.where(life.gauge == 1, growth * life.at / 1000, 0.0)
    shown = life.wear + bias + more + READING_SD[life.gauge] * g.normal(size=life.wear.shape)
    low, high = as_shown(shown, life.gauge)
    return replace(life, low=low, high=high)


def table(title: str, life: Lives, shops: tuple[str, ...], known: LearnedChains, *, other: bool, full: bool,
          wrong: Array | None = None) -> None:  # fmt: skip
    """Cover, error and CRPS at 1, 2 and 4 readings, beside their bars."""
    say(f"\n{title}: {len(life.at):,} chains")
    for seen in (1, 2, 4):
        rows = sound_so_far(life, seen)
        found = forecast_chains(
            chain_lines(life, seen, wrong=wrong).take(rows), shops, known, levels=ALL_LEVELS
        )
        at = {level: k for k, level in enumerate(ALL_LEVELS)}
        quantiles = found.to_limit_km[:, [at[float(v)] for v in LEVELS]]
        fine = found.to_limit_km[:, [at[float(v)] for v in TAUS]]
        share = [100 * c for c in cover(life, seen, quantiles)]
        bars = OTHER_COVER_BAR if other else COVER_BAR
        if len(rows) < FEW:
            # Few chains: two standard errors of a share are put on the bar.
            bars = tuple(
                (a - 200 * _se(c, rows), b + 200 * _se(c, rows))
                for c, (a, b) in zip((0.5, 0.8, 0.95), bars, strict=True)
            )
        good = all(a <= s <= b for s, (a, b) in zip(share, bars, strict=True))
        bar = " ".join(f"{a:.3g}-{b:.3g}" for a, b in bars)
        held(f"{seen} readings: cover of 50/80/95 %", "/".join(f"{s:.1f}" for s in share), bar, good)
        if not full:
            continue
        err = errors(life, seen, quantiles[:, 3])
        held(
            f"{seen} readings: error / flat 3,000 km",
            f"{err['flat']:.3f}",
            f"at most {FLAT_BAR[seen]}",
            err["flat"] <= FLAT_BAR[seen],
        )
        held(
            f"{seen} readings: error / line through 0",
            f"{err['line']:.3f}",
            f"at most {LINE_BAR[seen]}",
            err["line"] <= LINE_BAR[seen],
        )
        say(f"  {f'{seen} readings: error / line through 0, as stated':<46} {err['stated line']:.3f}")
        if seen > 1:
            last_two = _last_two(life, seen)
            held(
                f"{seen} readings: error / line through last two",
                f"{err['own'] / last_two:.3f}",
                "below 1",
                err["own"] < last_two,
            )
        crps = crps_ratio(life, seen, fine)
        held(
            f"{seen} readings: CRPS / flat 3,000 km", f"{crps:.3f}", "below error / flat", crps < err["flat"]
        )


def _se(share: float, rows: Array) -> float:
    return float(np.sqrt(share * (1 - share) / len(rows)))


def _last_two(life: Lives, seen: int) -> float:
    """Mean error of the straight line through the last two readings."""
    rows = sound_so_far(life, seen)
    low, high = life.low[rows, seen - 2 : seen], life.high[rows, seen - 2 : seen]
    mid = np.where(low == high, low, np.where(np.isinf(low), 0.25, np.where(np.isinf(high), LIMIT, 0.625)))
    at = life.at[rows, seen - 2 : seen]
    slope = np.maximum((mid[:, 1] - mid[:, 0]) / np.maximum(at[:, 1] - at[:, 0], 1.0), 0.05 / 1000)
    true = np.maximum((life.passes[rows] - at[:, 1]), 0.0)
    return float(np.abs(np.maximum((LIMIT - mid[:, 1]) / slope, 0.0) - true).mean())


def same_chain(
    life: Lives, fresh: Lives, shops: tuple[str, ...], known: LearnedChains, g: np.random.Generator
) -> None:
    """Odds for the chain on record at the third visit, half of the chains changed in silence."""
    n, seen = len(life.at), 3
    changed = g.random(n) < 0.5
    ridden = life.at[:, seen - 1] - life.at[:, seen - 2]
    new_wear = along(fresh.path, (ridden * g.random(n))[:, None])[:, 0]
    gauge = life.gauge[:, seen - 1]
    value = new_wear + life.of.bias[life.of.shop.astype(int), gauge] + READING_SD[gauge] * g.normal(size=n)
    low, high = as_shown(value[:, None], gauge[:, None])
    lines = chain_lines(life, seen)
    lines.low[changed, seen - 1], lines.high[changed, seen - 1] = low[changed, 0], high[changed, 0]
    odds = np.log(forecast_chains(lines, shops, known).odds_same)
    worn = life.wear[:, seen - 2] >= 0.5
    auc, auc_worn = area_under_curve(odds, ~changed), area_under_curve(odds[worn], ~changed[worn])
    held("same part: area under the curve", f"{auc:.3f}", "at least 0.92", auc >= 0.92)
    held("  where the reading before was at least 0.5", f"{auc_worn:.3f}", "at least 0.97", auc_worn >= 0.97)
    worst = reliability(odds, ~changed)
    held("  worst difference of chance and share, any tenth", f"{worst:.3f}", "at most 0.06", worst <= 0.06)
    chance = 1 / (1 + np.exp(-odds))
    for low_end in (0.4, 0.5):
        mid = (chance >= low_end) & (chance < low_end + 0.1)
        off = abs(float(chance[mid].mean() - (~changed)[mid].mean())) if mid.any() else 0.0
        # Where a bin holds few chains its own sampling error is shown beside.
        few = 2 * 0.5 / np.sqrt(max(int(mid.sum()), 1))
        held(
            f"  between {low_end} and {low_end + 0.1:.1f} ({int(mid.sum())} chains)",
            f"{off:.3f}",
            f"at most 0.06 (+{few:.3f})",
            off <= 0.06 + few,
        )


def one_seed(seed: int, chains: int, trade: LearnedChains) -> None:
    """All that is learned and forecast, on one seed."""
    say(f"\n--- seed {seed}")
    draws = (("open generator", 500, False), ("small workshops", 100, False), ("other truth", 100, True))
    for k, (name, a_workshop, other) in enumerate(draws):
        g = np.random.default_rng(seed + 100 * k)
        of = workshops(4000 + chains, g, a_workshop=a_workshop)
        all_lives = lives(of, g, other_truth=other)
        shops = tuple(str(k) for k in range(len(of.bias)))
        before, after = some(all_lives, slice(0, 4000)), some(all_lives, slice(4000, None))
        begin = time.perf_counter()
        known = learn_chains(chain_lines(before, closing=True), shops, trade)
        took = time.perf_counter() - begin
        say(f"\n{name}: learned from 4,000 chains, {known.closed:,} closed, in {took:.0f} s")
        table(f"{name}, learned", after, shops, known, other=other, full=not other)
        fresh = some(lives(of, g, other_truth=other), slice(4000, None))
        same_chain(after, fresh, shops, known, g)
        if name == "small workshops":
            variants(before, after, of, shops, trade, g)


def variants(before: Lives, after: Lives, of: Workshops, shops: tuple[str, ...], trade: LearnedChains,
             g: np.random.Generator) -> None:  # fmt: skip
    """Growing play of two-point gauges, and gauges named wrongly in one workshop of ten: cover must not break."""
    growing = read_again(before, 0.04, g)
    known = learn_chains(chain_lines(growing, closing=True), shops, trade)
    table(
        "two-point gauges that show 0.04 % more each thousand km",
        read_again(after, 0.04, g),
        shops,
        known,
        other=True,
        full=False,
    )
    wrong = g.random(len(of.bias)) < 0.10
    wrong[0] = True
    known = learn_chains(chain_lines(before, closing=True, wrong=wrong), shops, trade)
    table(
        f"gauge named wrongly in {int(wrong.sum())} of {len(wrong)} workshops",
        after,
        shops,
        known,
        other=True,
        full=False,
        wrong=wrong,
    )
    only = some(after, np.flatnonzero(wrong[after.of.shop.astype(int)]))  # type: ignore[arg-type]
    table("  those workshops alone", only, shops, known, other=True, full=False, wrong=wrong)


def main() -> int:
    """Print all figures and return how many bars were missed."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--chains", type=int, default=20000)
    ask.add_argument("--seeds", type=int, nargs="+", default=[1, 2])
    asked = ask.parse_args()
    priors = tomllib.loads(
        (Path(pinchbolt.__file__).parent / "reference/tables/wear-priors.toml").read_text("utf-8")
    )
    trade = trade_chains(priors)
    for seed in asked.seeds:
        one_seed(seed, asked.chains, trade)
    say("\n--- one part at a time")
    g = np.random.default_rng(asked.seeds[0])
    ece, skill = calibration(lives(workshops(asked.chains, g), g))
    held("passing before the next visit: calibration error", f"{ece:.4f}", "at most 0.01", ece <= 0.01)
    held("  Brier skill", f"{skill:.3f}", "at least 0.45", skill >= 0.45)
    for seen, ratio in with_earlier_chain(3, asked.chains).items():
        held(
            f"one earlier chain of the bike, {seen} readings: / flat",
            f"{ratio:.3f}",
            f"at most {BIKE_BAR[seen]}",
            ratio <= BIKE_BAR[seen],
        )
    for row in PARTS:
        part = part_score(row, asked.chains)
        wide, late = 100 * part.wide, 100 * part.late
        held(f"{row}: cover of 80 %", f"{wide:.1f}", "78-83", 78 <= wide <= 83)
        if part.safety:
            held("  called at the 5 % point, past on arrival", f"{late:.1f} %", "at most 6.5 %", late <= 6.5)
    late = 100 * safety_calls(6, asked.chains)
    held("rotor whose gauge has a bias: past on arrival", f"{late:.1f} %", "at most 6.5 %", late <= 6.5)
    fast, slow = speed_ratio(100_000, 40)
    say(f"  100,000 parts, six readings, three limits at five chances: {100_000 / fast:.2f} s on two threads")
    held(
        "times the speed of one part after another",
        f"{fast / slow:,.0f}",
        "at least 5,000",
        fast / slow >= 5000,
    )
    say(f"\n{len(missed)} bars missed{': ' + '; '.join(missed) if missed else ''}")
    return len(missed)


if __name__ == "__main__":
    sys.exit(min(main(), 1))
