"""The range in which a reading of a limit row can lie at all: outside it, a slip is more likely than a bike."""

from pinchbolt.reference.rows.measure import Limit

_SHARE_UNITS = ("percent of new", "percent of travel", "percent of stroke")


def usual_range(limit: Limit) -> tuple[float, float]:
    """Return the least and greatest value that a reading of this row can show, in its unit.

    Twice the worst of the row's own numbers upwards, and a third above a new part for what grows thinner.
    Common practice, no source.
    """
    numbers = [
        float(value)
        for value in (limit.new, limit.warn, limit.limit, limit.warn_high, limit.limit_high)
        if isinstance(value, int | float) and not isinstance(value, bool)
    ]
    greatest = max(numbers, default=1000.0)
    if limit.unit in ("months", "years", "km", "h", "chains", "count", "days"):
        return 0.0, greatest * 20
    if limit.unit == "percent" and limit.part == "chain":
        return 0.0, 3.0
    if limit.unit in _SHARE_UNITS:
        return 0.0, 120.0
    if limit.unit == "step 0-3":
        return 0.0, 3.0
    if limit.direction == "down":
        return 0.0, round(max(greatest * 1.3, greatest + (limit.new_spread or 0.0) * 2), 2)
    return 0.0, round(greatest * (1.1 if limit.unit == "mm" and limit.part == "chain" else 5.0), 2)
