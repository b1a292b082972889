"""A worse last reading never tells a better story: random histories of every row, each swept over all its last readings.

`make fuzz-wear` runs 20,000 histories a row (`--histories`), the suite 200. Of each history the law is worked out for 85 last
readings from better than new to twice the limit, once at every node that any of them passes (`swept`): the chance of being past
the limit now, past the warning, and past the limit after each of 61 distances must rise from reading to reading. Where chances
are in order at every distance so are the quantiles; that those which are told are found well enough is seen on a few (`figures`).
And more distance at a first reading gives no less road (`distance_faults`).
"""

import argparse
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import cache

import numpy as np

from pinchbolt.engines.wear import GaugeReading, RateOfUse, WearLaw
from pinchbolt.engines.wear._batch import batch_of, foretell
from pinchbolt.engines.wear._compiled import OPTIONS, compiled, compiled_form
from pinchbolt.engines.wear._filter import LEAST_WEIGHT, PartArrays
from pinchbolt.engines.wear._guard import LEAST_OF_NODE, value_nodes
from pinchbolt.engines.wear._hunt import FAR_PACE
from pinchbolt.engines.wear._judge import NODES
from pinchbolt.engines.wear._loops import integral, probit
from pinchbolt.engines.wear._loops_filter import CloudRoom, look_at, rates_for, room_for, until_last
from pinchbolt.engines.wear._loops_guard import (
    StackRoom,
    at_node,
    expected_reading,
    lay_stack,
    points_for,
    set_spread,
    stack_room,
)
from pinchbolt.engines.wear._loops_hunt import first_other
from pinchbolt.engines.wear._one import part_of
from pinchbolt.engines.wear._scale import Array, own_scale
from pinchbolt.engines.wear._steps import steps
from pinchbolt.values import Interval
from tests.engines.wear.cases import TODAY
from tests.engines.wear.rows import laws, usual_error

LEVELS = np.array([0.1, 0.5, 0.9])
SWEEP = np.linspace(-0.2, 2.0, 85)
AHEAD = np.sinh(np.linspace(-2.2, 4.2, 61)) / 8  # distances in median lives, close together near 0


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


def part_with(of: WearLaw, looks: list[GaugeReading], start: str) -> PartArrays:
    """The part as the law takes it."""
    use = RateOfUse(of.median_life / 43, 0.5)
    return part_of(of, looks, steps(of, looks, use, TODAY, looks[-1].exposure, None), start)


def figures(of: WearLaw, looks: list[GaugeReading], start: str, sweep: np.ndarray) -> np.ndarray:
    """Chance of being past the limit, and minus the road at three chances in lives, for each last reading of *sweep*.

    What was passed more than a life ago is told as that: so far back the chance need not fall with the distance.
    """
    part = part_with(of, looks, start)

    def read_last(at: float) -> PartArrays:
        ends = np.concatenate([part.low[:-1], [at]])
        return part._replace(low=ends, high=ends)

    batch = batch_of([read_last(float(at)) for at in sweep])
    road, found = np.zeros((len(sweep), len(LEVELS))), np.zeros((len(sweep), 4))
    compiled()[0](batch, 0, len(sweep), NODES, LEVELS, LEAST_OF_NODE, 1e-11, road, found)
    return np.hstack([found[:, :1], np.minimum(-road / of.median_life, 1.0)])


def swept(
    part: PartArrays, nodes: int, least: float, sweep: Array, mark: Array, use: Array, out: Array
) -> None:
    """Fill, for each last reading of *sweep* (ascending), the chance at each point of *mark* and *use* (readings x points).

    The parts of the law are the engine's own; here the nodes are worked out once, up to the last reading on either side.
    A row stays nan where the nodes of its reading are not the first of those. Points of one mark lie side by side.
    """
    out[:] = np.nan
    room, rates = room_for(nodes, part.bias.shape[0]), rates_for(nodes)
    stack = stack_room(len(room.weight))
    n, _ = until_last(part, room, rates, LEAST_WEIGHT)
    look_at(part, room, n, len(part.low) - 1)
    _one_law(part, room, stack, 0, n, least, sweep, mark, use, out, False)
    if part.usual > 0.0 and part.start[2, 0] > 0.0:
        _one_law(part, room, stack, first_other(room, n), n, least, sweep, mark, use, out, True)


