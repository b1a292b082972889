"""From a belief to figures: chance of being past a mark, remaining use and days as quantiles of a mixture."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear._normal import ROOT_2PI, density_and_integral, inverse
from pinchbolt.engines.wear._scale import Array

# Nodes and weights of the mean over a normal variable (probabilists' Gauss-Hermite, 7 points).
HERMITE_X, _HERMITE_W = np.polynomial.hermite_e.hermegauss(7)
HERMITE_W = _HERMITE_W / _HERMITE_W.sum()

MOST_STEPS = 80
LEAST_GAP = 1e-3  # between the probits of two points that a cubic is laid through
OTHER_END = 2.0

Curve = Callable[[Array], tuple[Array, Array]]


def chance_past(weight: Array, mean: Array, var: Array, mark: Array) -> Array:
    """Return the chance that wear is past *mark* now, a part. [-]"""
    return np.asarray((weight * density_and_integral((mean - mark[:, None]) / np.sqrt(var))[1]).sum(axis=1))


def passed_by(
    weight: Array, rate: Array, gap: Array, var: Array, use: Array, noise: tuple[float, float, float]
) -> tuple[Array, Array]:
    """Return P(remaining use <= x) and its slope for x = *use* (parts x points).

    P = sum_k w_k Phi((m_k + r_k x - h) / sqrt(V_k + r_k^2 q(x))); *gap* is m - h. The same for x below 0: passed
    already. Valid while wear only grows; where the part is past its mark the far side of 0 stays at 1.
    """
    fast, slow_sd, slow_use = noise
    # Points x rates x parts: the parts lie side by side in memory, as in the filter.
    at, r, w = np.ascontiguousarray(use.T), rate.T, weight.T
    far = np.abs(at)
    fading = np.expm1(far / -slow_use)
    spread = fast * far + 2.0 * (slow_sd * slow_use) ** 2 * (far / slow_use + fading)
    slope_q = np.copysign(fast - 2.0 * slow_sd**2 * slow_use * fading, at)
    r2 = r * r
    per_root = r2 * spread[:, None, :]
    per_root += var.T
    np.sqrt(per_root, out=per_root)
    np.divide(1.0, per_root, out=per_root)
    z = r * at[:, None, :]
    z += gap.T
    z *= per_root
    dense, below = density_and_integral(z)
    # dz/dx = (r - z r^2 q'(x) / (2 root)) / root
    z *= per_root
    z *= r2
    z *= -0.5 * slope_q[:, None, :]
    z += r
    z *= per_root
    z *= dense
    z *= w
    below *= w
    return below.sum(axis=1).T, z.sum(axis=1).T


def quantiles(
    curve: Curve, levels: Array, guess: Array, low: Array, high: Array, tolerance: float | Array = 1e-8
) -> Array:
    """Return where *curve* (chance and slope at parts x points) reaches *levels*, inside low to high.

    Newton steps on the probit of the chance, which is nearly a straight line, never leaving a bracket that shrinks at
    each of them; a step that would leave it is replaced by halving.
    """
    hunt = Hunt.of(levels, guess, low, high, tolerance)
    for _ in range(MOST_STEPS):
        if hunt.step(*curve(hunt.x)).all():
            break
    return hunt.x


@dataclass(slots=True)
class Hunt:
    """Brackets and best points of quantiles that are being looked for, parts x levels."""

    levels: Array
    aim: Array
    x: Array
    low: Array
    high: Array
    tolerance: Array

    @classmethod
    def of(cls, levels: Array, guess: Array, low: Array, high: Array, tolerance: float | Array) -> "Hunt":
        """Begin at *guess*, or as near as the bracket allows."""
        shape = guess.shape

        def full(a: float | Array) -> Array:
            return np.broadcast_to(a, shape).astype(guess.dtype)

        begin = np.clip(guess, low, high)
        return cls(
            full(levels),
            full(inverse(np.asarray(levels))),
            full(begin),
            full(low),
            full(high),
            full(tolerance),
        )

    def step(self, chance: Array, slope: Array) -> NDArray[np.bool_]:
        """Move each point once; return which are near enough."""
        below = chance < self.levels
        self.low, self.high = np.where(below, self.x, self.low), np.where(below, self.high, self.x)
        probit = inverse(chance)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            move = self.x - (probit - self.aim) * np.exp(-0.5 * probit**2) / (ROOT_2PI * slope)
            near = np.abs(move - self.x) <= self.tolerance
            good = near | ((move > self.low) & (move < self.high))
        self.x = np.where(good, move, 0.5 * (self.low + self.high))
        return np.asarray(near | (self.high - self.low <= self.tolerance))

    def leap(self, chance: Array, slope: Array) -> NDArray[np.bool_]:
        """Move each point once by what its neighbours say too; return which are near enough. Levels must ascend.

        Between two points the use is a cubic of the probit with the values and slopes found there. It is taken where the
        level lies between them; near enough is where it differs from the straight step by no more than the tolerance.
        """
        probit = inverse(chance)
        before, at = self.x, np.arange(self.x.shape[1])
        straight = self.step(chance, slope)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            pace = np.exp(-0.5 * probit**2) / (ROOT_2PI * slope)
            other = np.where(probit <= self.aim, np.minimum(at + 1, at[-1]), np.maximum(at - 1, 0))
            p, x, d = (np.take_along_axis(a, other, axis=1) for a in (probit, before, pace))
            gap = p - probit
            t = (self.aim - probit) / gap
            leap = before + t * (
                gap * pace
                + t
                * (3.0 * (x - before) - gap * (2.0 * pace + d) + t * (gap * (pace + d) - 2.0 * (x - before)))
            )
            good = (
                (np.abs(gap) > LEAST_GAP) & (t >= 0.0) & (t <= 1.0) & (leap > self.low) & (leap < self.high)
            )
            # Nor may the straight step from the other end lead far away: a curve with a bend in between would be missed.
            there = np.abs(leap - x - (self.aim - p) * d) <= OTHER_END * self.tolerance
            near = good & there & (np.abs(leap - self.x) <= self.tolerance)
        self.x = np.where(good & np.logical_not(straight), leap, self.x)
        return np.asarray(near | straight)

    @classmethod
    def together(cls, hunts: Sequence["Hunt"]) -> "Hunt":
        """Several hunts of the same parts side by side."""
        return (
            hunts[0]
            if len(hunts) == 1
            else cls(*map(np.hstack, zip(*(h.held() for h in hunts), strict=True)))
        )

    def held(self) -> tuple[Array, ...]:
        """All that has a figure a point."""
        return self.levels, self.aim, self.x, self.low, self.high, self.tolerance

    def left(self, points: NDArray[np.intp]) -> "Hunt":
        """The hunt for some of the points, each in a row of its own."""
        return Hunt(*(a.reshape(-1)[points][:, None] for a in self.held()))


def use_quantiles(
    weight: Array,
    rate: Array,
    gap: Array,
    var: Array,
    levels: Array,
    noise: tuple[float, float, float],
    precision: float = 1e-9,
    further: Sequence[float] = (0.0,),
) -> Array:
    """Return the quantiles (parts x levels) of remaining use until wear passes the mark; below 0 = passed already.

    *precision* is that of a quantile, as a share of the use that brings a part from new to its limit. *further*: marks that
    lie so much further on the own scale; their quantiles follow, mark by mark.
    """
    tolerance = (precision / (weight * rate).sum(axis=1))[:, None]
    rising = len(levels) > 1 and bool((np.diff(levels) > 0).all())
    hunts, near = [], []
    for more in further:
        mix = weight, rate, gap - more, var
        high = _far_enough(*mix[1:], noise)[:, None]
        hunt = Hunt.of(levels, _first_guess(*mix, inverse(levels).astype(rate.dtype)), -high, high, tolerance)
        move = hunt.leap if rising else hunt.step
        near.append(move(*passed_by(*mix, hunt.x, noise)))
        hunts.append(hunt)
    hunt = Hunt.together(hunts)
    found = hunt.x.copy()
    points = np.flatnonzero(np.logical_not(np.hstack(near)))
    all_marks = np.repeat(np.array(further, rate.dtype), len(levels))
    # Each point left in a row of its own, picked from arrays turned round, so that the parts stay side by side.
    part, mark = np.divmod(points, len(all_marks))
    hunt = hunt.left(points)
    few = [np.take(a.T, part, axis=1) for a in (weight, rate, gap, var)]
    few[2] -= all_marks[mark]
    for _ in range(MOST_STEPS):
        if not len(points):
            break
        close = hunt.step(*passed_by(few[0].T, few[1].T, few[2].T, few[3].T, hunt.x, noise))[:, 0]
        found.reshape(-1)[points] = hunt.x[:, 0]
        left = np.flatnonzero(np.logical_not(close))
        points, hunt = points[left], hunt.left(left)
        few = [np.take(a, left, axis=1) for a in few]
    return found


def _first_guess(weight: Array, rate: Array, gap: Array, var: Array, probit: Array) -> Array:
    """Quantiles as if remaining use were lognormal (normal where it may have run out), by the mixture's two moments."""
    centre = -gap / rate
    middle = (weight * centre).sum(axis=1)[:, None]
    second = (weight * (centre * centre + var / (rate * rate))).sum(axis=1)[:, None]
    spread = np.sqrt(np.maximum(second - middle * middle, 1e-12 * second))
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        log_sd = np.sqrt(np.log1p((spread / middle) ** 2))
        lognormal = middle * np.exp(log_sd * probit - 0.5 * log_sd**2)
    return np.asarray(np.where(middle > 2.0 * spread, lognormal, middle + spread * probit))


