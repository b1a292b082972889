"""Least-weight cover: whole numbers for which every row has one of its columns. Exact, with the solver's own bound."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from pinchbolt.errors import NotPossibleNow
from pinchbolt.values.wording import worded

# Time the solver may take before the best known is given with its bound. [s]
PATIENCE = 20.0
# The solver's own tolerance for whole numbers and bounds.
DUST = 1e-6


@dataclass(frozen=True, slots=True)
class Cover:
    """Columns chosen, their weight, and a weight that no cover is under."""

    columns: frozenset[int]
    weight: Fraction
    at_least: float
    proven: bool


def least_cover(
    rows: Sequence[frozenset[int]],
    weights: Sequence[Fraction],
    limits: Sequence[tuple[Sequence[Fraction], Fraction]] = (),
    unlike: Sequence[frozenset[int]] = (),
) -> Cover | None:
    """Return a cover of least weight, or None where there is none.

    minimise sum w_i x_i with sum over each row of x_i >= 1, each limit's sum at most its value, and x different from
    every set in *unlike*; x_i 0 or 1.

    Args:
        rows: For each row the columns of which any one covers it. [-]
        weights: Weight of each column, at least 0. [-]
        limits: Other weights with the value their sum may not pass. [-]
        unlike: Sets that are not wanted again. [-]

    Returns:
        A least cover; checked here in exact numbers. [-]

    Raises:
        NotPossibleNow: The solver found nothing in its time.

    Valid for: Up to a few hundred tools and joints.

    Source: Set cover as a whole-number programme; branch and bound of scipy.optimize.milp.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow to load, needed here only

    count = len(weights)
    if count == 0:
        return Cover(frozenset(), Fraction(0), 0.0, True) if not rows and not unlike else None
    lines, lows, highs = _lines(count, rows, limits, unlike)
    constraints = [LinearConstraint(np.array(lines), np.array(lows), np.array(highs))] if lines else []
    answer = milp(
        np.array([float(weight) for weight in weights]),
        integrality=np.ones(count),
        bounds=Bounds(0, 1),
        constraints=constraints,
        options={"time_limit": PATIENCE, "mip_rel_gap": 0.0},
    )
    if answer.x is None:
        if answer.status == 2:
            return None
        raise NotPossibleNow(
            worded("The kit was not found in time: take fewer joints or fewer tools, and try again.")
        )
    chosen = frozenset(at for at in range(count) if answer.x[at] > 0.5)
    weight = sum((weights[at] for at in chosen), Fraction(0))
    bound = float(answer.mip_dual_bound)
    proven = answer.status == 0 and bound >= float(weight) * (1 - DUST) - DUST
    return Cover(chosen, weight, bound, proven)


def _lines(
    count: int,
    rows: Sequence[frozenset[int]],
    limits: Sequence[tuple[Sequence[Fraction], Fraction]],
    unlike: Sequence[frozenset[int]],
) -> tuple[list[list[float]], list[float], list[float]]:
    """The programme's lines with the least and greatest value of each."""
    lines: list[list[float]] = []
    lows: list[float] = []
    highs: list[float] = []
    for row in rows:
        lines.append([1.0 if at in row else 0.0 for at in range(count)])
        lows.append(1.0)
        highs.append(np.inf)
    for others, most in limits:
        lines.append([float(value) for value in others])
        lows.append(-np.inf)
        highs.append(float(most) + DUST)
    for known in unlike:
        # At least one column changes: sum of (1 - x) inside and x outside is 1 or more.
        lines.append([-1.0 if at in known else 1.0 for at in range(count)])
        lows.append(1.0 - len(known))
        highs.append(np.inf)
    return lines, lows, highs
