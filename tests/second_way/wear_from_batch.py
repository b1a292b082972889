"""One part of a batch, written out for the second way: one story of the start, one of each instrument, one normal of rates."""

from dataclasses import replace

import numpy as np

from pinchbolt.engines.wear import LearnedChains
from pinchbolt.engines.wear._batch import Batch, part_at
from pinchbolt.engines.wear._chain_batch import ChainBelief, base_mu, chain_batch
from ratios.wear import NAMES, chain_lines
from ratios.wear_lives import BIAS, BIAS_SD, Lives
from tests.second_way.wear_one_part import Look, Part


def plain_chains(life: Lives, seen: int, known: LearnedChains, rows: np.ndarray) -> Batch:
    """Drawn chains after *seen* readings, without tail, hub chains, used starts and bedding-in."""
    lines = chain_lines(life, seen).take(rows)
    tuning = replace(known.tuning, tail=0.0, hub=0.0, run_in=0.0)
    held = {**known.beliefs, "used-mixed": 0.0, "other-mixed": 0.0}
    kinds = np.zeros((len(rows), 4, 2, 3))
    kinds[:, :, 0, 0], kinds[:, :, 1, 2] = 1.0, 1.0
    kinds[:, NAMES, 0, 1], kinds[:, NAMES, 0, 2] = BIAS, BIAS_SD
    told = ChainBelief(base_mu(lines, known), np.full(len(rows), tuning.spread), kinds)
    return chain_batch(lines, replace(known, beliefs=held), tuning, told).batch


def part_of(batch: Batch, i: int) -> Part:
    """Part *i* of a batch whose instruments each have one story."""
    one = part_at(batch, i)
    looks = tuple(
        Look(use, var, low, high, sd, int(look.argmax()))
        for use, var, low, high, sd, look in zip(
            one.use.tolist(),
            one.use_var.tolist(),
            one.low.tolist(),
            one.high.tolist(),
            one.sd.tolist(),
            one.look,
            strict=False,
        )
    )
    return Part(
        float(one.mu),
        float(one.sigma),
        (float(one.start[0, 1]), float(one.start[0, 2])),
        tuple((float(b[0, 1]), float(b[0, 2])) for b in one.bias),
        looks,
        (float(one.use[-1]), float(one.use_var[-1])),
        (float(one.noise), float(one.slow_sd), float(one.slow_use)),
        float(one.misread[0]),
    )
