"""How one part wears on its bike: its law, its readings with their instruments' errors, earlier parts, the forecast."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from math import inf, log

from django.db.models import Q, QuerySet

from pinchbolt.engines.wear import (
    Candidate,
    Forecast,
    GaugeError,
    GaugeReading,
    PartLife,
    RateOfUse,
    SamePart,
    Start,
    WearLaw,
    judge,
    law_for,
    law_on_this_bike,
    same_from,
    worth_of_reading,
)
from pinchbolt.records.models import A_DAY, Bike, Instrument, Marking, Part, Reading
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values import Interval, JsonRead, Reason
from pinchbolt.values.money import with_figures
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.been_on import last_bike, parts_before
from pinchbolt.workshop.bikes.build_sheet import build_of, kind_row, sprockets_behind
from pinchbolt.workshop.bikes.fittings import first_fitting, look_up_fittings
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.rides.exposure import rides_now, use_of, use_row, week_of
from pinchbolt.workshop.rides.part_distance import distance_of, look_up_readings, readings_of, was_said
from pinchbolt.workshop.tools.gauges import GaugeKnown, gauge_known, look_up_checks
from pinchbolt.workshop.wear._learned import learned_biases, priors_now

# Odds beyond which the readings speak for or against the part on record; in between they tell nothing.
_TELLS = 3.0
_HALVED, _NARROWED = 0.55, 0.85
# A chain that came off, measured on the bench over 24 pitches: a caliper without a gauge's bias. 0.1 mm of 304.8; common
# practice, no source.
MEASURED_OFF = "measured off"
_BENCH = GaugeError(0.0, 0.01, 0.03)
_GO_NO_GO_MARKS = (0.5, 0.75)  # percent, the two sides of a chain gauge
# One page after the other asks the same of the same part. What the engine makes of values hangs on nothing but these values, so
# what it made of them stands for as long as it is kept: the forecasts of some fifty bikes.
_KEPT = 1024
_judge = with_figures(lru_cache(_KEPT)(judge))
_law_on_this_bike = lru_cache(_KEPT)(law_on_this_bike)


@dataclass(frozen=True, slots=True)
class PartWear:
    """The forecast of one part, whether it is the one on record (None: fewer than two readings), and what is in doubt."""

    forecast: Forecast
    same: SamePart | None


@dataclass(frozen=True, slots=True)
class _Record:
    """The current readings of one part and row, as records and as the engine takes them, oldest first."""

    rows: list[Reading]
    readings: list[GaugeReading]
    doubts: tuple[str, ...]
    start: date | None
    start_known: bool


def wear_law(
    limit: LimitRow, bike: Bike, marked: float | None, priors: JsonRead | None = None
) -> WearLaw | None:
    """Return how this kind of part wears on this bike, if it does; by the priors in use, unless others are given."""
    return law_for(
        limit,
        priors_now() if priors is None else priors,
        speeds=_speeds(limit, bike),
        use_class=bike.use_class,
        # Only what wears other parts has a school of when to change it; the bike's own comes before the workshop's.
        school="late"
        if _wears_others(limit) and (bike.school or terms().chain_school) == "late"
        else "early",
        marked_limit=marked,
    )


def _wears_others(limit: LimitRow) -> bool:
    return any(kind_row(kind).wears for kind in limit.on)


def _speeds(limit: LimitRow, bike: Bike) -> int | None:
    """Sprockets behind, where they matter: the row's own count, else the bike's."""
    if limit.speeds:
        return min(limit.speeds)
    return sprockets_behind(build_of(bike)) if _wears_others(limit) else None


def wears_by_distance(limit: LimitRow, bike: Bike) -> bool:
    """Return whether a forecast of this limit row on this bike counts kilometres."""
    law = wear_law(limit, bike, None)
    return law is not None and law.driver == "km"


def marked_limit(bike: Bike, part: Part, limit: LimitRow) -> float | None:
    """The limit marked on the part: the newest marking written down for it, else what its older record said.

    A marking of older records, which names no part, governs the parts of its bike that its words fit.
    """
    names = (part.kind, str(part), f"{part.kind} {part.place}".strip())
    # Asked for the newest alone, the database would walk through all markings, the newest first.
    marking = max(_markings_of(part.pk, bike.pk, names, limit.id), key=lambda row: row.pk, default=None)
    if marking is not None:
        return marking.least if limit.direction == "down" else marking.greatest
    known = part.start_facts.get("marked_minimum_mm") or [part.specification.get("marked_minimum_mm")]
    is_thickness = limit.direction == "down" and limit.unit == "mm"
    return float(known[0]) if known[0] is not None and is_thickness else None


@prepared
def _markings_of(part: int, bike: int, names: tuple[str, ...], limit: str) -> QuerySet[Marking]:
    of_part = Q(on_part=part) | Q(on_part__isnull=True, bike=bike, part__in=names)
    return Marking.objects.filter(of_part, limit=limit, event__corrected_by__isnull=True).order_by()


def look_up_pasts(parts: Collection[Part], bike: Bike) -> None:
    """Look up together what forecasts of these parts rest on: readings and fittings, their own and of those before them."""
    look_up_fittings(parts)
    before = {one.pk: one for part in parts for one in parts_before(part, bike)}
    look_up_fittings(before.values())
    look_up_readings([*parts, *before.values()])


def forecast_of(part: Part, limit: LimitRow, law: WearLaw, bike: Bike, today: date) -> Forecast:
    """Return the forecast of one part from all its current readings of one limit row, and from earlier parts of the bike."""
    record = _record(part, limit, law)
    return _judged(part, limit, _with_memory(part, limit, law, bike, today), bike, today, record)


def wear_of(part: Part, limit: LimitRow, law: WearLaw, bike: Bike, today: date) -> PartWear:
    """Return the forecast of one part, with the odds for the part on record and what a further reading would bring."""
    record = _record(part, limit, law)
    law = _with_memory(part, limit, law, bike, today)
    candidates = _on_the_board(limit)
    forecast = _judged(part, limit, law, bike, today, record, sharpen=not candidates)
    forecast = _with_instruments(forecast, candidates)
    same = None
    if forecast.odds_same is not None and not law.clock:
        same = same_from(law, record.readings, forecast.odds_same)
        forecast = replace(forecast, doubts=(*forecast.doubts, *_not_the_same(same)))
    return PartWear(forecast, same)


def part_life(part: Part, limit: LimitRow, today: date) -> PartLife | None:
    """Return a part's record for learning, by the trade's law and where it is or was fitted, or None where it has none."""
    bike = last_bike(part)
    law = wear_law(limit, bike, None, tables().wear_priors) if bike else None
    if bike is None or law is None or law.clock:
        return None
    # By the trade and the instruments' own checks: what was learned before must not teach again.
    record = _record(part, limit, law, as_learned=False)
    if not record.readings:
        return None
    return PartLife(
        law,
        tuple(record.readings),
        _rate_of_use(part, law, bike, today),
        record.start if record.start_known else None,
        _start(record),
    )


def _judged(
    part: Part,
    limit: LimitRow,
    law: WearLaw,
    bike: Bike,
    today: date,
    record: _Record,
    *,
    sharpen: bool = False,
) -> Forecast:
    forecast = _judge(
        law,
        tuple(record.readings),
        _rate_of_use(part, law, bike, today),
        today,
        exposure_now=_exposure_now(part, law, record, today),
        start=_start(record),
        fitted_on=record.start if record.start_known else None,
        sharpen=sharpen,
    )
    return replace(forecast, doubts=(*forecast.doubts, *record.doubts)) if record.doubts else forecast


def _start(record: _Record) -> Start:
    """How it is known when the part was fitted: by our own line, by a distance that somebody told, or not at all."""
    if record.start_known:
        return "here"
    # A stated distance since fitting means that somebody knows when it was fitted, whatever the records say.
    told = any(row.distance_known in ("owner's word", "odometer") for row in record.rows)
    return "told" if told else "unknown"


def _as_learned(error: GaugeError, learned: tuple[float, float] | None) -> GaugeError:
    """The error of an instrument with what the workshop's own parts said of it, where that is surer than its checks."""
    if learned is None or learned[1] >= error.bias_sd:
        return error
    return replace(error, bias=learned[0], bias_sd=learned[1])


