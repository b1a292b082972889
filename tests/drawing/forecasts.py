"""Forecasts as a finding keeps them, written out by hand and drawn at random."""

from typing import Any

from hypothesis import strategies as st


def forecast(
    new: float = 0.0, warn: float = 0.5, limit: float = 0.75, unit: str = "percent", driver: str = "km",
    now: tuple[float | None, ...] = (0.5, 0.54, 0.58, 0.62, 0.66),
    left: tuple[float | None, ...] = (310.0, 500.0, 640.0, 800.0, 1010.0),
    days: tuple[str | None, str | None, str | None] = ("2026-12-20", "2027-02-14", "2027-04-09"),
    past: float = 0.02, reading: tuple[float | None, float | None, float | None, float | None] | None = None,
) -> dict[str, Any]:  # fmt: skip
    """A forecast; spreads as (8 in 10 low, half low, median, half high, 8 in 10 high), reading as (low, high, sure ends)."""
    names = ("low", "high", "sure_low", "sure_high")
    return {
        "law": {"part": "chain", "new": new, "warn": warn, "limit": limit, "unit": unit, "driver": driver},
        "present": _spread(now),
        "to_limit": _spread(left),
        "day_at_limit": {"median": days[1], "half": [days[0], days[2]], "wide": [days[0], days[2]]},
        "chance_past_limit": past,
        "reading": dict(zip(names, reading, strict=True)) if reading else None,
    }


def _spread(ends: tuple[float | None, ...]) -> dict[str, Any]:
    low, half_low, median, half_high, high = ends
    return {
        "median": median,
        "half": {"low": half_low, "high": half_high},
        "wide": {"low": low, "high": high},
    }


@st.composite
def any_forecast(draw: st.DrawFn) -> dict[str, Any]:
    """Any part, either way round, fresh or long past, with any kind of reading."""
    new = draw(st.sampled_from([0.0, 0.03, 1.8, 4.0, 100.0, 304.8]))
    span = draw(st.floats(0.1, 400.0)) * draw(st.sampled_from([1, -1]))
    limit, warn = new + span, new + span * draw(st.floats(0.0, 1.0))
    shares = sorted(draw(st.lists(st.floats(-0.2, 3.0), min_size=5, max_size=5)))
    now = tuple(sorted(new + span * share for share in shares))
    left = tuple(sorted(draw(st.lists(st.floats(-9000.0, 90000.0), min_size=5, max_size=5))))
    ends = draw(st.sampled_from(["none", "value", "between", "below", "above"]))
    a, b = sorted((new + span * draw(st.floats(0.0, 2.0)), new + span * draw(st.floats(0.0, 2.0))))
    reading = {
        "none": None,
        "value": (a, a, a - abs(span) / 20, a + abs(span) / 20),
        "between": (a, b, a - abs(span) / 20, b + abs(span) / 20),
        "below": (None, b, None, b + abs(span) / 20),
        "above": (a, None, a - abs(span) / 20, None),
    }[ends]
    return forecast(
        new, warn, limit, draw(st.sampled_from(["percent", "mm", "months", "mm at the rim"])),
        draw(st.sampled_from(["km", "h", "days"])), now, left, past=draw(st.floats(0.0, 1.0)), reading=reading,
    )  # fmt: skip
