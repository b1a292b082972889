"""What more distance at one reading takes from the road of each row, and what a ceiling below the usual pace would do about it.

    python -m ratios.wear_order

Read at a tenth to nine tenths of the way, at twelve distances from 0.4 to 4 times the usual pace. *Taken*: the most by which the
median road falls, over all steps together, in median lives. *With a ceiling*: where less than the usual pace never gave more road than
the distance unknown; *at the cost of*: the most that this takes from one answer.
"""

import sys

import numpy as np

from tests.engines.wear.test_edges import CALIPER, laws, median_roads, usual_error

PACES = 0.4 * 10 ** (np.arange(12) / 11)


def main() -> None:
    """A line a row of the limits table that is measured."""
    sys.stdout.write(
        "row, safety, sd of its instrument beside the way: taken, with a ceiling, at the cost of\n"
    )
    for of in laws():
        if of.clock:
            continue
        taken, held, cost = 0.0, 0.0, 0.0
        for at in np.arange(1, 10) / 10:
            far = [float(pace * at * of.median_life) for pace in PACES]
            *roads, unknown = np.array(median_roads(of, float(at), [*far, None])) / of.median_life
            plain = np.array(roads)
            under = np.where(PACES < 1.0, np.minimum(plain, unknown), plain)
            taken = max(taken, float((np.maximum.accumulate(plain) - plain).max()))
            held = max(held, float((np.maximum.accumulate(under) - under).max()))
            cost = max(cost, float((plain - under).max()))
        error = CALIPER if of.part == "chain" else usual_error(of)
        spread = error.sd / abs(of.limit - of.new)
        sys.stdout.write(f"{of.id}, {of.safety}, {spread:.3f}: {taken:.4f}, {held:.4f}, {cost:.3f}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
