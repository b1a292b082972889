"""From a reading, or from the eye, to a finding: verdict, forecast, reasons."""

from dataclasses import dataclass
from datetime import date, datetime
from math import hypot, inf
from typing import Any

from pinchbolt.engines.wear import (
    Forecast,
    GaugeError,
    GaugeReading,
    RateOfUse,
    WearLaw,
    judge,
    judge_plain,
    law_for,
)
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, Finding, Instrument, Job, Marking, Part, Reading
from pinchbolt.reference.rows.measure import Limit
from pinchbolt.values import Interval, Reason, Verdict
from pinchbolt.workshop.acting import Act, act
from pinchbolt.workshop.checks import local_day, short
from pinchbolt.workshop.exposure import use_of, week_of
from pinchbolt.workshop.looking_up import job_by_id, part_by_id, tables, terms
from pinchbolt.workshop.plain import as_json
from pinchbolt.workshop.state import still_open

# Half-width that holds 8 cases in 10 of a normal distribution, in standard deviations.
_Z80 = 1.2815515655446004


@dataclass(frozen=True, slots=True)
class FindingSeen:
    """A finding as every door shows it. `forecast` is the wear engine's answer as plain values, or None."""

    id: int
    job: int
    part: int | None
    part_words: str
    limit: str
    quantity: str
    unit: str
    shown: str
    verdict: str
    rank: int
    safety: bool
    words: str
    forecast: dict[str, Any] | None
    reasons: tuple[dict[str, str], ...]
    doubts: tuple[str, ...]
    day: date
    by: str


@dataclass(frozen=True, slots=True)
class FoundAsked:
    """Something seen, heard or felt: words and a verdict, on a part or on the whole bike."""

    job: int
    words: str
    verdict: str
    part: int | None = None
    safety: bool = False


@dataclass(frozen=True, slots=True)
class _Judged:
    verdict: Verdict
    words: str
    forecast: Forecast | None
    reasons: tuple[Reason, ...]
    doubts: tuple[str, ...]


def find(asked: FoundAsked, *, by: int, key: str, now: datetime) -> FindingSeen:
    """Write down what an eye, ear or hand found.

    Raises:
        InputRefused: No words, or a verdict that is not one of the five.
        NotPossibleNow: The job is closed.
    """
    with act("found", by=by, key=key, now=now, asked=asked) as this:
        if this.repeated:
            return finding_seen(Finding.objects.get(event=this.done_before))
        job = job_by_id(asked.job)
        still_open(job)
        if asked.verdict not in [verdict.value for verdict in Verdict]:
            sentence = f'The verdict is "{asked.verdict[:40]}": {", ".join(Verdict)}. Choose one.'
            raise InputRefused(sentence, {"verdict": sentence})
        finding = Finding.objects.create(
            event=this.write(job=job),
            job=job,
            part=part_by_id(asked.part) if asked.part is not None else None,
            verdict=asked.verdict,
            safety=asked.safety or asked.verdict == Verdict.UNSAFE,
            words=short(asked.words, "words", "What was found", 400, needed=True),
            reasons=[as_json(Reason(f"Seen and judged by {this.person.name}."))],
        )
        return finding_seen(finding)


def write_finding(reading: Reading, this: Act, job: Job, now: datetime) -> Finding:
    """Judge a reading with all readings of the same part and write the finding beside it."""
    limit = tables().limits[reading.limit]
    judged = _judge(reading, limit, job.bike, now)
    return Finding.objects.create(
        event=this.also("found", "finding", job=job, corrects=_finding_before(reading)),
        job=job,
        part=reading.part,
        reading=reading,
        limit=limit.id,
        verdict=judged.verdict,
        safety=limit.safety,
        words=judged.words[:400],
        forecast=_kept(judged.forecast, reading, limit) if judged.forecast else None,
        reasons=as_json(judged.reasons),
        doubts=list(judged.doubts),
    )


def _kept(forecast: Forecast, reading: Reading, limit: Limit) -> dict[str, Any]:
    """The forecast as it is kept, with what was read: ends as shown, and as they are by this reading alone, 8 cases in 10."""
    error = gauge_error(reading.instrument, limit)
    doubt = _Z80 * hypot(error.sd, error.bias_sd)
    sure_low = None if reading.low is None else reading.low - error.bias - doubt
    sure_high = None if reading.high is None else reading.high - error.bias + doubt
    shown = {"low": reading.low, "high": reading.high, "sure_low": sure_low, "sure_high": sure_high}
    return {**as_json(forecast), "reading": shown}


