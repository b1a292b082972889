"""More distance at one reading: what it takes from the road of each row, what holding it in order moves, and what more readings leave.

    python -m ratios.wear_order

Read at a tenth to nine tenths of the way, at twenty-four distances from 0.4 to 4 times the usual pace. *Falls*: the most by which the
median road falls, over all steps together, in median lives. *Honest*: the same of the law of the stated distance alone. *Moved*: the most
by which the median is moved for it, less and more road, up to twice the pace and beyond. *Two to four*: the honest fall where there were
two or four readings, all distances stated longer, or the last stretch alone.
"""

import sys
from datetime import timedelta

import numpy as np

from pinchbolt.engines.wear import GaugeReading, WearLaw
from pinchbolt.engines.wear._batch import Batch, batch_of
from pinchbolt.engines.wear._compiled import compiled
from pinchbolt.engines.wear._filter import PartArrays
from pinchbolt.engines.wear._guard import LEAST_OF_NODE
from pinchbolt.engines.wear._judge import NODES
from pinchbolt.engines.wear._one import part_of
from pinchbolt.engines.wear._steps import steps
from tests.engines.wear.cases import TODAY
from tests.engines.wear.rows import CALIPER, WEEK, laws, usual_error
from tests.engines.wear.test_edges import part_read, shown_at

PACES = 0.4 * 10 ** (np.arange(24) / 23)


def main() -> None:
    """A line a row of the limits table that is measured."""
    sys.stdout.write(
        "row: falls, honest; moved less, more, beyond twice the pace; two to four readings: all, last stretch\n"
    )
    for of in laws():
        if of.clock:
            continue
        falls, honest, moved = 0.0, 0.0, np.zeros(4)
        for at in np.arange(1, 10) / 10:
            parts = [
                part_read(of, shown_at(of, float(at)), float(pace * at * of.median_life)) for pace in PACES
            ]
            batch = batch_of(parts)
            # Without a usual distance nothing is held to any.
            told, plain = (
                roads(of, some) for some in (batch, batch._replace(usual=np.full(len(PACES), -1.0)))
            )
            falls, honest = max(falls, fall(told)), max(honest, fall(plain))
            off, near = np.where(told > 0.0, told - plain, 0.0), PACES < 2.0
            moved = np.maximum(moved, [-off[near].min(), off[PACES < 1.0].max(), -off[~near].min(), 0.0])
        more = [
            max(fall(roads(of, histories(of, looks, alone))) for looks in (2, 4)) for alone in (False, True)
        ]
        sys.stdout.write(
            f"{of.id}: {falls:.1e}, {honest:.4f}; {moved[0]:.3f}, {moved[1]:.3f}, {moved[2]:.3f}; {more[0]:.3f}, {more[1]:.3f}\n"
        )
        sys.stdout.flush()


def roads(of: WearLaw, batch: Batch) -> np.ndarray:
    """Median road of each part, in lives."""
    road, figures = np.zeros((len(batch.mu), 1)), np.zeros((len(batch.mu), 4))
    compiled()[0](batch, 0, len(batch.mu), NODES, np.array([0.5]), LEAST_OF_NODE, 1e-9, road, figures)
    return np.maximum(road[:, 0], 0.0) / of.median_life


def fall(road: np.ndarray) -> float:
    """The most by which it lies below what it was before."""
    return float((np.maximum.accumulate(road) - road).max())


def histories(of: WearLaw, looks: int, alone: bool) -> Batch:
    """Parts read so many times up to eight tenths of the way, their distances (or the last stretch alone) stated longer and longer."""
    error = CALIPER if of.part == "chain" else usual_error(of)

    def part(pace: float) -> PartArrays:
        read, at, before = [], 0.0, 0.0
        for k in range(1, looks + 1):
            step = 0.8 * k / looks - before
            before, at = 0.8 * k / looks, at + step * (pace if not alone or k == looks else 1.0)
            day = TODAY - timedelta(days=30 * (looks - k))
            read.append(
                GaugeReading(day, shown_at(of, before), "instrument", error, float(at * of.median_life), 0.15)
            )
        return part_of(of, read, steps(of, read, WEEK, TODAY, read[-1].exposure, None), "told")

    return batch_of([part(float(pace)) for pace in PACES])


if __name__ == "__main__":
    main()
