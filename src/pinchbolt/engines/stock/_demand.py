"""How many may be asked for: of bikes that are known, of those who walk in, and both together."""

from collections.abc import Sequence
from math import exp, isfinite, lgamma, log, log1p

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.stock.stock_types import Demand
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

# A chance below this is of no bin's concern: what is left of it is added to the last count.
_DUST = 1e-9
_MOST = 2000
# Before anything was counted: one a year, held as loosely as a quarter of a count. Common practice, no source.
BEFORE_COUNT, BEFORE_DAYS = 0.25, 91.25
_Chances = NDArray[np.float64]


def of_known_bikes(chances: Sequence[float]) -> Demand:
    """Return how many of several bikes will each ask for one: the Poisson-binomial distribution, by convolution.

    Args:
        chances: Chance of each bike. [1]

    Returns:
        Chances of 0, 1, 2 ... [1]

    Raises:
        InputRefused: A chance is not from 0 to 1.

    Valid for: Bikes that do not decide for one another.

    Example:
        >>> [round(one, 3) for one in of_known_bikes([0.5, 0.5, 0.2])]
        [0.2, 0.45, 0.3, 0.05]

    Source: Poisson-binomial distribution: convolution of independent yes-or-no; standard result.
    """
    wrong = [one for one in chances if not 0.0 <= one <= 1.0]
    if wrong:
        raise InputRefused(
            worded(
                "A bike's chance is {wrong:g}: 0 to 1 is possible. Say it as a share of 1.", wrong=wrong[0]
            )
        )
    return _told(_product([np.array([1.0 - one, one]) for one in chances if one > 0.0]))


def of_walk_ins(count: float, days_counted: float, days: float) -> Demand:
    """Return how many may be asked for by those who walk in, by the shop's own counts (gamma-Poisson).

    With rate ~ gamma(a + count, b + days counted), P(k) is negative binomial with r = a + count and odds days / (b + days counted).

    Args:
        count: How many were asked for while it was counted. [pieces]
        days_counted: For how long that was. [days]
        days: For how long it is asked. [days]

    Returns:
        Chances of 0, 1, 2 ... [1]

    Raises:
        InputRefused: A value below 0, or none.

    Valid for: Customers who come one by one and unasked. A kind that dies is believed for as long as it was counted: count
        the last two years.

    Example:
        >>> round(of_walk_ins(0, 0, 30)[0], 3)
        0.931

    Source: Gamma-Poisson (negative binomial) predictive distribution; standard result. What is believed before any count:
        common practice, no source.
    """
    for name, value in ((worded("The count"), count), (worded("Days counted"), days_counted), ("Days", days)):
        if not (isfinite(value) and value >= 0):
            raise InputRefused(
                worded("{name} is {value:g}: 0 or more is possible. Say it again.", name=name, value=value)
            )
    if days == 0:
        return (1.0,)
    shape, odds = BEFORE_COUNT + count, days / (BEFORE_DAYS + days_counted)
    share = log(odds) - log1p(odds)
    chances: list[float] = []
    left = 1.0
    for k in range(_MOST):
        one = exp(lgamma(shape + k) - lgamma(shape) - lgamma(k + 1) - shape * log1p(odds) + k * share)
        chances.append(one)
        left -= one
        if left < _DUST and k >= shape * odds:
            break
    return _told(np.array(chances))


def together(*demands: Demand, sure: int = 0) -> Demand:
    """Return the demand of several at once, with what is agreed already.

    Args:
        *demands: Each by itself. [1]
        sure: How many are wanted for certain. [pieces]

    Returns:
        Chances of 0, 1, 2 ... [1]

    Raises:
        InputRefused: Below 0 agreed.

    Valid for: Demands that do not hang together.

    Example:
        >>> together((0.5, 0.5), (0.5, 0.5), sure=1)
        (0.0, 0.25, 0.5, 0.25)

    Source: Convolution; standard result.
    """
    if sure < 0:
        raise InputRefused(
            worded("{sure} are agreed: 0 or more is possible. Count the agreed lines again.", sure=sure)
        )
    return _told(_product([np.concatenate([np.zeros(sure), [1.0]]), *(np.array(one) for one in demands)]))


def _product(parts: list[_Chances]) -> _Chances:
    """All of them convolved, two and two, so that thousands take no longer than they must."""
    while len(parts) > 1:
        pairs = zip(parts[::2], parts[1::2], strict=False)
        parts = [_cut(np.convolve(a, b)) for a, b in pairs] + ([parts[-1]] if len(parts) % 2 else [])
    return parts[0] if parts else np.ones(1)


def _cut(chances: _Chances) -> _Chances:
    """Without a tail that nobody would notice; it is added to the last count that stands."""
    beyond = np.cumsum(chances[::-1])[::-1]
    last = max(1, int(np.searchsorted(-beyond, -_DUST / 4, side="right")))
    return np.append(chances[: last - 1], beyond[last - 1]) if last < len(chances) else chances


def _told(chances: _Chances) -> Demand:
    found = _cut(np.maximum(chances, 0.0))
    return tuple(float(one) for one in found / found.sum())
