"""What the rounds so far say: where the wheel is now, and how stiff its rim is."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, log

import numpy as np

from pinchbolt.engines.wheels._ring import (
    CLASSES,
    QUARTER,
    USUAL_RIM,
    Influence,
    RimStiffness,
    WheelShape,
    influence,
)
from pinchbolt.engines.wheels._turn_search import State, Turns
from pinchbolt.engines.wheels._wheel_sense import Floats

# How far a rim is off its class, as a logarithm, one sd; of a rim nobody knows, and of one whose figures were given.
UNKNOWN_RIM, KNOWN_RIM = log(CLASSES[2] / CLASSES[1]) / 1.3, 0.2
# What the model misses of a turn's own effect, as a share, one sd. Own choice.
MISSED = 0.10
_STEP = 0.1


@dataclass(frozen=True, slots=True)
class Noise:
    """What one reading is out by, one sd: side and up in m, tension in N."""

    side: float = 0.00008
    up: float = 0.00008
    tension: float = 45.0


@dataclass(frozen=True, slots=True)
class WheelRound:
    """All readings of one round, and the quarter turns that were done after it (None for the last)."""

    state: State
    turned: Turns | None = None


@dataclass(frozen=True, slots=True)
class Learnt:
    """Where the wheel is by all readings, with one sd each; the rim's stiffness classes; and what was learnt, in words."""

    state: State
    tension_sd: float
    side_sd: float
    classes: tuple[Influence, ...]
    sideways: float
    up: float
    log_sd: float
    rounds: int


def learn(shape: WheelShape, rim: RimStiffness | None, rounds: Sequence[WheelRound], noise: Noise) -> Learnt:
    """Stiffness first, then the readings of all rounds brought to now by the turns between them.

    The rim's two multipliers (sideways with twist, up-and-down) are the likeliest, by Gauss and Newton on what each round
    changed, against a normal prior of their logarithms.
    """
    base = rim or USUAL_RIM
    prior = KNOWN_RIM if rim is not None else UNKNOWN_RIM
    at = np.zeros(2)
    tensions = _kept_tight(rounds[-1].state.tension)
    done = [one.turned for one in rounds[:-1] if one.turned is not None]
    spread = prior
    if any(turns.any() for turns in done):
        for _ in range(3):
            at, spread = _improved(shape, base, rounds, noise, at, prior, tensions)
    step = max(spread, 0.08)
    classes = tuple(
        influence(shape, base.times(exp(at[0] + move), exp(at[1] + move)), tensions)
        for move in (-step, 0.0, step)
    )
    state, side_sd, tension_sd = _brought_together(rounds, classes[1], noise)
    return Learnt(state, tension_sd, side_sd, classes, exp(at[0]), exp(at[1]), spread, len(rounds))


def _kept_tight(tension: Floats) -> Floats:
    """Tensions as the model takes them: a slack spoke stiffens nothing."""
    return np.maximum(tension, 0.0)


def _improved(
    shape: WheelShape,
    base: RimStiffness,
    rounds: Sequence[WheelRound],
    noise: Noise,
    at: Floats,
    prior: float,
    tensions: Floats,
) -> tuple[Floats, float]:
    """One step of Gauss and Newton, and the sd of what is left open (of the two multipliers the wider)."""
    here = influence(shape, base.times(exp(at[0]), exp(at[1])), tensions)
    moved = (
        influence(shape, base.times(exp(at[0] + _STEP), exp(at[1])), tensions),
        influence(shape, base.times(exp(at[0]), exp(at[1] + _STEP)), tensions),
    )
    square, slope = np.eye(2) / prior**2, -at / prior**2
    for one, then in pairwise(rounds):
        if one.turned is None or not one.turned.any():
            continue
        told = _change(here, one.turned)
        seen = np.concatenate(
            [
                then.state.side - one.state.side,
                then.state.up - one.state.up,
                then.state.tension - one.state.tension,
            ]
        )
        count = shape.count
        sd = np.sqrt(2) * np.repeat([noise.side, noise.up, noise.tension], count)
        sd = np.hypot(sd, MISSED * np.abs(told))
        turned = np.stack([(_change(other, one.turned) - told) / _STEP for other in moved], axis=1)
        # The stand's own zero may have moved between two rounds: what all spokes share says nothing.
        flat = np.eye(count) - 1 / count
        apart = np.kron(np.diag([1.0, 1.0, 0.0]), flat) + np.kron(np.diag([0.0, 0.0, 1.0]), np.eye(count))
        weighed, missed = (apart @ turned) / sd[:, None], (apart @ (seen - told)) / sd
        square = square + weighed.T @ weighed
        slope = slope + weighed.T @ missed
    step = np.clip(np.linalg.solve(square, slope), -0.5, 0.5)
    return np.clip(at + step, -1.2, 1.2), float(np.sqrt(np.linalg.inv(square).diagonal().max()))


def _change(one: Influence, turned: Turns) -> Floats:
    move = turned * QUARTER
    return np.concatenate([one.side @ move, one.up @ move, one.tension @ move])


def _brought_together(
    rounds: Sequence[WheelRound], model: Influence, noise: Noise
) -> tuple[State, float, float]:
    """The readings of all rounds, each carried on by the turns after it, weighed by their variances."""
    first = rounds[0].state
    told = [first.side, first.up, first.tension]
    sds = (noise.side, noise.up, noise.tension)
    spread = [np.full(len(first.side), sd**2) for sd in sds]
    for one, then in pairwise(rounds):
        turned = one.turned if one.turned is not None else np.zeros(len(first.side), dtype=np.int64)
        move = np.split(_change(model, turned), 3)
        for at, (seen, sd) in enumerate(
            zip((then.state.side, then.state.up, then.state.tension), sds, strict=True)
        ):
            foreseen = told[at] + move[at]
            wide = spread[at] + (MISSED * move[at]) ** 2
            if at < 2:
                # Side and up are from a zero of the stand's own, which may have moved.
                foreseen = foreseen + (seen - foreseen).mean()
            share = wide / (wide + sd**2)
            told[at], spread[at] = foreseen + share * (seen - foreseen), wide * (1 - share)
    state = State(told[0], told[1], told[2], rounds[-1].state.dished)
    return state, float(np.sqrt(spread[0].mean())), float(np.sqrt(spread[2].mean()))
