"""The chance that a part is past its limit by a day ahead, as its forecast says it: for whoever plans orders and visits."""

from collections.abc import Sequence
from datetime import date

import numpy as np

from pinchbolt.engines.wear._normal import integral, probit
from pinchbolt.engines.wear.wear_types import Forecast
from pinchbolt.errors import InputRefused
from pinchbolt.values import DaySpread
from pinchbolt.values.wording import worded

_LEVELS = (0.10, 0.25, 0.50, 0.75, 0.90)
# Where the forecast gives no day within ten years, the chance of the last day that it gives is not passed by much.
_TEN_YEARS = 3652.0
_SURE = 1e-6


def chance_by(forecast: Forecast, days: Sequence[float]) -> tuple[float, ...]:
    """Return the chances that a part is past its limit after so many days from the day of its forecast.

    Today's chance and the days of five levels stand in the forecast; between them the probit goes straight, beyond the last
    as between the last two. So the answer is the one that the screens show, guard and width included.

    Args:
        forecast: What the readings say. [-]
        days: From the forecast's day on, 0 or more. [days]

    Returns:
        A chance for each; never falling with the days. [1]

    Raises:
        InputRefused: A day before the forecast's, or not finite.

    Valid for: Between two levels it is within some hundredths of the law itself (tests/engines/wear/test_chance_by.py).

    Source: Interpolation of the forecast's own quantiles; docs/methods/stock.md.
    """
    asked = np.asarray(days, dtype=float)
    if not (np.isfinite(asked).all() and (asked >= 0).all()):
        raise InputRefused(
            worded("A chance is asked for a day before the forecast's own: 0 days or more are possible.")
        )
    now = min(max(forecast.chance_past_limit, _SURE), 1 - _SURE)
    at, level = _points(forecast.day, forecast.day_at_limit, now)
    probits = probit(np.array(level))
    slope = max((probits[-1] - probits[-2]) / (at[-1] - at[-2]), 0.0) if len(at) > 1 else 0.0
    told = np.interp(asked, at, probits) + slope * np.maximum(0.0, asked - at[-1])
    chances = np.where(asked == 0, forecast.chance_past_limit, integral(told))
    return tuple(float(one) for one in np.maximum(chances, forecast.chance_past_limit))


def _points(today: date, spread: DaySpread, now: float) -> tuple[list[float], list[float]]:
    """Days ahead with the chance by then: today, and each level of the forecast that lies ahead; days strictly rising."""
    low, high = spread.wide
    early, late = spread.half
    at, level = [0.0], [now]
    for one, chance in zip((low, early, spread.median, late, high), _LEVELS, strict=True):
        ahead = float((one - today).days) if one is not None else _TEN_YEARS
        if one is None:
            # Not within ten years: by then it stays below this level.
            if at[-1] < _TEN_YEARS and level[-1] < chance:
                at.append(_TEN_YEARS)
                level.append(max(level[-1], chance - 0.05))
            break
        if ahead > at[-1] and chance > level[-1]:
            at.append(ahead)
            level.append(chance)
    return at, level