def _far_enough(rate: Array, gap: Array, var: Array, noise: tuple[float, float, float]) -> Array:
    """A use by which every rate has passed the mark with seven deviations to spare (and before it, with minus)."""
    fast, slow_sd, slow_use = noise
    loose = 7.0 * np.sqrt(fast + 2.0 * slow_sd**2 * slow_use)
    far = (np.abs(gap) + 7.0 * np.sqrt(var)) / rate
    # r x - 7 r sqrt(c x) >= gap + 7 sd, with q(x) <= c x: a quadratic in sqrt(x).
    return np.asarray(((0.5 * (loose + np.sqrt(loose**2 + 4.0 * far))) ** 2).max(axis=1))


def day_curve(
    weight: Array,
    rate: Array,
    gap: Array,
    var: Array,
    noise: tuple[float, float, float],
    a_day: tuple[float, float],
) -> Curve:
    """Return chance and slope of being past the mark after some days; use a day is lognormal (median, log sd)."""
    speed = a_day[0] * np.exp(a_day[1] * HERMITE_X)

    def curve(days: Array) -> tuple[Array, Array]:
        parts, points = days.shape
        all_uses = (days[:, :, None] * speed).reshape(parts, points * len(speed))
        chance, slope = passed_by(weight, rate, gap, var, all_uses, noise)
        each = parts, points, len(speed)
        return chance.reshape(each) @ HERMITE_W, slope.reshape(each) @ (HERMITE_W * speed)

    return curve


def wear_quantiles(weight: Array, mean: Array, var: Array, levels: Array) -> Array:
    """Return the quantiles (parts x levels) of wear now."""
    root = np.sqrt(var)

    def curve(x: Array) -> tuple[Array, Array]:
        dense, below = density_and_integral((x[:, :, None] - mean[:, None, :]) / root[:, None, :])
        column = weight[:, :, None]
        return np.matmul(below, column)[:, :, 0], np.matmul(dense / root[:, None, :], column)[:, :, 0]

    low, high = (mean - 9 * root).min(axis=1)[:, None], (mean + 9 * root).max(axis=1)[:, None]
    centre = (weight * mean).sum(axis=1)[:, None]
    return quantiles(curve, levels, np.broadcast_to(centre, (len(weight), len(levels))), low, high)
