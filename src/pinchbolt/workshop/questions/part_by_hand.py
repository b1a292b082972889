"""One part by hand: what a single reading says, without a bike on record."""

from dataclasses import dataclass
from datetime import date
from math import inf

from pinchbolt.engines.wear import Forecast, GaugeError, GaugeReading, RateOfUse, Start, WearLaw, judge
from pinchbolt.errors import InputRefused
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values import Interval
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.common.measured import measured
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.wear.change_point import HONEST
from pinchbolt.workshop.wear.trade_laws import chain_row, law_by_use

# Instruments by the names of the bench, and their rows. On a chain in percent a rule and a caliper read a length.
BY_NAME = {
    "two-point": "chain-gauge-go-nogo",
    "three-point": "chain-gauge-three-point",
    "rule": "steel-rule",
    "vernier": "caliper",
}
ON_A_CHAIN = {
    "steel-rule": GaugeError(0.0, 0.02, 0.08),
    "caliper": GaugeError(0.0, 0.03, 0.03),
}  # percent; common practice
# What a part is called elsewhere, and what its rows call it.
_CALLED = {
    "tire": "tyre",
    "brake block": "rim brake pad",
    "disc": "rotor",
    "brake disc": "rotor",
    "suspension": "suspension fork",
    "shock": "rear shock",
    "ring": "chainring",
    "fluid": "brake fluid",
    "gear wire": "gear cable",
}
USES = {"road-dry": "dry road", "mixed": "mixed", "mud": "mud", "e-bike": "e-bike", "indoor": "indoor"}
WORD_SHARE = 0.15
# How it is known that the part was new when it was fitted.
FITTED: dict[str, Start] = {"here": "here", "told": "told", "used": "used", "nobody-knows": "unknown"}


@dataclass(frozen=True, slots=True)
class PartByHandRequest:
    """A part with one reading: a value, or an interval with one end left out where it is open.

    `said` is a value in words with its unit, in place of `value`: "60 months".
    """

    kind: str = "chain"
    limit: str = ""
    speeds: int | None = None
    use: str = "mixed"
    km: float | None = None
    value: float | None = None
    low: float | None = None
    high: float | None = None
    instrument: str = ""
    marked_limit: float | None = None
    fitted: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class PartJudged:
    """What the reading says, by which row, and the honest limit of it."""

    row: str
    forecast: Forecast
    honest: str


def part_by_hand(request: PartByHandRequest, today: date) -> PartJudged:
    """Return the forecast of one part by its reading.

    Raises:
        InputRefused: No such kind, row, use or instrument, or a reading out of sense.
    """
    row = _row(request)
    if request.use not in USES and request.use not in USES.values():
        sentence = f'use is "{request.use[:40]}": {", ".join(USES)}. Pick the nearest.'
        raise InputRefused(sentence, {"use": sentence})
    use = USES.get(request.use, request.use)
    law = law_by_use(row, use, request.speeds, request.marked_limit)
    if law is None:
        raise InputRefused(
            f"{row.id} has no known life in {use} use: its reading stands by itself. Judge it by its limit."
        )
    km = (
        None
        if request.km is None
        else number(request.km, "km", "The distance since it was fitted", 0, 200000, "km")
    )
    reading = _reading(request, row, km, today)
    used, start = (km if law.driver == "km" else None), _start(request, km)
    if law.clock and reading is not None and reading.shown.is_value:
        # What is read of a clock is the use itself: nothing is measured, so nothing can be misread.
        used, reading = (reading.shown.low - law.new) / (law.limit - law.new) * law.median_life, None
        start = "told"
    week = _week(law, use)
    forecast = judge(law, [reading] if reading else [], week, today, exposure_now=used, start=start)
    return PartJudged(row.id, forecast, HONEST if row.part == "chain" else "")


def _week(law: WearLaw, use: str) -> RateOfUse:
    row = tables().uses[use]
    return RateOfUse(row.km_a_week / row.km_an_hour if law.driver == "h" else row.km_a_week, row.spread)


def _start(request: PartByHandRequest, km: float | None) -> Start:
    """How the fitting is known: as it was said, else told where a distance was."""
    if not request.fitted:
        return "unknown" if km is None else "told"
    if request.fitted not in FITTED:
        sentence = f'fitted is "{request.fitted[:40]}": {", ".join(FITTED)}. Pick one, or leave it out.'
        raise InputRefused(sentence, {"fitted": sentence})
    return FITTED[request.fitted]


def _row(request: PartByHandRequest) -> LimitRow:
    limits = tables().limits
    if request.limit:
        if request.limit not in limits:
            sentence = f'"{request.limit[:60]}" is no row of the limits. Name one, or give --kind.'
            raise InputRefused(sentence, {"limit": sentence})
        return limits[request.limit]
    if request.kind == "chain":
        if request.speeds is None:
            sentence = "speeds is missing: the limit of a chain goes by its speeds. Count the sprockets."
            raise InputRefused(sentence, {"speeds": sentence})
        return chain_row(request.speeds)
    covered = {row for prior in tables().wear_priors["prior"] for row in prior["covers"]}
    kind = _CALLED.get(request.kind.strip().lower(), request.kind.strip().lower())
    rows = [row for row in limits.values() if kind and kind in row.part.lower() and row.id in covered]
    if len(rows) != 1:
        some = ", ".join(row.id for row in rows) or "none"
        sentence = f'kind "{request.kind[:40]}" has these rows that wear: {some}. Name one with --limit.'
        raise InputRefused(sentence, {"kind": sentence})
    return rows[0]


def _reading(request: PartByHandRequest, row: LimitRow, km: float | None, today: date) -> GaugeReading | None:
    value = request.said or request.value
    given = value is not None, request.low is not None or request.high is not None
    if not any(given):
        return None
    if all(given):
        sentence = "Give one answer: a number or a range."
        raise InputRefused(sentence, {"value": sentence})
    ends = [
        None if v is None else measured(v, row, name, f"{row.part} {row.quantity}")
        for name, v in (("value", value), ("low", request.low), ("high", request.high))
    ]
    low, high = (ends[0], ends[0]) if given[0] else (ends[1], ends[2])
    if low is not None and high is not None and low >= high and not given[0]:
        sentence = f"The interval is {low:g} to {high:g} {row.unit}: the low end must be below the high end. Swap them."
        raise InputRefused(sentence, {"low": sentence})
    shown = Interval(-inf if low is None else low, inf if high is None else high)
    name, error = _instrument(request.instrument, row)
    return GaugeReading(today, shown, name, error, km, WORD_SHARE)


def _instrument(named: str, row: LimitRow) -> tuple[str, GaugeError]:
    if not named:
        return "gauge of this row", GaugeError(0.0, 0.0, row.sd or 0.0)
    table = tables().instruments
    id_ = BY_NAME.get(named, named)
    if row.part == "chain" and row.unit == "percent" and id_ in ON_A_CHAIN:
        return named, ON_A_CHAIN[id_]
    found = table.get(id_)
    if found is None or (found.unit or "percent") != row.unit:
        fits = [one.id for one in table.values() if (one.unit or "percent") == row.unit]
        known = ", ".join([*BY_NAME, *fits] if row.unit == "percent" else fits)
        sentence = f'instrument "{named[:40]}" does not read {row.unit}: {known}. Pick one.'
        raise InputRefused(sentence, {"instrument": sentence})
    return named, GaugeError(found.bias or 0.0, found.bias_sd or 0.0, max(row.sd or 0.0, found.sd or 0.0))
