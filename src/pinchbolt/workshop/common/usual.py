"""The range in which a reading of a limit row can lie at all: outside it, a slip is more likely than a bike."""

from pinchbolt.reference.rows.measure import LimitRow

# By the first word of the unit; what can't be less than nothing starts at 0. A row's own `possible` comes first.
# Common practice, no source.
_BY_UNIT = {
    "percent": (0.0, 120.0),
    "share": (0.0, 2.0),
    "months": (0.0, 240.0),
    "years": (0.0, 25.0),
    "days": (0.0, 7300.0),
    "km": (0.0, 100_000.0),
    "h": (0.0, 3000.0),
    "step": (0.0, 3.0),
    "N": (0.0, 2500.0),
    "degrees": (0.0, 360.0),
    "count": (0.0, 60.0),
    "chains": (0.0, 20.0),
}
_CHAIN_PERCENT = (0.0, 3.0)


def usual_range(limit: LimitRow) -> tuple[float, float]:
    """Return the least and greatest value that a reading of this row can show, in its unit.

    The row's own range where it gives one, else that of its unit. For a length: five times the worst of the row's
    numbers upwards, a third above a new part for what grows thinner. Common practice, no source.
    """
    if limit.possible:
        return limit.possible[0], limit.possible[1]
    if limit.is_elongation:
        return _CHAIN_PERCENT
    by_unit = _BY_UNIT.get(limit.unit.split()[0] if limit.unit else "")
    if by_unit is not None:
        return by_unit
    numbers = [
        float(value)
        for value in (limit.new, limit.warn, limit.limit, limit.warn_high, limit.limit_high)
        if isinstance(value, int | float) and not isinstance(value, bool)
    ]
    greatest = max(numbers, default=1000.0)
    if limit.direction == "down":
        return 0.0, round(max(greatest * 1.3, greatest + (limit.new_spread or 0.0) * 2), 2)
    return 0.0, round(greatest * 5.0, 2)