def _finding_before(reading: Reading) -> Any:
    """A corrected reading takes its finding with it."""
    old = reading.event.corrects
    if old is None:
        return None
    finding = Finding.objects.filter(reading__event=old).first()
    return finding.event if finding and not finding.event.corrected_by.exists() else None


def _judge(reading: Reading, limit: Limit, bike: Bike, now: datetime) -> _Judged:
    marked = _marked_limit(bike, reading.part, limit)
    law = wear_law(limit, bike, marked)
    if law is None:
        verdict, reasons = judge_plain(limit, _plainly(reading), marked_limit=marked)
        return _Judged(verdict, f"{limit.part}, {limit.quantity}: {shown_words(reading)}.", None, reasons, ())
    forecast = forecast_of(reading.part, limit, law, bike, local_day(now))
    return _Judged(
        forecast.verdict, _in_words(forecast, reading), forecast, forecast.reasons, forecast.doubts
    )


def _plainly(reading: Reading) -> Interval | str:
    if reading.word:
        return reading.word
    return Interval(
        -inf if reading.low is None else reading.low, inf if reading.high is None else reading.high
    )


def wear_law(limit: Limit, bike: Bike, marked: float | None) -> WearLaw | None:
    """Return how this kind of part wears on this bike, if it does."""
    return law_for(
        limit,
        tables().wear_priors,
        speeds=bike.speeds,
        use_class=bike.use_class,
        # Only a chain has a school of when to change it; the bike's own comes before the workshop's.
        school="late"
        if limit.part == "chain" and (bike.school or terms().chain_school) == "late"
        else "early",
        marked_limit=marked,
    )


def wears_by_distance(limit: Limit, bike: Bike) -> bool:
    """Return whether a forecast of this limit row on this bike counts kilometres."""
    law = wear_law(limit, bike, None)
    return law is not None and law.driver == "km"


def _marked_limit(bike: Bike, part: Part, limit: Limit) -> float | None:
    """The limit marked on the part: its specification, else the newest marking written down for this bike."""
    own = part.specification.get("marked_minimum_mm")
    if own is not None and limit.quantity == "thickness":
        return float(own)
    marking = (
        Marking.objects.filter(bike=bike, limit=limit.id, event__corrected_by__isnull=True)
        .order_by("-pk")
        .first()
    )
    if marking is None:
        return None
    return marking.least if limit.direction == "down" else marking.greatest


def forecast_of(part: Part, limit: Limit, law: WearLaw, bike: Bike, today: date) -> Forecast:
    """Return the forecast of one part from all its current readings of one limit row."""
    rows = list(
        Reading.objects.filter(part=part, limit=limit.id, event__corrected_by__isnull=True)
        .select_related("instrument")
        .order_by("day", "pk")
    )
    fitting = part.fittings.order_by("start").first()
    new_at_fitting = bool(fitting and fitting.start_known)
    readings = [
        GaugeReading(
            day=row.day,
            shown=Interval(-inf if row.low is None else row.low, inf if row.high is None else row.high),
            instrument=row.instrument.name if row.instrument else "eye",
            error=gauge_error(row.instrument, limit),
            exposure=_exposure(row, law, fitting.start if fitting else row.day),
            exposure_share=row.distance_share,
        )
        for row in rows
    ]
    # A stated distance since fitting means that somebody knows when it was fitted, whatever the records say.
    told_since_fitting = any(row.distance_known in ("owner's word", "odometer") for row in rows)
    return judge(
        law,
        readings,
        _rate_of_use(law, bike, today),
        today,
        exposure_now=_exposure_now(part, law, rows, today),
        fitted_new=new_at_fitting or told_since_fitting,
    )


def _exposure(row: Reading, law: WearLaw, start: date) -> float | None:
    if law.driver == "days":
        return float(max(0, (row.day - start).days))
    return row.distance_km if law.driver == "km" else None


def _exposure_now(part: Part, law: WearLaw, rows: list[Reading], today: date) -> float | None:
    """Use since fitting today: the last stated distance plus what the records add since then."""
    if law.driver == "days":
        fitting = part.fittings.order_by("start").first()
        return float((today - fitting.start).days) if fitting else None
    if law.driver != "km":
        return None
    last = next((row for row in reversed(rows) if row.distance_km is not None), None)
    if last is None or last.distance_km is None:
        used = use_of(part, today)
        return used.km if used.km > 0 and used.days_unknown == 0 else None
    return last.distance_km + max(0.0, use_of(part, today).km - use_of(part, last.day).km)


