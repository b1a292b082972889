"""The search for turns: whole quarters, as few spokes as do, good for every stiffness the rim may have.

Steps are counted, never seconds, and of equals the first counts: the same readings give the same turns.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wheels._ring import QUARTER, Influence
from pinchbolt.engines.wheels._wheel_sense import Floats

Turns = NDArray[np.int64]

# Of a limit that much is aimed at, so that what was misread is still inside. Own choice, by `make score-wheels`.
AIM = 0.5
# What touching a spoke and each quarter cost, in squares of a limit. Own choice, by `make score-wheels`.
TOUCH, EACH = 0.02, 0.012
MOST_STEPS = 150
# What a newton over a spoke's limit costs, in the same squares: first a price, then a bar. Own choice.
PASSING = (0.02, 100.0)
# Newtons that only rounding makes.
DUST = 1e-6


@dataclass(frozen=True, slots=True)
class Limits:
    """What a true wheel keeps: runout side and up, peak to peak in m; departure from its side's mean; dish in m; greatest N."""

    side: float = 0.0005
    up: float = 0.0006
    spread: float = 0.20
    dish: float = 0.0005
    greatest: float | None = None

    def times(self, share: float) -> "Limits":
        """The same, each limit of straightness and evenness times *share*."""
        return Limits(
            self.side * share, self.up * share, self.spread * share, self.dish * share, self.greatest
        )


@dataclass(frozen=True, slots=True)
class State:
    """Where a wheel is: side and up in m, tension in N, per spoke; side is from the middle where the dish was read."""

    side: Floats
    up: Floats
    tension: Floats
    dished: bool = False


@dataclass(frozen=True, slots=True)
class Problem:
    """One search: where the wheel is, what a quarter turn does in each stiffness class, limits, and the most a spoke may bear."""

    state: State
    classes: tuple[Influence, ...]
    right: NDArray[np.bool_]
    limits: Limits
    caps: Floats
    aim: float = AIM
    touch: float = TOUCH
    each: float = EACH

    def free(self) -> "Problem":
        """The same where turns cost nothing, and the limit itself will do."""
        return replace(self, aim=0.9, touch=0.0, each=1e-6)


def after(problem: Problem, turns: Turns) -> tuple[State, ...]:
    """The wheel after *turns*, in each class."""
    here, move = problem.state, turns * QUARTER
    return tuple(
        State(
            here.side + one.side @ move,
            here.up + one.up @ move,
            here.tension + one.tension @ move,
            here.dished,
        )
        for one in problem.classes
    )


