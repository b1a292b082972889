"""A judged reading in one line: what the instrument shows and, beside it, what that means."""

from pinchbolt.engines.build import LimitOn
from pinchbolt.engines.wear import Forecast
from pinchbolt.records.models import Instrument
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values.about import about, worn
from pinchbolt.values.ahead import is_past, left_words, sure_words, use_words
from pinchbolt.workshop.common.trade_tables import tables


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
    if is_past(forecast.chance_past_limit):
        sure, unsafe = sure_words(forecast.chance_past_limit), forecast.danger_said
        past = f"{seen}; past its limit of {law.limit:g} {law.unit} already ({sure} sure)"
        return f"{past}; {unsafe}." if unsafe else f"{past}."
    middle, ends_left = about(left.median), left_words(left.wide.low, left.wide.high)
    span = f" (8 in 10: {ends_left})" if ends_left != about(left.wide.low) else ""
    return f"{seen}; limit {law.limit:g} {law.unit} in about {middle} {use_words(law.driver)}{span}."


def gauge_words(instrument: Instrument | None, limit: LimitRow) -> str:
    """Return what an instrument of this kind reads besides the wear, in words to set behind its reading."""
    row = tables().instruments.get(instrument.table_id) if instrument is not None else None
    if row is None or not limit.is_elongation or not row.bias:
        return ""
    return f" on a {row.name}, which also reads the rollers"


def stand_in_words(read: LimitOn) -> str:
    """Return the doubt of a row that is read by caution: what is not known, and which row stands in for it."""
    missing = ", ".join(f"{ask.fact.name} of the {ask.part.words}" for ask in read.asks)
    return (
        f"Not known: {missing or 'what decides the limit'}. Judged by {read.row.id}, the careful row, "
        "until somebody has looked. Describe the part and read it again."
    )