def _one_law(
    part: PartArrays, room: CloudRoom, stack: StackRoom, first: int, n: int, least: float, sweep: Array, mark: Array, use: Array,
    out: Array, floor: bool,
) -> None:  # fmt: skip
    """The law itself, or (*floor*) the one of an unknown distance, to which the law in *out* is held."""
    last, pace = len(part.low) - 1, 0.0
    anchor = expected_reading(room, first, n)
    for side in range(2):
        part.low[last] = part.high[last] = sweep[0] if side == 0 else sweep[len(sweep) - 1]
        lay_stack(part, room, stack, first, n, least)
        nodes_at, known, _ = value_nodes(part, anchor, part.low[last])
        worst, probits = _on_the_way(_table(stack, mark, use), 1.0 if side == 1 else -1.0)
        for i in range(len(sweep)):
            if (sweep[i] >= anchor) != (side == 1):
                continue
            if floor:
                pace = part.usual / max(sweep[i] - part.known_bias, 1e-6)
                if pace < 1.0:
                    continue
            at, reached, share = value_nodes(part, anchor, sweep[i])
            k = len(at)
            if k > len(nodes_at) or np.abs(at - nodes_at[:k]).max() > 1e-12 or (reached != known[:k]).any():
                out[i] = np.nan
                continue
            _at_reading(worst, probits, k, share, pace, floor, out[i])


def _table(stack: StackRoom, mark: Array, use: Array) -> Array:
    """Chance at each node and point; all points of one mark go side by side."""
    found, begun = np.zeros((stack.nodes[0], len(use))), 0
    while begun < len(use):
        end = begun
        while end < len(use) and mark[end] == mark[begun]:
            end += 1
        points = points_for(end - begun)
        for q in range(len(points.use)):
            points.use[q] = use[min(begun + q, end - 1)]
        set_spread(stack, points)
        for k in range(stack.nodes[0]):
            at_node(stack, k, mark[begun], points)
            for p in range(begun, end):
                found[k, p] = points.node[p - begun]
        begun = end
    return found


def _on_the_way(chances: Array, worse: float) -> tuple[Array, Array]:
    """The worst of the nodes up to each (the best, where readings came out better than expected), and its probit.

    Fifty readings lie between the same few nodes: what they share is worked out once.
    """
    probits = np.zeros(chances.shape)
    for k in range(chances.shape[0]):
        for p in range(chances.shape[1]):
            if k > 0:
                before = chances[k - 1, p]
                chances[k, p] = max(before, chances[k, p]) if worse > 0.0 else min(before, chances[k, p])
                probits[k, p] = probits[k - 1, p]
            if k == 0 or chances[k, p] != chances[k - 1, p]:
                probits[k, p] = probit(chances[k, p])
    return chances, probits


def _at_reading(
    worst: Array, probits: Array, nodes: int, share: float, pace: float, floor: bool, out: Array
) -> None:
    """The chance for a reading that so many nodes lead to, held to the floor."""
    last = nodes - 1
    for p in range(worst.shape[1]):
        chance = worst[last, p]
        if nodes > 1 and share < 1.0:
            chance = integral((1.0 - share) * probits[last - 1, p] + share * probits[last, p])
        if not floor:
            out[p] = chance
        elif pace >= FAR_PACE or chance < 0.5:
            out[p] = min(out[p], chance)


@cache
def sweeper() -> Callable[..., None]:
    """`swept`, compiled where that can be done."""
    if compiled()[0] is foretell:
        return swept
    from numba.extending import register_jitable

    for one in (value_nodes, _one_law, _table, _on_the_way, _at_reading):
        register_jitable(**OPTIONS)(one)
    return compiled_form(swept)


