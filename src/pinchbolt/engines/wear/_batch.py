"""Many parts side by side, and what is asked of each: the same functions that judge one part, run over all."""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._filter import (
    LEAST_LEARNED,
    Cloud,
    PartArrays,
    hub_share,
    looked_at,
    on_another_part,
    read,
    score_of_rate,
    slip_of,
    told,
    until_last,
)
from pinchbolt.engines.wear._hunt import chance_of, grid_of, law_of, use_at
from pinchbolt.engines.wear._scale import Array
from pinchbolt.values import Json

PIECE = 256  # parts that a thread takes at a time
THREADS = 2
ONE_BY_ONE = 24  # parts that are sooner done as they stand than the compiled form is loaded
POINTS = 13  # of use at which a law is laid down first
MOST_LOG_ODDS = 50.0


class Batch(NamedTuple):
    """Many parts as `Part` has one, padded to the longest: parts first, then readings, then biases.

    `readings` and `biases` say how many a part has. Figures that a `Part` has once are one a part.
    """

    mu: Array
    sigma: Array
    tail: Array
    tail_factor: Array
    hub: Array
    hub_off: Array
    noise: Array
    slow_sd: Array
    slow_use: Array
    start: Array
    run_in: Array
    use: Array
    use_var: Array
    bedded: Array
    bedded_new: Array
    low: Array
    high: Array
    sd: Array
    look: Array
    again: Array
    bias: Array
    misread: Array
    marks: Array
    marked: NDArray[np.int64]
    outcomes: Array
    shown: NDArray[np.int64]
    known_bias: Array
    usual: Array
    part_sd: Array
    ahead: Array
    readings: NDArray[np.int64]
    biases: NDArray[np.int64]

    def take(self, rows: NDArray[np.intp] | slice) -> "Batch":
        """Some of the parts."""
        some: Json = {name: array[rows] for name, array in self._asdict().items()}
        return Batch(**some)


def part_at(batch: Batch, i: int) -> PartArrays:
    """One of the parts. Its arrays are the batch's own; `look` has a column for every bias that any part has."""
    n, b = batch.readings[i], batch.biases[i]
    return PartArrays(
        batch.mu[i], batch.sigma[i], batch.tail[i], batch.tail_factor[i], batch.hub[i], batch.hub_off[i],
        batch.noise[i], batch.slow_sd[i], batch.slow_use[i], batch.start[i], batch.run_in[i],
        batch.use[i, : n + 1], batch.use_var[i, : n + 1], batch.bedded[i, :n], batch.bedded_new[i],
        batch.low[i, :n], batch.high[i, :n], batch.sd[i, :n], batch.look[i, :n],
        batch.again[i, :n], batch.bias[i, :b], batch.misread[i, :n],
        batch.marks[i, : batch.marked[i]], batch.outcomes[i, : batch.shown[i]],
        batch.known_bias[i], batch.usual[i], batch.part_sd[i], batch.ahead[i],
    )  # fmt: skip


def log_odds_same(part: PartArrays, cloud: Cloud, slipped: Array, before: Cloud) -> float:
    """Log odds that the last reading is of the part read before, against one fitted new since."""
    last = len(part.low) - 1
    expected, variance, _ = looked_at(part, cloud, last)
    slip, flat = slip_of(part, last, len(cloud.weight), slipped)
    total, _, _, _, top = told(expected, variance, part.low[last], part.high[last], slip, flat)
    same = np.log((cloud.weight * total).sum()) + top
    new = on_another_part(part, before)
    expected, variance, _ = looked_at(part, new, last)
    slip, flat = slip_of(part, last, len(new.weight), np.zeros(0))
    total, _, _, _, top = told(expected, variance, part.low[last], part.high[last], slip, flat)
    other = np.log((new.weight * total).sum()) + top
    return float(min(max(same - other, -MOST_LOG_ODDS), MOST_LOG_ODDS))