def _rate_of_use(law: WearLaw, bike: Bike, today: date) -> RateOfUse:
    if law.driver == "days":
        return RateOfUse(7.0, 0.0)
    week = week_of(bike, today)
    if law.driver == "h":
        # Hours of riding from distance: 18 km/h is common practice, no source; its spread is added to that of the distance.
        return RateOfUse(week.median_km / 18.0, (week.log_sd**2 + 0.2**2) ** 0.5)
    return RateOfUse(week.median_km, week.log_sd)


def gauge_error(instrument: Instrument | None, limit: Limit) -> GaugeError:
    """Return the known error of an instrument on this row: its last check, else its table row, else the row's own spread."""
    spread = limit.sd or 0.0
    if instrument is None:
        return GaugeError(0.0, 0.0, spread)
    row = tables().instruments.get(instrument.table_id)
    if row is None or limit.unit != (row.unit or "percent"):
        return GaugeError(0.0, 0.0, spread)
    bias, bias_sd = row.bias or 0.0, row.bias_sd or 0.0
    check = (
        instrument.checks.filter(bias__isnull=False, unit=limit.unit, event__corrected_by__isnull=True)
        .order_by("-day")
        .first()
    )
    if check is not None and check.bias is not None:
        bias, bias_sd = check.bias, 0.02
    return GaugeError(bias, bias_sd, max(spread, row.sd or 0.0))


def shown_words(reading: Reading) -> str:
    """Return what the instrument showed, in words."""
    if reading.word:
        return reading.word
    if reading.low is not None and reading.low == reading.high:
        return f"{reading.low:g} {reading.unit}"
    if reading.low is None and reading.high is None:
        return "nothing"
    if reading.low is None:
        return f"below {reading.high:g} {reading.unit}"
    if reading.high is None:
        return f"{reading.low:g} {reading.unit} or more"
    return f"between {reading.low:g} and {reading.high:g} {reading.unit}"


def _in_words(forecast: Forecast, reading: Reading) -> str:
    law, left = forecast.law, forecast.to_limit
    unit = {"km": "km", "h": "hours", "days": "days"}[law.driver]
    now = f"{law.part}: read {shown_words(reading)}, most likely {forecast.present.median:.2f} {law.unit}"
    if forecast.chance_past_limit > 0.5:
        return f"{now}; past its limit of {law.limit:g} {law.unit} already ({forecast.chance_past_limit:.0%} sure)."
    if left.wide.low == left.wide.high:
        return f"{now}; limit {law.limit:g} in about {left.median:,.0f} {unit}."
    return (
        f"{now}; limit {law.limit:g} {law.unit} in about {left.median:,.0f} {unit} "
        f"(8 in 10: {max(0.0, left.wide.low):,.0f} to {left.wide.high:,.0f})."
    )


def finding_seen(finding: Finding) -> FindingSeen:
    """Return a finding as every door shows it."""
    limit = tables().limits.get(finding.limit)
    return FindingSeen(
        id=finding.pk,
        job=finding.job_id,
        part=finding.part_id,
        part_words=str(finding.part) if finding.part else "bike",
        limit=finding.limit,
        quantity=limit.quantity if limit else "seen",
        unit=limit.unit if limit else "",
        shown=shown_words(finding.reading) if finding.reading else "",
        verdict=finding.verdict,
        rank=Verdict(finding.verdict).rank,
        safety=finding.safety,
        words=finding.words,
        forecast=finding.forecast,
        reasons=tuple(finding.reasons),
        doubts=tuple(finding.doubts),
        day=finding.reading.day if finding.reading else local_day(finding.event.at),
        by=finding.event.by.name,
    )


def findings_of(job: Job) -> tuple[FindingSeen, ...]:
    """Return the newest finding per part and limit row, and all findings by eye, worst first."""
    rows = (
        Finding.objects.filter(job=job, event__corrected_by__isnull=True)
        .select_related("part", "reading", "event__by")
        .order_by("pk")
    )
    newest: dict[tuple[object, str], Finding] = {}
    for row in rows:
        newest[(row.part_id, row.limit) if row.limit else (f"eye {row.pk}", "")] = row
    return tuple(
        sorted((finding_seen(row) for row in newest.values()), key=lambda seen: (-seen.rank, seen.id))
    )
