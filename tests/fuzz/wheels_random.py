"""`make fuzz-wheels`: 100,000 random wheels at model level. No plan ends a round with a spoke over the marked tension.

Asked of each plan: no spoke is over the mark that was not, none that was is raised, no more than half a turn a spoke, and after
every single nipple the tensions are those that the plan foretold. Of every twentieth wheel, mirrored: the mirrored plan. Of every
shape with two equal sides: even turns on all spokes leave the rim where it is. The suite plays a few of each
(tests/engines/wheels/test_ring_and_plan.py); `--wheels` and `--seed` say others. 100,000 take a quarter of an hour of a quiet
processor: the search's arithmetic is compiled (`wheels_quick.py`), and of every 200th wheel the engine's own has to find the same turns.
"""

import argparse
import sys
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wheels import (
    QUARTER,
    USUAL_RIM,
    Limits,
    RoundPlan,
    State,
    WheelRound,
    WheelShape,
    alternating,
    influence,
    plan_round,
)
from pinchbolt.engines.wheels._turn_search import _Moved as Moved
from pinchbolt.errors import NoSafeAnswer
from tests.fuzz.wheels_quick import PLAIN, compiled

QUICK = compiled()

# How rounding may differ.
DUST = 1e-6
COUNTS = (16, 16, 16, 16, 16, 16, 20, 24, 28, 32)


def shape_of(rng: np.random.Generator, number: int) -> WheelShape:
    """A front or rear wheel of the usual sizes."""
    rear = bool(number % 2)
    offset = rng.uniform(0.028, 0.038)
    other = offset * rng.uniform(0.45, 0.8) if rear else offset
    # Two crossings at most where few spokes stand: more would pass a neighbour's head.
    count = COUNTS[number % len(COUNTS)]
    crossings = int(rng.integers(0, 2 if count < 20 else 4))
    radius = rng.uniform(0.019, 0.029)
    thick = float(rng.choice([0.0018, 0.002]))
    return WheelShape(
        rng.uniform(0.25, 0.31), (radius, radius), (offset, other), (crossings, crossings), alternating(count), (thick, thick)
    )  # fmt: skip


def state_of(rng: np.random.Generator, shape: WheelShape) -> State:
    """Lengths that are off by as much as a careless hand leaves, on a rim that is bent a little."""
    right = np.array(shape.right)
    tight = rng.uniform(450, 800) if shape.count < 20 else rng.uniform(500, 1100)
    pull = np.where(right, tight, tight * shape.flange_offset[1] / shape.flange_offset[0])
    model = influence(shape, USUAL_RIM, pull)
    off = rng.normal(0, np.exp(rng.uniform(np.log(0.00003), np.log(0.0003))), shape.count)
    bent = rng.normal(0, rng.uniform(0, 0.0002), (2, shape.count))
    return State(
        model.side @ off + bent[0], model.up @ off + bent[1], np.maximum(pull + model.tension @ off, 5.0)
    )


def turns_of(plan: RoundPlan, count: int) -> NDArray[np.int64]:
    """Quarters by spoke."""
    found = np.zeros(count, dtype=np.int64)
    for one in plan.turns:
        found[one.spoke - 1] = one.quarters
    return found


def mirrored(shape: WheelShape, state: State) -> tuple[WheelShape, State]:
    """The same wheel, left for right."""
    return replace(
        shape,
        flange_offset=shape.flange_offset[::-1],
        flange_radius=shape.flange_radius[::-1],
        crossings=shape.crossings[::-1],
        thickness=shape.thickness[::-1],
        right=tuple(not one for one in shape.right),
    ), State(-state.side, state.up, state.tension)


def quickly() -> None:
    """Let the search judge its changes compiled, in this process."""
    Moved._judged = QUICK  # type: ignore[method-assign]


def faults(rng: np.random.Generator, number: int) -> list[str]:
    """What is wrong with the plan of one random wheel; nothing, if all is well."""
    shape = shape_of(rng, number)
    state = state_of(rng, shape)
    limit = float(state.tension.max() * rng.uniform(0.85, 1.4))
    limits = Limits(greatest=limit)
    try:
        plan = plan_round(shape, [WheelRound(state)], limits)
    except NoSafeAnswer:
        return []
    turns, found = turns_of(plan, shape.count), []
    model = influence(shape, USUAL_RIM, state.tension)
    after = state.tension + model.tension @ (turns * QUARTER)
    if (after > np.maximum(limit, state.tension) + DUST).any():
        found.append(f"a spoke ends {float((after - np.maximum(limit, state.tension)).max()):.3f} N over")
    if plan.turns and int(np.abs(turns).max()) > 2:
        found.append(f"{int(np.abs(turns).max())} quarters on one spoke in one round")
    if number % 200 == 0:
        Moved._judged = PLAIN  # type: ignore[method-assign]
        slowly = plan_round(shape, [WheelRound(state)], limits)
        quickly()
        if slowly.in_all != plan.in_all or slowly.turns != plan.turns:
            found.append("the engine's own arithmetic finds other turns than the compiled")
    if number % 20 == 0:
        other = plan_round(*_asked(mirrored(shape, state)), limits)
        if list(turns_of(other, shape.count)) != list(turns):
            found.append("the mirrored wheel gets another plan")
    if shape.flange_offset[0] == shape.flange_offset[1]:
        even = influence(shape, USUAL_RIM, np.full(shape.count, float(state.tension.mean())))
        # Each spoke pulls the rim its own way by a hair; all together leave it where it is.
        if abs(float(even.side.sum(axis=1).mean())) > 1e-9:
            found.append("even turns move the rim sideways")
    return found


def _asked(wheel: tuple[WheelShape, State]) -> tuple[WheelShape, list[WheelRound]]:
    return wheel[0], [WheelRound(wheel[1])]


def main(arguments: list[str]) -> int:
    """All wheels, one line a fault, one line at the end."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--wheels", type=int, default=100_000)
    asked.add_argument("--seed", type=int, default=22)
    asked.add_argument("--from-wheel", type=int, default=0, help="the number of the first wheel")
    told = asked.parse_args(arguments)
    wrong = 0
    quickly()
    for number in range(told.from_wheel, told.from_wheel + told.wheels):
        for fault in faults(np.random.default_rng([told.seed, number]), number):
            wrong += 1
            print(f"wheel {number} of seed {told.seed}: {fault}", flush=True)
        if number % 5000 == 4999:
            print(f"{number + 1 - told.from_wheel} wheels, {wrong} faults", flush=True)
    print(f"{told.wheels} random wheels of seed {told.seed}: {wrong} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
