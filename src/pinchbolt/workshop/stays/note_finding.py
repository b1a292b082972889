"""From a reading, or from the eye, to a finding: verdict, forecast, reasons."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from math import hypot, inf

from django.db.models import QuerySet

from pinchbolt.engines.build import Build, limits_on
from pinchbolt.engines.wear import Forecast, SamePart, danger_of, judge_plain
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, Event, Finding, Job, Part, Reading
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values import Interval, Reason, Verdict
from pinchbolt.values.about import shown_words as words_of_ends
from pinchbolt.values.normal import Z80
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import job_by_id, part_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.build_sheet import build_of, parts_on
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.mended import about, findings_mended, found_on
from pinchbolt.workshop.tools.gauges import gauge_known
from pinchbolt.workshop.wear.kept_forecast import KeptForecast, ReadingKept, keep, kept_forecast, kept_reasons
from pinchbolt.workshop.wear.part_wear import marked_limit, wear_law, wear_of
from pinchbolt.workshop.wear.reading_words import gauge_words, reading_words, stand_in_words

# Half-width that holds 8 cases in 10 of a normal distribution, in standard deviations.


@dataclass(frozen=True, slots=True)
class FindingView:
    """A finding as every door shows it. `forecast` is the wear engine's answer as it was kept that day, or None."""

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
    forecast: KeptForecast | None
    reasons: tuple[Reason, ...]
    doubts: tuple[str, ...]
    day: date
    by: str

    @property
    def title(self) -> str:
        """The part, and where something was read on it what that was."""
        return f"{self.part_words}, {self.quantity}" if self.limit else self.part_words


@dataclass(frozen=True, slots=True)
class FindingRequest:
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
    same: SamePart | None = None


