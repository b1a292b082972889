"""Many parts at once: the same filter over arrays of parts, in pieces that stay near the processor."""

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np

from pinchbolt.engines.wear._fleet_filter import Cloud, count_by_km, grow, rate_grid, read, start
from pinchbolt.engines.wear._predict import chance_past, use_quantiles
from pinchbolt.engines.wear._scale import Array

PIECE = 3072  # parts filtered together: enough to keep a thread busy, few enough to stay near the processor
BULK_NODES = 12


@dataclass(frozen=True, slots=True)
class Fleet:
    """Many parts on their own scales (0 new, 1 limit), with as many readings each as the longest has.

    `mu`, `sigma` of the log rate (parts); `mean`, `sd` of wear and instrument states at fitting (parts x states);
    `use`, `use_var` before each reading and from the last to now (parts x readings + 1); `low`, `high`, `gauge_sd` of
    the readings (parts x readings; both ends infinite = none); `through` (parts x readings x states) how each looks at
    the states; `noise` (noise, slow_sd, slow_use); `misread` the share of slips. `passing` (parts x readings) is how fast
    use counts with km where a reading is the very moment of passing the limit, 0 elsewhere.
    """

    mu: Array
    sigma: Array
    mean: Array
    sd: Array
    use: Array
    use_var: Array
    low: Array
    high: Array
    gauge_sd: Array
    through: Array
    noise: tuple[float, float, float]
    misread: float
    passing: Array | None = None

    def __len__(self) -> int:
        return len(self.mu)

    def take(self, rows: slice | Array) -> "Fleet":
        """Some of the parts."""
        some: dict[str, Any] = {name: array[rows] for name, array in self.arrays().items()}
        return replace(self, **some)

    def arrays(self) -> dict[str, Array]:
        """All that has a row a part."""
        held = {f.name: getattr(self, f.name) for f in fields(self) if f.name not in ("noise", "misread")}
        return {name: array for name, array in held.items() if array is not None}


@dataclass(frozen=True, slots=True)
class FleetForecast:
    """For each part: quantiles of remaining use (parts x levels), chance of being past the limit now, log evidence of
    all readings, and that of all but the last."""

    remaining: Array
    past: Array
    evidence: Array
    evidence_before_last: Array


def filter_fleet(fleet: Fleet, nodes: int = BULK_NODES) -> tuple[Cloud, Array]:
    """Return the cloud of all parts grown to now, and the log evidence before the last reading."""
    rate, prior = rate_grid(fleet.mu, fleet.sigma, nodes)
    cloud = start(rate, prior, fleet.mean, fleet.sd)
    readings = fleet.low.shape[1]
    before = cloud.evidence.copy()
    for j in range(readings):
        grow(cloud, fleet.use[:, j], fleet.use_var[:, j], fleet.noise)
        before = cloud.evidence.copy()
        read(
            cloud, fleet.low[:, j], fleet.high[:, j], fleet.gauge_sd[:, j], fleet.through[:, j], fleet.misread
        )
        if fleet.passing is not None and fleet.passing[:, j].any():
            count_by_km(cloud, fleet.passing[:, j])
    grow(cloud, fleet.use[:, readings], fleet.use_var[:, readings], fleet.noise)
    return cloud, before


def in_single(fleet: Fleet) -> Fleet:
    """The fleet in single precision: half the memory, more than twice the speed, quantiles to about 1 in 10,000."""
    single: dict[str, Any] = {name: array.astype(np.float32) for name, array in fleet.arrays().items()}
    return replace(fleet, **single)


def forecast_fleet(
    fleet: Fleet,
    levels: Array,
    *,
    marks: Sequence[float] = (1.0,),
    nodes: int = BULK_NODES,
    precision: float = 5e-3,
    workers: int = 1,
) -> FleetForecast:
    """Return quantiles of remaining use and the chance of being past the limit, for every part.

    Args:
        fleet: The parts. [own scale; use in the driver's unit]
        levels: Chances at which quantiles are wanted, 0 to 1. [-]
        marks: Wear up to which the use is wanted; quantiles come mark by mark. [own scale]
        nodes: Rates on the grid of each part. [-]
        precision: Last step of a quantile, as a share of the part's life; the error left is far smaller. [-]
        workers: Threads. [-]

    Returns:
        One row a part. [driver's unit, -]

    Valid for: As `judge`, which runs the same filter on one part.

    Source: docs/methods/wear.md.
    """

    def one(piece: Fleet) -> FleetForecast:
        cloud, before = filter_fleet(piece, nodes)
        mix = cloud.weight, cloud.rate, cloud.wear - marks[0], cloud.wear_var
        further = tuple(mark - marks[0] for mark in marks)
        remaining = use_quantiles(*mix, levels, piece.noise, precision, further)
        past = chance_past(cloud.weight, cloud.wear, cloud.wear_var, np.ones_like(piece.mu))
        return FleetForecast(remaining, past, cloud.evidence, before)

    if workers == 1:
        done = [one(piece) for piece in pieces(fleet)]
    else:
        # Arrays are worked on outside the interpreter's lock, so threads share the processors.
        with ThreadPoolExecutor(workers) as pool:
            done = list(pool.map(one, pieces(fleet)))
    return FleetForecast(*(np.concatenate([getattr(d, f.name) for d in done]) for f in fields(FleetForecast)))


def pieces(fleet: Fleet, size: int = PIECE) -> Iterator[Fleet]:
    """Cut a fleet into pieces of at most *size* parts."""
    for i in range(0, len(fleet), size):
        yield fleet.take(slice(i, i + size))