def usual(problem: Problem, turns: Turns) -> State:
    """The wheel after *turns*, in the middle class."""
    return after(problem, turns)[len(problem.classes) // 2]


def over_caps(problem: Problem, turns: Turns) -> float:
    """By how much the worst spoke passes what it may bear, in the worst class. [N]"""
    return max(float((one.tension - problem.caps).max()) for one in after(problem, turns))


def search(problem: Problem, most: int, begin: Turns | None = None) -> Turns:
    """Turns of at most *most* quarters a spoke: the best single change again and again, then the best pair of changes.

    On the way to them a spoke may pass what it bears, at a price, since two tight spokes side by side are loosened one after
    the other; then nothing may. What still passes it is not turned at all. Where nothing passes it at the price, nothing is left to do.
    """
    moved = _Moved(problem)
    turns = begin if begin is not None else np.zeros(len(problem.right), dtype=np.int64)
    for price in PASSING:
        for _ in range(MOST_STEPS):
            change = moved.best_single(turns, most, price)
            if change is None:
                change = moved.best_pair(turns, most, price)
            if change is None:
                break
            turns = turns + change
        if over_caps(problem, turns) <= 0:
            break
    return turns if over_caps(problem, turns) <= DUST else np.zeros(len(problem.right), dtype=np.int64)


class _Moved:
    """What single quarters do, laid out so that all changes of one step are judged at once."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        count = len(problem.right)
        limits, mean = problem.limits, _side_means(problem.right)
        flat = np.eye(count) - 1 / count
        rows, starts = [], []
        for one in problem.classes:
            per_mean = mean @ problem.state.tension
            # Side and up against their own mean, tension against that of its side, dish; each as a share of its limit.
            blocks = [
                flat @ one.side / (limits.side / 2),
                flat @ one.up / (limits.up / 2),
                (np.eye(count) - mean) @ one.tension / (limits.spread * per_mean)[:, None],
            ]
            start = [
                flat @ problem.state.side / (limits.side / 2),
                flat @ problem.state.up / (limits.up / 2),
                (problem.state.tension / per_mean - 1) / limits.spread,
            ]
            if problem.state.dished:
                blocks.append(one.side.mean(axis=0, keepdims=True) / limits.dish * np.sqrt(count / 4))
                start.append(np.array([problem.state.side.mean() / limits.dish * np.sqrt(count / 4)]))
            rows.append(np.concatenate(blocks) * QUARTER)
            starts.append(np.concatenate(start))
        self.effect, self.start = np.concatenate(rows), np.concatenate(starts)
        self.pull = np.concatenate([one.tension for one in problem.classes]) * QUARTER
        self.room = np.tile(problem.caps - problem.state.tension, len(problem.classes))

    def _judged(self, turns: Turns, changes: NDArray[np.int64], most: int, price: float) -> Floats:
        """What is left and what it costs, for each column of *changes*; infinite where a spoke is turned too far.

        Squares over the aim, the mean over the classes, with newtons over what a spoke may bear and the price of the turns.
        """
        there = turns[:, None] + changes
        move, each = there.astype(float), np.abs(there)
        over = self.effect @ move
        over += self.start[:, None]
        np.abs(over, out=over)
        over -= self.problem.aim
        np.maximum(over, 0.0, out=over)
        passed = self.pull @ move
        passed -= self.room[:, None]
        np.maximum(passed, 0.0, out=passed)
        left = np.einsum("ij,ij->j", over, over) + price * passed.sum(axis=0)
        turned = self.problem.touch * (each > 0).sum(axis=0) + self.problem.each * each.sum(axis=0)
        return np.asarray(
            np.where(each.max(axis=0) > most, np.inf, left / len(self.problem.classes) + turned), dtype=float
        )

    def _best(self, turns: Turns, changes: NDArray[np.int64], most: int, price: float) -> Turns | None:
        told = self._judged(
            turns, np.concatenate([changes, np.zeros_like(changes[:, :1])], axis=1), most, price
        )
        now, told = told[-1], told[:-1]
        best = int(np.argmin(np.round(told, 10)))
        return np.asarray(changes[:, best], dtype=np.int64) if told[best] < now - 1e-7 else None

    def best_single(self, turns: Turns, most: int, price: float) -> Turns | None:
        """The best change of one spoke, by one to three quarters, or back to none."""
        count = len(turns)
        eye = np.eye(count, dtype=np.int64)
        steps = [eye * step for step in (1, -1, 2, -2, 3, -3)]
        return self._best(turns, np.concatenate([*steps, -eye * turns], axis=1), most, price)

    def best_pair(self, turns: Turns, most: int, price: float) -> Turns | None:
        """The best change of two spokes by one quarter each, among the most promising ones."""
        count = len(turns)
        eye = np.eye(count, dtype=np.int64)
        singles = np.concatenate([eye, -eye, -eye * turns], axis=1)
        singles = singles[:, np.abs(singles).sum(axis=0) > 0]
        told = self._judged(turns, singles, most + 1, price)
        chosen = singles[:, np.argsort(np.round(told, 10), kind="stable")[:40]]
        first, second = np.triu_indices(chosen.shape[1], 1)
        return self._best(turns, chosen[:, first] + chosen[:, second], most, price)


def _side_means(right: NDArray[np.bool_]) -> Floats:
    """A matrix that puts the mean of its own side in each spoke's place."""
    same = right[:, None] == right[None, :]
    return np.asarray(same / same.sum(axis=1, keepdims=True), dtype=float)
