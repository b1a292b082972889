"""A worse last reading never tells a better story: random histories of every row, each swept over all its last readings.

`make fuzz-wear` runs 20,000 histories a row (`--histories`), the suite a few. Of each history the law is worked out for 85 last
readings from better than new to twice the limit; chances and road must be in order (wear is read from the same law).
"""

import argparse
import sys
from dataclasses import replace
from datetime import timedelta

import numpy as np

from pinchbolt.engines.wear import GaugeReading, RateOfUse, WearLaw
from pinchbolt.engines.wear._batch import batch_of
from pinchbolt.engines.wear._compiled import compiled
from pinchbolt.engines.wear._filter import PartArrays
from pinchbolt.engines.wear._judge import NODES
from pinchbolt.engines.wear._one import part_of
from pinchbolt.engines.wear._steps import steps
from pinchbolt.values import Interval
from tests.engines.wear.cases import TODAY
from tests.engines.wear.rows import laws, usual_error

LEVELS = np.array([0.1, 0.5, 0.9])
SWEEP = np.linspace(-0.2, 2.0, 85)


def history(of: WearLaw, g: np.random.Generator) -> tuple[WearLaw, list[GaugeReading], str]:
    """One to four readings of one part, some of them slips, some distances unknown."""
    span, pace = of.limit - of.new, float(np.exp(0.8 * g.normal()))
    count, km = int(g.integers(1, 5)), 0.0
    known = g.random() > 0.25
    error = usual_error(of)
    looks = []
    for k in range(count):
        km += of.median_life * float(np.exp(g.normal(-1.5, 1.2)))
        at = pace * km / of.median_life + 0.1 * g.normal() if g.random() > 0.15 else g.uniform(-0.2, 1.6)
        shown = of.new + span * min(at, 1.7)
        day = TODAY - timedelta(days=30 * (count - 1 - k))
        looks.append(
            GaugeReading(day, Interval(shown, shown), "instrument", error, km if known else None, 0.15)
        )
    slips = float(np.exp(g.uniform(np.log(0.002), np.log(0.1))))
    start = "unknown" if not known else str(g.choice(["here", "told"]))
    return (
        replace(of, misread=slips, life_log_sd=of.life_log_sd * float(np.exp(0.3 * g.normal()))),
        looks,
        start,
    )


def figures(of: WearLaw, looks: list[GaugeReading], start: str, sweep: np.ndarray) -> np.ndarray:
    """Chance of being past the limit, and minus the road at three chances in lives, for each last reading of *sweep*."""
    use = RateOfUse(of.median_life / 43, 0.5)
    part = part_of(of, looks, steps(of, looks, use, TODAY, looks[-1].exposure, None), start)

    def read_last(at: float) -> PartArrays:
        ends = np.concatenate([part.low[:-1], [at]])
        return part._replace(low=ends, high=ends)

    batch = batch_of([read_last(float(at)) for at in sweep])
    road, found = np.zeros((len(sweep), len(LEVELS))), np.zeros((len(sweep), 4))
    compiled()[0](batch, 0, len(sweep), NODES, LEVELS, 1e-7, 1e-9, road, found)
    return np.hstack([found[:, :1], -road / of.median_life])


def faults(of: WearLaw, histories: int, seed: int, sweep: np.ndarray = SWEEP) -> list[str]:
    """What was out of order, in words; nothing where all is in order."""
    g, found = np.random.default_rng(seed), []
    for number in range(histories):
        varied, looks, start = history(of, g)
        fall = -np.diff(figures(varied, looks, start, sweep), axis=0)
        if fall[:, 0].max() > 1e-9 or fall[:, 1:].max() > 1e-6:
            found.append(f"{of.id}, history {number} of seed {seed}: falls by {fall.max(axis=0)}")
    return found


def measured() -> list[WearLaw]:
    """Rows that wear and are measured: a clock has one answer."""
    return [of for of in laws() if not of.clock]


def main() -> int:
    """Sweep every row and say what was out of order."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--histories", type=int, default=20000)
    ask.add_argument("--seed", type=int, default=1)
    asked = ask.parse_args()
    wrong = 0
    for of in measured():
        found = faults(of, asked.histories, asked.seed)
        wrong += len(found)
        print(
            f"{of.id}: {asked.histories:,} histories, {len(found)} out of order",
            *found[:5],
            sep="\n  ",
            flush=True,
        )
    return min(wrong, 1)


if __name__ == "__main__":
    sys.exit(main())
