"""Why chances of being past the limit are said too high: one thing at a time is put right, on chains drawn afresh.

`python -m ratios.wear_bands --seeds 11 12 13`: 4,000 chains of a draw teach, 6,000 others of the same workshops are forecast after 1, 2
and 4 readings. Each line says in three bands what was said and what was seen: as learned; without the width; with the instruments
as they were drawn; with all as it was drawn; and that but for the instruments. Below stand the same chances without the guard, and how
far the learned instruments are from the drawn ones. What was drawn is known here alone: nothing is fitted to it.
"""

import argparse
import sys
from dataclasses import replace

import numpy as np

from pinchbolt.engines.wear import (
    INSTRUMENTS,
    ChainLines,
    LearnedChains,
    forecast_chains,
    learn_chains,
    trade_chains,
)
from pinchbolt.engines.wear._batch import part_at
from pinchbolt.engines.wear._chain_batch import chain_batch
from pinchbolt.engines.wear._filter import read, until_last
from pinchbolt.engines.wear._forecast_chains import NODES, stories
from pinchbolt.engines.wear._lines import Kind, Shop
from pinchbolt.engines.wear._normal import integral
from pinchbolt.reference.loader import tables
from ratios.score_wear import say, some
from ratios.wear import NAMES, chain_lines, sound_so_far
from ratios.wear_lives import LIFE_KM, Array, Lives, lives, workshops

BANDS = (0.1, 0.2), (0.2, 0.3), (0.3, 0.5)
DRAWN_SPREAD, DRAWN_NOISE, DRAWN_BEND = float(np.hypot(np.hypot(0.35, 0.18), 0.12)), 120.0, 1.06
SURE = 0.004  # percent: of a bias that is told


def drawn(life: Lives, known: LearnedChains) -> LearnedChains:
    """What was drawn, as if it had been learned."""
    tuning = replace(
        known.tuning, spread=DRAWN_SPREAD, noise=DRAWN_NOISE, slow_sd=1e-3, tail=0.0, hub=0.0, misread=1e-3, bend=DRAWN_BEND,
        start=0.03, ahead=0.0,
    )  # fmt: skip
    shops = {
        str(s): Shop(500, tuple(life.of.class_offset[s]), (0.03,) * 5, _instruments(life, s))
        for s in range(len(life.of.bias))
    }
    return replace(known, tuning=tuning, shops=shops, lives=tuple(LIFE_KM), width=1.0)


def _instruments(life: Lives, shop: int) -> tuple[tuple[Kind, ...], ...]:
    where = np.argsort(NAMES)
    return tuple(
        (Kind("plain", 1.0, float(life.of.bias[shop, where[k]]), SURE),) for k in range(len(INSTRUMENTS))
    )


def with_instruments(of: LearnedChains, other: LearnedChains) -> LearnedChains:
    """One belief with the instruments of another."""
    return replace(
        of,
        shops={
            k: replace(v, kinds=other.shops[k].kinds, together=other.shops[k].together)
            for k, v in of.shops.items()
        },
    )


class Looks:
    """Chains after 1, 2 and 4 readings that all lie below the limit, and whether they are past it."""

    def __init__(self, life: Lives, shops: tuple[str, ...]) -> None:
        self.shops, self.lines, past = shops, [], []
        for seen in (1, 2, 4):
            rows = sound_so_far(life, seen)
            self.lines.append(chain_lines(life, seen).take(rows))
            past.append(life.wear[rows, seen - 1] >= 0.75)
        self.past = np.concatenate(past)

    def said(self, known: LearnedChains) -> Array:
        """Chances of being past the limit."""
        return np.concatenate(
            [
                forecast_chains(lines, self.shops, known, levels=(0.5,)).chance_past_limit
                for lines in self.lines
            ]
        )

    def unguarded(self, known: LearnedChains, said: Array) -> tuple[Array, Array]:
        """Where the second and third band are said: whether that is so, and the posterior's own chance there."""
        here, own, at = (said >= BANDS[1][0]) & (said < BANDS[2][1]), [], 0
        for lines in self.lines:
            mine = lines.take(np.flatnonzero(here[at : at + len(lines)]))
            own += posterior(mine, self.shops, known)
            at += len(lines)
        return here, np.array(own)


def posterior(lines: ChainLines, shops: tuple[str, ...], known: LearnedChains) -> list[float]:
    """Chance of being past the limit by the last reading itself, one part at a time."""
    batch, found = chain_batch(lines, known, known.tuning, stories(lines, shops, known)).batch, []
    for i in range(len(lines)):
        part = part_at(batch, i)
        cloud, slipped, *_ = until_last(part, NODES)
        cloud, _, _ = read(part, cloud, len(part.low) - 1, slipped)
        sd = np.sqrt(np.maximum(cloud.cov[0, 0], 1e-8))
        found.append(float((cloud.weight * integral((cloud.mean[0] - 1.0) / sd)).sum()))
    return found


def told(what: str, said: Array, past: Array) -> None:
    """One line."""
    shown = []
    for low, high in BANDS:
        here = (said >= low) & (said < high)
        shown.append(
            f"{said[here].mean():.3f}/{past[here].mean():.3f} of {here.sum()}" if here.any() else "none"
        )
    say(f"  {what:<34} " + "   ".join(shown))


def main() -> int:
    """Print all lines."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--chains", type=int, default=6000)
    ask.add_argument("--seeds", type=int, nargs="+", default=[11, 12, 13])
    ask.add_argument("--closing", choices=["gauge", "bench"], default="bench")
    asked = ask.parse_args()
    whole: dict[str, list[tuple[Array, Array]]] = {}
    for seed in asked.seeds:
        g = np.random.default_rng(seed)
        life = lives(workshops(4000 + asked.chains, g, a_workshop=500), g)
        shops = tuple(map(str, range(len(life.of.bias))))
        before, after = some(life, slice(0, 4000)), some(life, slice(4000, None))
        known = learn_chains(
            chain_lines(before, closing=asked.closing), shops, trade_chains(tables().wear_priors)
        )
        true, looks = drawn(life, known), Looks(after, shops)
        say(
            f"\nseed {seed}, {asked.closing} closings: width {known.width:.3f}, bend {known.tuning.bend:.3f}, start {known.tuning.start:.4f}"
        )
        for what, belief in (
            ("as learned", known),
            ("without the width", replace(known, width=1.0)),
            ("instruments as drawn", with_instruments(known, true)),
            ("all as drawn", true),
            ("as drawn, instruments as learned", with_instruments(true, known)),
        ):
            said = looks.said(belief)
            told(what, said, looks.past)
            whole.setdefault(what, []).append((said, looks.past))
        thin = replace(known, width=1.0)
        here, own = looks.unguarded(thin, looks.said(thin))
        say(
            f"  .2 to .5: {looks.said(thin)[here].mean():.3f} with the guard, {own.mean():.3f} without, {looks.past[here].mean():.3f} seen"
        )
        for k, name in enumerate(INSTRUMENTS[1:], start=1):
            off = [known.shops[s].kinds[k][0].bias - true.shops[s].kinds[k][0].bias for s in shops]
            say(f"  {name}: learned less drawn {np.mean(off):+.4f} % (sd {np.std(off):.4f})")
    say("\nall seeds together")
    for what, pieces in whole.items():
        said, past = (np.concatenate(part) for part in zip(*pieces, strict=True))
        told(what, said, past)
    return 0


if __name__ == "__main__":
    sys.exit(main())
