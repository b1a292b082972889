"""A judged reading in one line: what the instrument shows and, beside it, what that means."""

from pinchbolt.engines.wear import Forecast
from pinchbolt.records.models import Instrument
from pinchbolt.reference.rows.measure import Limit
from pinchbolt.values.about import about, worn
from pinchbolt.workshop.trade_tables import tables

_UNITS = {"km": "km", "h": "hours", "days": "days"}


def reading_words(forecast: Forecast, shown: str, gauge: str = "") -> str:
    """Return what was read, what it means, and how far it is to the limit, without a digit that nobody knows.

    *gauge* says what the instrument reads besides, where it does: `gauge_words`.
    """
    law, left, now = forecast.law, forecast.to_limit, forecast.present
    ends = worn(now.wide.low), worn(now.wide.high)
    spread = f" ({ends[0]} to {ends[1]})" if ends[0] != ends[1] and not law.clock else ""
    seen = f"{law.part}: read {shown}{gauge}, most likely {worn(now.median)} {law.unit}{spread}"
    if law.clock:
        seen = f"{law.part}: {shown}"
    if forecast.chance_past_limit > 0.5:
        sure = "over 99%" if forecast.chance_past_limit > 0.99 else f"{forecast.chance_past_limit:.0%}"
        return f"{seen}; past its limit of {law.limit:g} {law.unit} already ({sure} sure)."
    unit = _UNITS[law.driver]
    low, middle, high = about(left.wide.low), about(left.median), about(left.wide.high)
    span = f" (8 in 10: {low} to {high})" if low != high else ""
    return f"{seen}; limit {law.limit:g} {law.unit} in about {middle} {unit}{span}."


def gauge_words(instrument: Instrument | None, limit: Limit) -> str:
    """Return what an instrument of this kind reads besides the wear, in words to set behind its reading."""
    row = tables().instruments.get(instrument.table_id) if instrument is not None else None
    if row is None or not limit.is_elongation or not row.bias:
        return ""
    return f" on a {row.name}, which also reads the rollers"
