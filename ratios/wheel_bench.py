"""Wheels and plucks drawn for the score: every number here is an assumption, none is a measurement."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pinchbolt.engines.wheels import (
    QUARTER,
    USUAL_RIM,
    Influence,
    Limits,
    Noise,
    RimStiffness,
    Sound,
    State,
    WheelRound,
    WheelShape,
    alternating,
    influence,
    plan_round,
    trueness,
)

Floats = NDArray[np.float64]
RATE = 44100


@dataclass(frozen=True, slots=True)
class DrawnWheel:
    """A wheel as it truly is: shape, state, what a turn truly does, and the limits that it is trued to."""

    shape: WheelShape
    state: State
    true: Influence
    usual: Influence
    limits: Limits


def wheel(rng: np.random.Generator, *, rear: bool, count: int = 32) -> DrawnWheel:
    """A wheel that somebody trued by eye or hit: lengths off, the rim bent a little, its stiffness hidden (log sd 20 %)."""
    offsets = (0.035, 0.0175) if rear else (0.035, 0.035)
    shape = WheelShape(0.301, (0.0225, 0.0225), offsets, (3, 3), alternating(count))
    right = np.array(shape.right)
    mean = np.where(right, 1050.0, 1050.0 * (0.5 if rear else 1.0)) if rear else np.full(count, 950.0)
    rim = RimStiffness(
        *(
            one * float(np.exp(rng.normal(0, 0.2)))
            for one in (USUAL_RIM.stretch, USUAL_RIM.up, USUAL_RIM.sideways, USUAL_RIM.twist)
        )
    )
    true = influence(shape, rim, mean)
    state = State(np.zeros(count), np.zeros(count), np.zeros(count))
    while state.tension.min() < 50:
        off = rng.normal(0, 0.00026, count)
        side = true.side @ off + _bend(rng, count, 0.00025)
        up = true.up @ off + _bend(rng, count, 0.00012)
        state = State(side - side.mean(), up - up.mean(), mean + true.tension @ off)
    return DrawnWheel(
        shape, state, true, influence(shape, USUAL_RIM, mean), Limits(greatest=float(1.3 * mean.max()))
    )


def _bend(rng: np.random.Generator, count: int, size: float) -> Floats:
    """The rim's own shape: five waves, the shorter the smaller. [m]"""
    angle = 2 * np.pi * np.arange(count) / count
    waves = [rng.normal(0, size / k) * np.cos(k * angle + rng.uniform(0, 2 * np.pi)) for k in range(2, 7)]
    return np.asarray(np.sum(waves, axis=0), dtype=float)


def read(rng: np.random.Generator, state: State, noise: Noise) -> State:
    """A stand's and a gauge's view of it."""
    count = len(state.side)
    return State(
        state.side + rng.normal(0, noise.side, count),
        state.up + rng.normal(0, noise.up, count),
        np.maximum(state.tension + rng.normal(0, noise.tension, count), 1.0),
    )


def turned(drawn: DrawnWheel, turns: ArrayLike) -> DrawnWheel:
    """The same wheel after turns, in quarters."""
    move, here = np.asarray(turns, dtype=float) * QUARTER, drawn.state
    state = State(
        here.side + drawn.true.side @ move,
        here.up + drawn.true.up @ move,
        here.tension + drawn.true.tension @ move,
    )
    return replace(drawn, state=state)


@dataclass(frozen=True, slots=True)
class Trued:
    """How a wheel ended: inside, quarters turned, over its limit in N, seconds of the slowest plan."""

    inside: bool
    quarters: int
    over: float
    turns: tuple[tuple[int, ...], ...]
    end: DrawnWheel