def note_finding(request: FindingRequest, *, by: int, key: str, now: datetime) -> FindingView:
    """Write down what an eye, ear or hand found.

    Raises:
        InputRefused: No words, or a verdict that is not one of the five.
        NotPossibleNow: The job is closed.
    """
    with act("found", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return finding_view(Finding.objects.get(event=this.done_before))
        job = job_by_id(request.job)
        still_open(job)
        if request.verdict not in [verdict.value for verdict in Verdict]:
            sentence = worded(
                'The verdict is "{verdict}": {allowed}. Choose one.',
                verdict=request.verdict[:40],
                allowed=", ".join(Verdict),
            )
            raise InputRefused(sentence, {"verdict": sentence})
        finding = Finding.objects.create(
            event=this.write(job=job),
            job=job,
            part=part_by_id(request.part) if request.part is not None else None,
            verdict=request.verdict,
            safety=request.safety or request.verdict == Verdict.UNSAFE,
            words=short(request.words, "words", worded("What was found"), 400, needed=True),
            reasons=[as_json(Reason(worded("Seen and judged by {name}.", name=this.person.name)))],
        )
        return finding_view(finding)


def write_finding(
    reading: Reading, this: Act, job: Job, now: datetime, name: str = "finding", build: Build | None = None
) -> Finding:
    """Judge a reading with all readings of the same part and write the finding beside it, told apart by *name* in its act."""
    limit = tables().limits[reading.limit]
    judged = _judge(reading, limit, job.bike, now)
    stands_in = _stands_in(reading, build or build_of(job.bike))
    return Finding.objects.create(
        event=this.also("found", name, job=job, corrects=_finding_before(reading)),
        job=job,
        part=reading.part,
        reading=reading,
        limit=limit.id,
        verdict=judged.verdict,
        safety=limit.safety,
        words=judged.words[:400],
        forecast=as_json(_kept(judged.forecast, judged.same, reading, limit)) if judged.forecast else None,
        reasons=as_json(judged.reasons),
        doubts=[*judged.doubts, *stands_in],
    )


def write_by_eye(
    words: str, verdict: Verdict, part: Part | None, this: Act, job: Job, name: str, look: str
) -> Finding:
    """Write what a look found that no row measures; `look` says which, so that a measurement settles it."""
    return Finding.objects.create(
        event=this.also("found", name, job=job, said={"look": look}),
        job=job,
        part=part,
        verdict=verdict,
        safety=verdict == Verdict.UNSAFE,
        words=words[:400],
        reasons=[
            as_json(
                Reason(
                    worded(
                        "Seen by {name}; a look may be wrong: measure it before it is priced.",
                        name=this.person.name,
                    )
                )
            )
        ],
    )


def settle_by_eye(reading: Reading, this: Act, job: Job) -> None:
    """A reading settles what a look at the same part had found by eye at this stay, where its row is what that look leads to."""
    measured = {row.id for row in tables().looks.values() if reading.limit in row.limits}
    for found in _by_eye(job.pk, reading.part_id):
        row = tables().looks.get(str(found.event.said["look"]).partition(":")[0])
        if row is not None and measured & {row.id, *row.then}:
            this.also("settled", f"settled-{found.pk}", job=job, corrects=found.event)


@prepared
def _by_eye(job: int, part: int) -> QuerySet[Finding]:
    rows = Finding.objects.filter(
        job=job, part=part, limit="", event__corrected_by__isnull=True, event__said__look__isnull=False
    )
    return rows.select_related("event")


def _kept(forecast: Forecast, same: SamePart | None, reading: Reading, limit: LimitRow) -> KeptForecast:
    """The forecast as it is kept, with what was read: ends as shown, and as they are by this reading alone, 8 cases in 10."""
    error, _ = gauge_known(reading.instrument, limit).on(reading.day)
    used = (reading.distance_km or 0.0) / 1000
    doubt = Z80 * hypot(error.sd, error.bias_sd, error.growth_sd * used)
    bias = error.bias + error.growth * used
    sure_low = None if reading.low is None else reading.low - bias - doubt
    sure_high = None if reading.high is None else reading.high - bias + doubt
    return keep(forecast, ReadingKept(reading.low, reading.high, sure_low, sure_high), same)


def _finding_before(reading: Reading) -> Event | None:
    """A corrected reading takes its finding with it."""
    old = reading.event.corrects
    if old is None:
        return None
    finding = Finding.objects.filter(reading__event=old).first()
    return finding.event if finding and finding.event.stands else None


def _stands_in(reading: Reading, build: Build) -> tuple[str, ...]:
    """The doubt of a reading whose row is read by caution."""
    rows = (one for on in build.parts if on.id == reading.part_id for one in limits_on(build, on))
    return tuple(stand_in_words(one) for one in rows if one.row.id == reading.limit and one.by_caution)


def _judge(reading: Reading, limit: LimitRow, bike: Bike, now: datetime) -> _Judged:
    marked = marked_limit(bike, reading.part, limit)
    law = wear_law(limit, bike, marked)
    if law is None:
        verdict, reasons = judge_plain(limit, _plainly(reading), marked_limit=marked)
        return _Judged(verdict, f"{limit.part}, {limit.quantity}: {shown_words(reading)}.", None, reasons, ())
    seen = wear_of(reading.part, limit, law, bike, local_day(now))
    forecast = seen.forecast
    # Wear is worked out from all readings; what this one shows past the third figure makes the part unsafe by itself.
    shown = _plainly(reading)
    danger = danger_of(limit, shown, marked) if isinstance(shown, Interval) else None
    kept = _kept(forecast, seen.same, reading, limit)
    gauge = gauge_words(reading.instrument, limit)
    words = reading_words(forecast, shown_words(reading), gauge, shows_limit=kept.shows_limit)
    # A gauge that shows the limit is never sound, whatever its known error makes of it: it is measured again.
    least = Verdict.WATCH if kept.shows_limit and forecast.verdict == Verdict.SOUND else forecast.verdict
    return _Judged(
        Verdict.UNSAFE if danger is not None else least,
        f"{danger.words} {words}" if danger is not None else words,
        forecast,
        (danger, *forecast.reasons) if danger is not None else forecast.reasons,
        forecast.doubts,
        seen.same,
    )


def _plainly(reading: Reading) -> Interval | str:
    if reading.word:
        return reading.word
    return Interval(
        -inf if reading.low is None else reading.low, inf if reading.high is None else reading.high
    )


def shown_words(reading: Reading) -> str:
    """Return what the instrument showed, in words."""
    if reading.word:
        return reading.word
    if reading.low is not None and reading.low == reading.high:
        row = tables().limits.get(reading.limit)
        if row is not None and row.steps and reading.low in range(len(row.steps)):
            return row.steps[int(reading.low)]
    return words_of_ends(reading.low, reading.high, reading.unit)


def finding_view(finding: Finding) -> FindingView:
    """Return a finding as every door shows it; a forecast that the record holds no longer whole is a doubt, not a guess."""
    limit = tables().limits.get(finding.limit)
    forecast, lost = _forecast_of(finding)
    return FindingView(
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
        forecast=forecast,
        reasons=kept_reasons(finding.reasons),
        doubts=(*finding.doubts, *lost),
        day=finding.reading.day if finding.reading else local_day(finding.event.at),
        by=finding.event.by.name,
    )


def _forecast_of(finding: Finding) -> tuple[KeptForecast | None, tuple[str, ...]]:
    try:
        return kept_forecast(finding.forecast, finding.pk), ()
    except ValueError as lost:
        return None, (
            worded("The forecast of that day can't be shown: {lost}. Take the reading again.", lost=lost),
        )


@once_a_look
def findings_of(job: Job) -> tuple[FindingView, ...]:
    """Return the findings of a job, worst first: the newest per part and limit row, and all by eye.

    What made the bike unsafe at an earlier stay and was not put right since stands among them.
    """
    newest = _newest(_found(job.pk))
    again = {key for key in newest if key[1]}
    carried = tuple(number for key, number in _still_unsafe(job).items() if key not in again)
    views = [*(finding_view(row) for row in newest.values()), *findings_by_number(carried)]
    return tuple(sorted(views, key=lambda seen: (-seen.rank, seen.id)))


def findings_by_number(findings: tuple[int, ...]) -> tuple[FindingView, ...]:
    """Return the findings of these numbers that were not corrected."""
    return tuple(finding_view(row) for row in _found_then(findings)) if findings else ()


def findings_standing(found: Iterable[FindingView], bike: Bike) -> tuple[FindingView, ...]:
    """Return those that still tell of the bike as it is: no line put them right, and their part is on it now."""
    mended, here = findings_mended(bike), {part.pk for part in parts_on(bike)}
    return tuple(one for one in found if one.id not in mended and (one.part is None or one.part in here))


def _newest(rows: Iterable[Finding]) -> dict[tuple[object, str], Finding]:
    return {about(row.part_id, row.limit, row.pk): row for row in rows}


@prepared
def _found(job: int) -> QuerySet[Finding]:
    return _standing(Finding.objects.filter(job=job))


@prepared
def _found_then(findings: tuple[int, ...]) -> QuerySet[Finding]:
    return _standing(Finding.objects.filter(pk__in=findings))


def _standing(rows: QuerySet[Finding]) -> QuerySet[Finding]:
    rows = rows.filter(event__corrected_by__isnull=True)
    return rows.select_related("part", "reading", "event__by").order_by("pk")


@prepared
def _unsafe_earlier(bike: int, job: int) -> QuerySet[Finding, int]:
    rows = Finding.objects.filter(job__bike=bike, job__pk__lt=job, verdict=Verdict.UNSAFE)
    return rows.values_list("pk", flat=True)[:1]


def _still_unsafe(job: Job) -> dict[tuple[object, str], int]:
    """Unsafe findings of the bike's earlier stays that no done line, newer reading or other part has answered."""
    if not _unsafe_earlier(job.bike_id, job.pk):
        return {}
    mended, here = findings_mended(job.bike), {part.pk for part in parts_on(job.bike)}
    # In bare rows: what was said of each finding of all its stays is most of a row, and is read of those that stand.
    earlier = {
        about(row.part, row.limit, row.id): row
        for row in found_on((job.bike_id,)).get(job.bike_id, ())
        if row.job < job.pk
    }
    return {
        key: row.id
        for key, row in earlier.items()
        if row.verdict == Verdict.UNSAFE and row.id not in mended and (row.part is None or row.part in here)
    }
