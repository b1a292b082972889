"""Quantiles of a guarded law: where its chance reaches a level, by use or by wear."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._along import PACES, Along, along_of, led, pace_of, usual_pace
from pinchbolt.engines.wear._filter import Cloud, PartArrays, looked_at, only_other
from pinchbolt.engines.wear._guard import Stack, expected_reading, passed, stack_of
from pinchbolt.engines.wear._normal import probit
from pinchbolt.engines.wear._scale import Array

GRID = 37  # points of use at which the whole law is laid down first
GRID_LOW, GRID_HIGH, GRID_SCALE = -2.7, 5.4, 0.25  # sinh of these times a quarter of the median life
# Wear at which the law is laid down first, own scale: close where parts are.
WEAR_GRID = np.concatenate([[-2.0, -0.6], np.linspace(-0.2, 2.0, 23), [2.6, 4.0, 12.0]])
WEAR_PRECISION, STRAIGHT_STEPS = 1e-7, 9
MOST_STEPS = 60
FAR_PACE = PACES[
    -1
]  # times the usual distance, from which the whole law is held to that of an unknown distance
FURTHEST = 1e4  # median lives
LEAST_GAP = 1e-3  # between the probits of points that a cubic is laid through


class Law(NamedTuple):
    """What is told of one part: the guarded law, those of its reading at other distances, which the median is held to, and that of
    an unknown distance, which counts beyond the usual `pace`.

    `scale`: the use that brings a part with the median rate from new to its limit.
    """

    stack: Stack
    along: Along | None
    floor: Stack
    pace: float
    scale: float


def law_of(part: PartArrays, cloud: Cloud, slipped: Array, least_weight: float) -> Law:
    """Return the guarded law of a part by its belief just before the last reading."""
    readings = len(part.low)
    anchor, pace = 0.0, usual_pace(part)
    if readings > 0:
        expected, variance, _ = looked_at(part, cloud, readings - 1)
        anchor = expected_reading(cloud, expected, variance)
    stack = stack_of(part, cloud, slipped, anchor, least_weight)
    floor = stack
    if pace >= 1.0 or pace_of(part) > 0.0:
        other, some = only_other(cloud, slipped)
        expected, variance, _ = looked_at(part, other, readings - 1)
        floor = stack_of(part, other, some, expected_reading(other, expected, variance), least_weight)
    return Law(stack, along_of(part, cloud, slipped, least_weight, floor), floor, pace, np.exp(-part.mu))


def chance_of(law: Law, mark: Array, use: Array, middle: NDArray[np.bool_] | None = None) -> Array:
    """`passed`, its median in order of distance; beyond the usual pace of its reading never more than if the distance were not known.

    From the usual pace on that holds up to the median, from four times of it on for every chance. *middle*: see `led`.
    """
    chance = passed(law.stack, mark, use)
    if law.along is not None:
        chance = led(
            law.along,
            law.stack,
            chance,
            mark,
            use,
            np.zeros(len(use), np.bool_) if middle is None else middle,
        )
    return chance if law.pace < 1.0 else held_to(chance, passed(law.floor, mark, use), law.pace)


def held_to(chance: Array, unknown: Array, pace: float) -> Array:
    """Chances at *pace* times the usual distance or beyond, held to those of an unknown distance."""
    least = np.minimum(chance, unknown)
    return least if pace >= FAR_PACE else np.where(unknown < 0.5, least, chance)


def grid_of(law: Law, points: int = GRID) -> Array:
    """Points of use at which the whole law is laid down: the same for every last reading. One of them is today."""
    grid = np.sinh(np.linspace(GRID_LOW, GRID_HIGH, points)) * (GRID_SCALE * law.scale)
    grid[np.abs(grid).argmin()] = 0.0
    return grid


def use_at(law: Law, marks: Array, levels: Array, grid: Array, laid: Array, precision: float) -> Array:
    """Return the use until each of *marks* that is passed with each chance of *levels* (below 0: passed that far back), a row a mark.

    *laid*: chances at the points of *grid*, a row a mark. *precision*: of a quantile, in median lives. What is not as likely by today
    as a level lies ahead, whatever the chance was before: as growth may be negative it need not rise all the way. Secant steps on the probit
    inside a bracket that only shrinks; the first point lies on a cubic through four of the grid. All go side by side.
    """
    each, last = len(levels), len(grid) - 1
    count = len(marks) * each
    aims, laid_at = np.tile(probit(levels), len(marks)), probit(laid)
    low, high = np.full(count, -FURTHEST * law.scale), np.full(count, FURTHEST * law.scale)
    a, b = np.full(count, -8.3), np.full(count, 8.3)  # probits of the ends
    found, slope, reached, moved = np.zeros(count), np.zeros(count), np.zeros(count), np.zeros(count)
    today = int(np.abs(grid).argmin())
    for i in range(count):
        of, level = divmod(i, each)
        k = today if laid[of, today] < levels[level] else 0
        while k <= last and laid[of, k] < levels[level]:
            k += 1
        if k > 0:
            low[i], a[i] = grid[k - 1], laid_at[of, k - 1]
        if k <= last:
            high[i], b[i] = grid[k], laid_at[of, k]
        found[i] = _first_point(grid, laid_at[of], k, aims[i], low[i], high[i])
        slope[i] = (high[i] - low[i]) / max(b[i] - a[i], 1e-12)
    mark = np.repeat(marks, each)
    tolerance = precision * law.scale
    left = np.arange(count)
    for step in range(MOST_STEPS):
        seen = probit(chance_of(law, mark[left], found[left], aims[left] == 0.0))
        near = np.zeros(len(left)) > 0.0
        for m in range(len(left)):
            i, at, here = left[m], found[left[m]], seen[m]
            off = here - aims[i]
            if step > 0 and abs(here - reached[i]) > 1e-13:
                slope[i] = moved[i] / (here - reached[i])
            if off < 0.0:
                low[i], a[i] = at, here
            else:
                high[i], b[i] = at, here
            if min(high[i] - low[i], abs(off) * law.scale) <= tolerance:
                near[m] = True
                continue
            to = at - off * slope[i]
            # Now and then the middle, so that a bend can't hold one end back; in the end the middle alone, for where it jumps.
            halve = step % 4 == 3 or step >= STRAIGHT_STEPS
            if halve or not low[i] < to < high[i]:
                share = 0.5 if halve else (aims[i] - a[i]) / max(b[i] - a[i], 1e-12)
                to = low[i] + min(max(share, 0.02), 0.98) * (high[i] - low[i])
            found[i], moved[i], reached[i] = to, to - at, here
        left = left[~near]
        if len(left) == 0:
            break
    return found.reshape(len(marks), each)


def _first_point(grid: Array, at: Array, k: int, aim: float, low: float, high: float) -> float:
    """Where a cubic through the two points of *grid* on either side reaches the probit *aim*; else the middle."""
    if 1 < k < len(grid) - 1 and min(at[k + 1] - at[k], at[k] - at[k - 1], at[k - 1] - at[k - 2]) > LEAST_GAP:
        to = 0.0
        for i in range(k - 2, k + 2):
            part = grid[i]
            for j in range(k - 2, k + 2):
                if j != i:
                    part *= (aim - at[j]) / (at[i] - at[j])
            to += part
        if low < to < high:
            return float(to)
    return float(0.5 * (low + high))


def wear_at(law: Law, levels: Array) -> Array:
    """Return the wear now that is not passed with each chance of *levels*. [own scale]"""
    now, aims = np.zeros(len(levels)), probit(1.0 - levels)
    laid = probit(chance_of(law, WEAR_GRID, np.zeros(len(WEAR_GRID))))
    k = np.clip([(laid > aim).sum() for aim in aims], 1, len(laid) - 1)
    low, high, a, b = WEAR_GRID[k - 1], WEAR_GRID[k], laid[k - 1] - aims, laid[k] - aims
    side = np.zeros(len(levels))
    for step in range(MOST_STEPS):
        left = np.flatnonzero(np.minimum(high - low, np.maximum(np.abs(a), np.abs(b))) > WEAR_PRECISION)
        if not len(left):
            break
        # Where it jumps, at the mark of a safety part, only halving gets on.
        share = np.clip(a / np.maximum(a - b, 1e-12), 0.02, 0.98)[left] if step < STRAIGHT_STEPS else 0.5
        at = low[left] + share * (high - low)[left]
        off = probit(chance_of(law, at, now[left])) - aims[left]
        over, near = off > 0.0, np.abs(off) <= WEAR_PRECISION
        # An end that stays where it is counts half as much from then on (Illinois), so that it can't hold the other one back.
        stays = side[left] == np.where(over, 1.0, -1.0)
        low[left], a[left] = np.where(
            over | near, (at, off), (low[left], np.where(stays, 0.5, 1.0) * a[left])
        )
        high[left], b[left] = np.where(
            over & ~near, (high[left], np.where(stays, 0.5, 1.0) * b[left]), (at, off)
        )
        side[left] = np.where(over, 1.0, -1.0)
    return np.asarray(low)
