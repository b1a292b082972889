"""One part of a fleet, written out for the second way."""

from pinchbolt.engines.wear._many import Fleet
from tests.second_way.wear_one_part import Look, Part


def part_of(fleet: Fleet, i: int) -> Part:
    """Part *i* of a fleet whose instruments each have one constant bias."""
    states, readings = fleet.mean.shape[1], fleet.low.shape[1]
    looks = tuple(
        Look(
            float(fleet.use[i, j]),
            float(fleet.use_var[i, j]),
            float(fleet.low[i, j]),
            float(fleet.high[i, j]),
            float(fleet.gauge_sd[i, j]),
            int(fleet.through[i, j, 1:].argmax()),
        )
        for j in range(readings)
    )
    return Part(
        float(fleet.mu[i]),
        float(fleet.sigma[i]),
        (float(fleet.mean[i, 0]), float(fleet.sd[i, 0])),
        tuple((float(fleet.mean[i, s]), float(fleet.sd[i, s])) for s in range(1, states)),
        looks,
        (float(fleet.use[i, readings]), float(fleet.use_var[i, readings])),
        fleet.noise,
        fleet.misread,
    )