def foretell(
    batch: Batch, start: int, stop: int, nodes: int, levels: Array, least_weight: float, precision: float,
    quantiles: Array, figures: Array,
) -> None:  # fmt: skip
    """Fill, for the parts from *start* to *stop*, use to the limit at *levels*, and chance of being past it now, log odds
    for the part on record (nan: fewer than two readings), share of belief in the other kind, chance of a slip."""
    one, now = np.ones(1), np.zeros(1)
    for i in range(start, stop):
        part = part_at(batch, i)
        readings = len(part.low)
        cloud, slipped, _, before, _ = until_last(part, nodes)
        law = law_of(part, cloud, slipped, least_weight)
        grid = grid_of(law, POINTS)
        laid = chance_of(law, np.ones(len(grid)), grid)
        quantiles[i] = use_at(law, np.ones(1), levels, grid, laid[None], precision)[0]
        figures[i, 0] = chance_of(law, one, now)[0]
        figures[i, 1] = log_odds_same(part, cloud, slipped, before) if readings > 1 else np.nan
        if readings > 0:
            cloud, slips, _ = read(part, cloud, readings - 1, slipped, 0.0)
            figures[i, 3] = (cloud.weight * slips).sum()
        figures[i, 2] = hub_share(part, cloud)


def weigh(
    batch: Batch, start: int, stop: int, nodes: int, evidence: Array, by_rate: Array, by_bias: Array
) -> None:
    """Fill, for the parts from *start* to *stop*, log evidence of all readings, its slope by the mean log rate, and by the
    mean of each bias (Fisher's identity: how far belief moved, over what was believed)."""
    for i in range(start, stop):
        part = part_at(batch, i)
        cloud, slipped, found, _, _ = until_last(part, nodes, LEAST_LEARNED)
        last = len(part.low) - 1
        if last >= 0:
            cloud, slipped, more = read(part, cloud, last, slipped, LEAST_LEARNED)
            found += more
        evidence[i] = found
        by_rate[i] = score_of_rate(part, cloud)
        for b in range(part.bias.shape[0]):
            # Where an instrument has one story: the learner knows no other.
            moved = (cloud.weight * (cloud.mean[1 + b] - part.bias[b, 0, 1])).sum()
            by_bias[i, b] = moved / part.bias[b, 0, 2] ** 2


Progress = Callable[[float], None]


def over(count: int, work: Callable[[int, int], None], told: Progress | None = None) -> None:
    """Do *work* from one part to another, piece by piece, on all threads; *told* the share done."""
    pieces = [(i, min(i + PIECE, count)) for i in range(0, count, PIECE)]
    if len(pieces) == 1:
        work(*pieces[0])
    else:
        # Compiled work holds no interpreter lock, so threads share the processors.
        with ThreadPoolExecutor(THREADS) as pool:
            for done, _ in enumerate(pool.map(lambda ends: work(*ends), pieces), start=1):
                if told:
                    told(done / len(pieces))
    if told and len(pieces) < 2:
        told(1.0)


def batch_of(parts: Sequence[PartArrays]) -> Batch:
    """Put parts side by side, the short ones filled up."""
    readings = np.array([len(p.low) for p in parts])
    biases = np.array([len(p.bias) for p in parts])
    n, r, b = len(parts), int(readings.max(initial=0)), int(biases.max(initial=0))
    marked, shown = np.array([len(p.marks) for p in parts]), np.array([len(p.outcomes) for p in parts])
    widths = {
        "use": (r + 1,),
        "use_var": (r + 1,),
        "look": (r, b),
        "bias": (b, 2, 3),
        "marks": (2,),
        "outcomes": (2,),
    }

    def side_by_side(name: str) -> Array:
        one = getattr(parts[0], name)
        if not isinstance(one, np.ndarray):
            return np.array([float(getattr(p, name)) for p in parts])
        shape = one.shape if name == "start" else widths.get(name, (r,))
        whole = np.zeros((n, *shape))
        for i, p in enumerate(parts):
            own = getattr(p, name)
            place: Any = (i, *(slice(0, size) for size in own.shape))
            whole[place] = own
        return whole

    arrays: Json = {name: side_by_side(name) for name in PartArrays._fields}
    return Batch(**arrays, marked=marked, shown=shown, readings=readings, biases=biases)
