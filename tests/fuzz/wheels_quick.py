"""The search's arithmetic, compiled: what one change leaves and costs, one column after the other, so that 100,000 wheels are asked
in minutes. All else of a plan is the engine's own, and of some wheels the plain plan is asked too."""

from typing import Any

import numpy as np

from pinchbolt.engines.wheels import _turn_search


def _columns(
    left: Any, effect: Any, load: Any, pull: Any, turns: Any, changes: Any, most: int, price: float, aim: float, touch: float,
    each: float, classes: int,
) -> Any:  # fmt: skip
    """`_Moved._judged`: *left* and *load* are what stands before the change, *effect* and *pull* what a quarter does, a spoke a row."""
    count, width = changes.shape
    found, now, much = np.empty(width), np.empty(left.size), np.empty(load.size)
    for column in range(width):
        now[:], much[:] = left, load
        spokes, quarters, far = 0, 0, 0
        for spoke in range(count):
            change = changes[spoke, column]
            turned = abs(turns[spoke] + change)
            spokes, quarters, far = spokes + (turned > 0), quarters + turned, max(far, turned)
            if change:
                for row in range(left.size):
                    now[row] += effect[spoke, row] * change
                for row in range(load.size):
                    much[row] += pull[spoke, row] * change
        squares, over = 0.0, 0.0
        for row in range(left.size):
            out = max(abs(now[row]) - aim, 0.0)
            squares += out * out
        for row in range(load.size):
            over += max(much[row], 0.0)
        found[column] = (squares + price * over) / classes + touch * spokes + each * quarters
        if far > most:
            found[column] = np.inf
    return found


def compiled() -> Any:
    """`_Moved._judged`, compiled."""
    from numba import njit

    columns = njit(cache=True, fastmath={"reassoc", "contract", "nsz"})(_columns)

    def judged(moved: Any, turns: Any, changes: Any, most: int, price: float) -> Any:
        problem = moved.problem
        return columns(
            moved.start + moved.effect @ turns, np.ascontiguousarray(moved.effect.T), moved.pull @ turns - moved.room,
            np.ascontiguousarray(moved.pull.T), turns, np.ascontiguousarray(changes), most, price, problem.aim, problem.touch,
            problem.each, len(problem.classes),
        )  # fmt: skip

    return judged


PLAIN = _turn_search._Moved._judged