def chances(of: WearLaw, looks: list[GaugeReading], start: str, sweep: Array = SWEEP) -> Array:
    """Chance of being past the limit now and after 61 distances, and past the warning now (readings x 63)."""
    part, scale = part_with(of, looks, start), own_scale(of)
    use = np.concatenate([[0.0], AHEAD * of.median_life, [0.0]])
    mark = np.concatenate([np.ones(1 + len(AHEAD)), [scale.warn]])
    out = np.zeros((len(sweep), len(use)))
    sweeper()(part, NODES, 1e-7, sweep, mark, use, out)
    return out


def faults(of: WearLaw, histories: int, seed: int, sweep: Array = SWEEP) -> list[str]:
    """What was out of order, in words; nothing where all is in order."""
    g, found = np.random.default_rng(seed), []
    for number in range(histories):
        varied, looks, start = history(of, g)
        fall = -np.diff(chances(varied, looks, start, sweep), axis=0)
        if not fall.max() <= 1e-9:
            found.append(f"{of.id}, history {number} of seed {seed}: falls by {fall.max():.2g}")
    return found


def told_faults(of: WearLaw, histories: int, seed: int, sweep: Array = SWEEP) -> list[str]:
    """The same of what is told: chance of being past the limit to 1e-9, road to 1e-6 of a life; and `swept` says nearly the same.

    What weighs next to nothing at a node is left out at other weights where many last readings are asked of at once: to 1e-5.
    """
    g, found = np.random.default_rng(seed), []
    for number in range(histories):
        varied, looks, start = history(of, g)
        told = figures(varied, looks, start, sweep)
        fall = -np.diff(told, axis=0)
        if fall[:, 0].max() > 1e-9 or fall[:, 1:].max() > 1e-6:
            found.append(f"{of.id}, history {number} of seed {seed}: falls by {fall.max(axis=0)}")
        if len(looks) == 1 and start != "unknown":
            # The sweep is of the law of the stated distance; this one is held to those of others.
            continue
        apart = np.abs(chances(varied, looks, start, sweep)[:, 0] - told[:, 0]).max()
        if not apart <= 1e-5:
            found.append(f"{of.id}, history {number} of seed {seed}: swept differs by {apart:.2g}")
    return found


def fall_with_distance(of: WearLaw, looked: GaugeReading, start: str, at: float, paces: Array) -> float:
    """By how many lives the median road falls from one distance to the next: a first reading *at* this part of the way, at *paces*."""
    seen = of.new + at * (of.limit - of.new)
    first = [
        replace(looked, shown=Interval(seen, seen), exposure=float(pace * at * of.median_life), day=TODAY)
        for pace in paces
    ]
    batch = batch_of([part_with(of, [one], "told" if start == "unknown" else start) for one in first])
    road, told = np.zeros((len(first), 1)), np.zeros((len(first), 4))
    compiled()[0](batch, 0, len(first), NODES, LEVELS[1:2], LEAST_OF_NODE, 1e-9, road, told)
    return float(-np.diff(np.maximum(road[:, 0], 0.0)).min() / of.median_life)


def distance_faults(of: WearLaw, readings: int, seed: int) -> list[str]:
    """What falls out of order as the distance of a first reading grows, from 0.4 to 4 times its usual pace: median road to 1e-6 lives."""
    g, found = np.random.default_rng(seed), []
    for number in range(readings):
        varied, looks, start = history(of, g)
        at = g.uniform(0.02, 1.2)
        paces = np.sort(np.exp(g.uniform(*np.log([0.4, 4.0]), 16)))
        fall = fall_with_distance(varied, looks[0], start, at, paces)
        if fall > 1e-6:
            found.append(
                f"{of.id}, first reading {number} of seed {seed}: falls by {fall:.2g} with the distance"
            )
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
        found = faults(of, asked.histories, asked.seed) + told_faults(of, asked.histories // 100, asked.seed)
        found += distance_faults(of, asked.histories // 100, asked.seed)
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