def _record(part: Part, limit: LimitRow, law: WearLaw, *, as_learned: bool = True) -> _Record:
    rows = [row for row in readings_of(part) if row.limit == limit.id]
    fitting = first_fitting(part)
    known: dict[int | None, GaugeKnown] = {}
    readings, doubts = [], []
    biases = learned_biases() if as_learned else {}
    for row in rows:
        name, error, doubt = _instrument_of(row, limit, known, biases)
        exposure, share = _exposure(row, law, fitting.start if fitting else row.day)
        if doubt:
            doubts.append(f"{name}: {doubt}")
        readings.append(
            GaugeReading(
                day=row.day,
                shown=Interval(-inf if row.low is None else row.low, inf if row.high is None else row.high),
                # An instrument in doubt is another one to the filter: what it shows now teaches nothing of then.
                instrument=worded("{name}, in doubt", name=name) if doubt else name,
                error=error,
                exposure=exposure,
                exposure_share=share,
            )
        )
    return _Record(
        rows,
        readings,
        tuple(dict.fromkeys(doubts)),
        fitting.start if fitting else None,
        bool(fitting and (fitting.start_known or fitting.since_said == A_DAY)),
    )


def _instrument_of(
    row: Reading,
    limit: LimitRow,
    known: dict[int | None, GaugeKnown],
    biases: Mapping[tuple[str, str], tuple[float, float]],
) -> tuple[str, GaugeError, str]:
    """What a reading was taken with: its name, its error, and the doubt in words ("": none)."""
    if row.event.kind == MEASURED_OFF:
        return worded("the bench"), _BENCH, ""
    if row.instrument_id not in known:
        known[row.instrument_id] = gauge_known(row.instrument, limit)
    error, doubt = known[row.instrument_id].on(row.day)
    name = row.instrument.name if row.instrument else "eye"
    return name, error if doubt else _as_learned(error, biases.get((name, limit.id))), doubt


