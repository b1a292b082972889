"""Fewest runs: a shortest row of labels in which every joint comes after those before it. Sets of joints are bits.

A run is done with one label (one tool at one setting) and takes every joint that is open and bears the label: taking
more never hurts. So the joints done are decided by the row of labels alone, and a search over sets of joints done finds
a shortest row. It is proved when nothing unexplored could be shorter.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush


@dataclass(frozen=True, slots=True)
class Runs:
    """Joints taken in each run, the label of each, and what is proved. The first run may be all by hand: label -1."""

    taken: tuple[int, ...]
    labels: tuple[int, ...]
    at_least: int
    proven: bool


def bits(mask: int) -> Iterator[int]:
    """The joints in a set."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def undominated(labels: Sequence[int]) -> list[int]:
    """Positions of the labels that no other label contains; of equal ones the first."""
    kept: list[int] = []
    for place, label in enumerate(labels):
        inside = (
            label | other == other and (label != other or at < place)
            for at, other in enumerate(labels)
            if at != place
        )
        if label and not any(inside):
            kept.append(place)
    return kept


def fewest_runs(labels: Sequence[int], before: Sequence[int], free: int, most_looks: int) -> Runs:
    """Return a shortest row of labels that does every joint.

    Args:
        labels: For each label the joints that bear it. [-]
        before: For each joint the joints that come before it. [-]
        free: Joints that need no label. [-]
        most_looks: Sets of joints to look at before giving the best known. [-]

    Returns:
        Runs; `at_least` is a count that no order can beat, equal to the count where `proven`. [-]

    Valid for: Orders without a cycle, and joints that each bear a label or are free.

    Source: Best-first search with a lower bound that never overstates: joints of which no two share a label.
    """
    everything = (1 << len(before)) - 1
    kept = undominated(labels)
    apart = _Apart(labels, len(before))
    start = _take(0, free, before)
    queue: list[tuple[int, int, int, int]] = [(apart.count(everything & ~start), 0, 0, start)]
    best_depth: dict[int, int] = {start: 0}
    came: dict[int, tuple[int, int]] = {}
    looks = ties = 0
    while queue:
        bound, minus_depth, _, done = heappop(queue)
        depth = -minus_depth
        if done == everything:
            return _runs(done, start, came, bound, proven=True)
        if depth > best_depth[done]:
            continue
        looks += 1
        if looks > most_looks:
            finished = _finish_greedily(done, kept, labels, before, free, came)
            runs = _runs(finished, start, came, bound, proven=False)
            return Runs(runs.taken, runs.labels, bound, bound == sum(label >= 0 for label in runs.labels))
        for place in kept:
            then = _take(done, labels[place] | free, before)
            if then == done or best_depth.get(then, depth + 2) <= depth + 1:
                continue
            best_depth[then] = depth + 1
            came[then] = (done, place)
            ties += 1
            heappush(queue, (depth + 1 + apart.count(everything & ~then), -(depth + 1), ties, then))
    raise AssertionError("an order without a cycle always ends")  # pragma: no cover - held by the caller


def _take(done: int, bearing: int, before: Sequence[int]) -> int:
    """Every joint of *bearing* that is open, and those that open by taking them."""
    waiting = bearing & ~done
    moved = True
    while moved:
        moved = False
        for joint in bits(waiting):
            if not before[joint] & ~done:
                done |= 1 << joint
                waiting ^= 1 << joint
                moved = True
    return done


class _Apart:
    """Lower bound: joints of which no two share a label each need a run of their own."""

    def __init__(self, labels: Sequence[int], joints: int) -> None:
        self.shares = [0] * joints
        for label in labels:
            for joint in bits(label):
                self.shares[joint] |= label
        self.order = sorted(
            (joint for joint in range(joints) if self.shares[joint]), key=lambda j: self.shares[j].bit_count()
        )

    def count(self, left: int) -> int:
        found = 0
        for joint in self.order:
            if left >> joint & 1:
                found += 1
                left &= ~self.shares[joint]
        return found


def _finish_greedily(
    done: int,
    kept: Sequence[int],
    labels: Sequence[int],
    before: Sequence[int],
    free: int,
    came: dict[int, tuple[int, int]],
) -> int:
    """Finish from *done* with the label that takes most each time."""
    everything = (1 << len(before)) - 1
    while done != everything:
        then, place = max(
            ((_take(done, labels[p] | free, before), p) for p in kept), key=lambda way: way[0].bit_count()
        )
        if then not in came:
            came[then] = (done, place)
        done = then
    return done


def _runs(done: int, start: int, came: dict[int, tuple[int, int]], at_least: int, *, proven: bool) -> Runs:
    """Walk back from *done* to the start."""
    taken, labels = [], []
    while done != start:
        earlier, place = came[done]
        taken.append(done & ~earlier)
        labels.append(place)
        done = earlier
    if start:
        taken.append(start)
        labels.append(-1)
    return Runs(tuple(reversed(taken)), tuple(reversed(labels)), at_least, proven)