def by_plan(rng: np.random.Generator, drawn: DrawnWheel, noise: Noise, rounds: int = 3) -> Trued:
    """Three rounds by the plan, each read anew."""
    done: list[WheelRound] = []
    turns: list[tuple[int, ...]] = []
    first, over = drawn, 0.0
    for _ in range(rounds):
        seen = read(rng, drawn.state, noise)
        plan = plan_round(drawn.shape, [*done, WheelRound(seen)], drawn.limits, noise=noise)
        here = np.zeros(drawn.shape.count, dtype=np.int64)
        for one in plan.turns:
            here[one.spoke - 1] = one.quarters
        done.append(WheelRound(seen, here))
        turns.append(tuple(int(one) for one in here))
        drawn = turned(drawn, here)
        most = drawn.limits.greatest or 0.0
        over = max(over, float((drawn.state.tension - np.maximum(most, first.state.tension)).max()))
    inside = trueness(drawn.state, drawn.shape.right).straight(drawn.limits)
    return Trued(inside, sum(abs(one) for row in turns for one in row), over, tuple(turns), drawn)


def by_least_squares(rng: np.random.Generator, drawn: DrawnWheel, noise: Noise, rounds: int = 3) -> Trued:
    """As often read and turned, each time all spokes at once by least squares, rounded to quarters."""
    count, right = drawn.shape.count, np.array(drawn.shape.right)
    flat = np.eye(count) - 1 / count
    same = (right[:, None] == right[None, :]).astype(float)
    own = np.eye(count) - same / same.sum(axis=1, keepdims=True)
    quarters = 0
    for _ in range(rounds):
        seen = read(rng, drawn.state, noise)
        mean = seen.tension - own @ seen.tension
        allowed = (drawn.limits.side / 2, drawn.limits.up / 2, drawn.limits.spread * mean[:, None])
        effect = np.concatenate(
            [
                flat @ drawn.usual.side / allowed[0],
                flat @ drawn.usual.up / allowed[1],
                own @ drawn.usual.tension / allowed[2],
            ]
        )
        now = np.concatenate(
            [
                flat @ seen.side / allowed[0],
                flat @ seen.up / allowed[1],
                own @ seen.tension / allowed[2][:, 0],
            ]
        )
        best = np.linalg.lstsq(
            np.concatenate([effect * QUARTER, 0.1 * np.eye(count)]),
            -np.concatenate([now, np.zeros(count)]),
            rcond=None,
        )[0]
        turns = np.round(best)
        quarters += int(np.abs(turns).sum())
        drawn = turned(drawn, turns)
    return Trued(trueness(drawn.state, drawn.shape.right).straight(drawn.limits), quarters, 0.0, (), drawn)


def pluck(rng: np.random.Generator, tones: Sequence[tuple[float, float]], noise: float, hum: float) -> Sound:
    """A recording: partials that are sharp by stiffness and die away, a finger's click, the mains' hum, noise."""
    time = np.arange(int(1.2 * RATE)) / RATE
    since = time - rng.uniform(0, 0.3)
    sounds = since >= 0
    wave = sounds * rng.normal(0, 0.3, len(time)) * np.exp(-np.maximum(since, 0) / 0.004)
    for tone, loud in tones:
        # From a long tight spoke to a short slack one, as the beam has its partials.
        sharp = rng.uniform(0, 0.12)
        for k in range(1, 7):
            high = tone * k * np.sqrt((1 + sharp * k * k) / (1 + sharp))
            if high < RATE / 2.2:
                part = loud * (rng.uniform(0.4, 1) if k == 1 else rng.uniform(0.2, 1)) / k
                dies = np.exp(-np.maximum(since, 0) / (rng.uniform(0.15, 0.6) / np.sqrt(k)))
                wave = wave + sounds * part * dies * np.sin(
                    2 * np.pi * high * since + rng.uniform(0, 2 * np.pi)
                )
    mains = rng.choice([50, 60]) * (1 + rng.normal(0, 0.001))
    for k in range(1, 9):
        wave = wave + hum * rng.uniform(0, 1) / k * np.sin(
            2 * np.pi * mains * k * time + rng.uniform(0, 2 * np.pi)
        )
    wave = wave + rng.normal(0, noise, len(time))
    return Sound(np.asarray(0.8 * wave / np.abs(wave).max(), dtype=float), RATE)
