"""Quantiles of a guarded law: where its chance reaches a level, by use or by wear."""

from typing import NamedTuple

import numpy as np

from pinchbolt.engines.wear._filter import Cloud, PartArrays, looked_at, only_other
from pinchbolt.engines.wear._guard import Stack, expected_reading, passed, stack_of
from pinchbolt.engines.wear._normal import probit
from pinchbolt.engines.wear._scale import Array

GRID = 37  # points of use at which the whole law is laid down first
GRID_LOW, GRID_HIGH, GRID_SCALE = -2.7, 5.4, 0.25  # sinh of these times a quarter of the median life
WEAR_LOW, WEAR_HIGH = -2.0, 12.0  # own scale
MOST_STEPS, HALVINGS = 60, 28
FAR_PACE = 4.0  # times the usual distance, from which the whole law is held to that of an unknown distance
FURTHEST = 1e4  # median lives


class Law(NamedTuple):
    """What is told of one part: the guarded law, and that of an unknown distance, which counts beyond the usual `pace`.

    `scale`: the use that brings a part with the median rate from new to its limit.
    """

    stack: Stack
    floor: Stack
    pace: float
    scale: float


def law_of(part: PartArrays, cloud: Cloud, slipped: Array, least_weight: float) -> Law:
    """Return the guarded law of a part by its belief just before the last reading."""
    readings = len(part.low)
    anchor, pace = 0.0, 0.0
    if readings > 0:
        expected, variance, _ = looked_at(part, cloud, readings - 1)
        anchor = expected_reading(cloud, expected, variance)
        high = part.high[readings - 1] - part.known_bias
        if part.usual > 0.0 and part.start[2, 0] > 0.0 and high < np.inf:
            pace = part.usual / max(high, 1e-6)
    stack = stack_of(part, cloud, slipped, anchor, least_weight)
    floor = stack
    if pace >= 1.0:
        other, some = only_other(cloud, slipped)
        expected, variance, _ = looked_at(part, other, readings - 1)
        floor = stack_of(part, other, some, expected_reading(other, expected, variance), least_weight)
    return Law(stack, floor, pace, np.exp(-part.mu))


def chance_of(law: Law, mark: Array, use: Array) -> Array:
    """`passed`; beyond the usual pace of its reading never more than if the distance were not known.

    From the usual pace on that holds up to the median, from four times of it on for every chance.
    """
    chance = passed(law.stack, mark, use)
    if law.pace < 1.0:
        return chance
    unknown = passed(law.floor, mark, use)
    if law.pace >= FAR_PACE:
        return np.minimum(chance, unknown)
    return np.where(unknown < 0.5, np.minimum(chance, unknown), chance)


def grid_of(law: Law, points: int = GRID) -> Array:
    """Points of use at which the whole law is laid down: the same for every last reading."""
    return np.sinh(np.linspace(GRID_LOW, GRID_HIGH, points)) * (GRID_SCALE * law.scale)


def use_at(law: Law, mark: float, levels: Array, grid: Array, laid: Array, precision: float) -> Array:
    """Return the use until *mark* that is passed with each chance of *levels* (below 0: passed that far back).

    *laid*: chances at the points of *grid*. *precision*: of a quantile, in median lives.
    """
    count = len(levels)
    low, high = np.zeros(count), np.zeros(count)
    low_chance, high_chance = np.zeros(count), np.zeros(count)
    for i in range(count):
        k = 0
        while k < len(grid) and laid[k] < levels[i]:
            k += 1
        low[i] = grid[k - 1] if k > 0 else -FURTHEST * law.scale
        high[i] = grid[k] if k < len(grid) else FURTHEST * law.scale
        low_chance[i] = laid[k - 1] if k > 0 else 0.0
        high_chance[i] = laid[k] if k < len(grid) else 1.0
    tolerance = precision * law.scale
    marks = np.full(count, mark)
    aim = probit(levels)
    a, b = probit(low_chance) - aim, probit(high_chance) - aim
    at = high.copy()
    for step in range(MOST_STEPS):
        share = np.minimum(np.maximum(a / np.minimum(a - b, -1e-12), 0.02), 0.98)
        # Now and then the middle, so that a bend can't hold one end back.
        share = np.where(step % 4 == 3, 0.5, share)
        at = low + share * (high - low)
        off = probit(chance_of(law, marks, at)) - aim
        below = off < 0.0
        low, a = np.where(below, at, low), np.where(below, off, a)
        high, b = np.where(below, high, at), np.where(below, b, off)
        # Half the weight of the end that stays, so that both ends close in.
        a, b = np.where(below, a, 0.5 * a), np.where(below, 0.5 * b, b)
        if (np.minimum(high - low, np.abs(off) * law.scale) <= tolerance).all():
            break
    return at


def wear_at(law: Law, levels: Array) -> Array:
    """Return the wear now that is not passed with each chance of *levels*. [own scale]"""
    count = len(levels)
    low, high = np.full(count, WEAR_LOW), np.full(count, WEAR_HIGH)
    now = np.zeros(count)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        over = chance_of(law, middle, now) > 1.0 - levels
        low, high = np.where(over, middle, low), np.where(over, high, middle)
    return low
