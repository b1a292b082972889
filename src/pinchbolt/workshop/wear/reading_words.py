"""A judged reading in one line: what the instrument shows and, beside it, what that means."""

from pinchbolt.engines.build import LimitOn
from pinchbolt.engines.wear import Forecast
from pinchbolt.records.models import Instrument
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values.about import about, unit_words, worn
from pinchbolt.values.ahead import chance_words, is_past, left_words, use_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables


def reading_words(forecast: Forecast, shown: str, gauge: str = "", *, shows_limit: bool = False) -> str:
    """Return what was read, what it means, and how far it is to the limit, without a digit that nobody knows.

    What the gauge showed is never told as less: where it shows the limit (*shows_limit*) and its known error makes less of that, the
    sentence says both and asks for another way to measure. *gauge* says what the instrument reads besides: `gauge_words`.
    """
    law, left, now = forecast.law, forecast.to_limit, forecast.present
    ends, unit = (worn(now.wide.low), worn(now.wide.high)), unit_words(law.unit)
    limit = worded("its limit of {limit:g} {unit}", limit=law.limit, unit=unit)
    if law.clock:
        seen = f"{law.part}: {shown}"
    else:
        spread = worded(" (likely {low} to {high})", low=ends[0], high=ends[1]) if ends[0] != ends[1] else ""
        seen = worded(
            "{part}: read {shown}{gauge}, now about {median} {unit}{spread}",
            part=law.part,
            shown=shown,
            gauge=gauge,
            median=worn(now.median),
            unit=unit,
            spread=spread,
        )
    if is_past(forecast.chance_past_limit):
        past, unsafe = (
            chance_words(forecast.chance_past_limit, worded("past {limit}", limit=limit)),
            forecast.danger_said,
        )
        return f"{seen}; {past}; {unsafe}." if unsafe else f"{seen}; {past}."
    if shows_limit:
        return worded(
            "{seen}; the gauge shows {limit} already. Measure it another way before you decide.",
            seen=seen,
            limit=limit,
        )
    middle, ends_left = about(left.median), left_words(left.wide.low, left.wide.high)
    span = worded(" (likely {ends_left})", ends_left=ends_left) if ends_left != about(left.wide.low) else ""
    return worded(
        "{seen}; limit {limit:g} {unit} in about {middle} {driver}{span}.",
        seen=seen,
        limit=law.limit,
        unit=unit,
        middle=middle,
        driver=use_words(law.driver),
        span=span,
    )


def gauge_words(instrument: Instrument | None, limit: LimitRow) -> str:
    """Return what an instrument of this kind reads besides the wear, in words to set behind its reading."""
    row = tables().instruments.get(instrument.table_id) if instrument is not None else None
    if row is None or not limit.is_elongation or not row.bias:
        return ""
    return worded(" on a {name}, which also reads the rollers", name=row.name)


def stand_in_words(read: LimitOn) -> str:
    """Return the doubt of a row that is read by caution: what is not known, and which row stands in for it."""
    missing = ", ".join(
        worded("{name} of the {words}", name=ask.fact.name, words=ask.part.words) for ask in read.asks
    )
    return worded(
        "Not known: {missing}. We took the careful limit until somebody has looked. Describe "
        "the part and measure it again.",
        missing=missing or worded("what decides the limit"),
    )