def _with_memory(part: Part, limit: LimitRow, law: WearLaw, bike: Bike, today: date) -> WearLaw:
    """The law after the earlier parts of this kind and place on this bike."""
    if law.clock or law.driver != "km":
        return law
    records = [_record(before, limit, law) for before in parts_before(part, bike)]
    read = [record for record in records if record.readings]
    if not read:
        return law
    return _law_on_this_bike(
        law,
        tuple(tuple(record.readings) for record in read),
        _rate_of_use(part, law, bike, today),
        fitted_on=tuple(record.start if record.start_known else None for record in read),
    )


def _not_the_same(same: SamePart) -> tuple[str, ...]:
    """The doubt that follows where the readings speak against the part on record; nobody is blamed."""
    if log(same.odds_same) > -log(_TELLS):
        return ()
    return (worded("{words} It may be misread too: ask the owner, and measure once more.", words=same.words),)


def _with_instruments(forecast: Forecast, candidates: list[Candidate]) -> Forecast:
    """The forecast with what a reading by an instrument of this board would bring, where one reads this."""
    if forecast.law.clock or forecast.belief is None or not candidates:
        return forecast
    best = worth_of_reading(forecast, candidates)[0]
    share = best.width_after / best.width_now if best.width_now > 0 else 1.0
    if share <= _HALVED:
        words = worded(
            "A reading with the {instrument} would make this much surer.", instrument=best.instrument
        )
    elif share <= _NARROWED:
        words = worded("A reading with the {instrument} would make this surer.", instrument=best.instrument)
    else:
        words = worded(
            "No gauge here would make this much surer; the best is the {instrument}.",
            instrument=best.instrument,
        )
    *others, last = forecast.reasons
    return replace(forecast, reasons=(*others, Reason(words, source="computed"), last))


@once_a_look.of(Instrument)
def _instruments() -> tuple[Instrument, ...]:
    return tuple(_in_use())


@prepared
def _in_use() -> QuerySet[Instrument]:
    return Instrument.objects.filter(in_use=True).order_by("pk")


def _on_the_board(limit: LimitRow) -> list[Candidate]:
    """Instruments in use that read this row, each with its known error."""
    found = []
    board = _instruments()
    look_up_checks(board)
    for one in board:
        row = tables().instruments.get(one.table_id)
        if row is None or (row.unit or "percent") != limit.unit:
            continue
        if not limit.is_elongation and one.table_id != limit.instrument and limit.unit == "percent":
            continue
        go_no_go = row.reads.startswith("interval")
        found.append(Candidate(one.name, gauge_known(one, limit).error, _GO_NO_GO_MARKS if go_no_go else ()))
    # A go/no-go instrument of another unit has marks of its own that no table holds.
    return [c for c in found if not c.marks or limit.unit == "percent"]


def _exposure(row: Reading, law: WearLaw, start: date) -> tuple[float | None, float]:
    """Use at a reading and its relative spread: as said then, else as the records add it up now."""
    if law.driver == "days":
        return float(max(0, (row.day - start).days)), row.distance_share
    if law.driver != "km":
        return None, row.distance_share
    km, share, _ = distance_of(row)
    return km, share


def _exposure_now(part: Part, law: WearLaw, record: _Record, today: date) -> float | None:
    """Use since fitting today: the last stated distance plus what the records add since then.

    A part that was fitted today went 0 km, and that is known.
    """
    if law.driver == "days":
        fitting = first_fitting(part)
        return float((today - fitting.start).days) if fitting else None
    if law.driver != "km":
        return None
    last = next((row for row in reversed(record.rows) if was_said(row)), None)
    if last is None or last.distance_km is None:
        used = use_of(part, today)
        known = used.days_unknown == 0 and (used.km > 0 or record.start_known)
        return used.km if known else None
    return last.distance_km + max(0.0, use_of(part, today).km - use_of(part, last.day).km)


def _rate_of_use(part: Part, law: WearLaw, bike: Bike, today: date) -> RateOfUse:
    if law.driver == "days":
        return RateOfUse(7.0, 0.0)
    week = week_of(bike, today, rides=rides_now(part))
    if law.driver == "h":
        # Hours of riding from distance; the spread of an hour's distance is added to that of the week's.
        return RateOfUse(week.median_km / use_row(bike).km_an_hour, (week.log_sd**2 + 0.2**2) ** 0.5)
    return RateOfUse(week.median_km, week.log_sd)
