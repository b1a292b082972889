"""One reading: a value, a go/no-go interval, or yes/no; it becomes a finding in the same breath."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from pinchbolt.engines.build import Build, limits_on
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Instrument, Job, Part, Reading
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import job_by_id, part_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.fittings import first_fitting
from pinchbolt.workshop.common.checks import local_day, not_in_future, number, short
from pinchbolt.workshop.common.measured import measured
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.rides.part_distance import SAID, distance_at
from pinchbolt.workshop.stays.note_finding import FindingView, finding_view, settle_by_eye, write_finding


@dataclass(frozen=True, slots=True)
class ReadingRequest:
    """What was read. Exactly one of `value`, `said`, `low`/`high` (an open end left out) or `word` ('yes', 'no').

    `said` is a value in words with its unit, where it is not the row's own: "12 1/16 in". `distance_km` is how far the
    part went since it was fitted, where somebody says so; else it comes from the records. `day` is today unless the
    reading is written down later; `corrects` names the reading (its event) that this one puts right.
    """

    job: int
    part: int
    limit: str
    instrument: int | None = None
    value: float | None = None
    said: str = ""
    low: float | None = None
    high: float | None = None
    word: str = ""
    place: str = ""
    distance_km: float | None = None
    distance_known: str = "owner's word"
    day: date | None = None
    day_is_guess: bool = False
    corrects: int | None = None


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """The reading's event and the finding it became."""

    reading: int
    finding: FindingView


def take_reading(request: ReadingRequest, *, by: int, key: str, now: datetime) -> ReadingTaken:
    """Write one reading down and judge it.

    Raises:
        InputRefused: The value is out of sense, the day lies ahead, or the distance goes back.
        NotPossibleNow: The job is closed, or the part is not on this bike.
    """
    with act("reading taken", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            reading = Reading.objects.get(event=this.done_before)
            return ReadingTaken(reading.pk, finding_view(reading.finding))
        job = job_by_id(request.job)
        still_open(job)
        return write_reading(request, this, job)


def write_reading(
    request: ReadingRequest, this: Act, job: Job, name: str = "", build: Build | None = None
) -> ReadingTaken:
    """Write a reading inside an act: as the act itself, or where it has a *name* as one of several that the act brings with it.

    What an eye had found there before is settled by it. *build* is the bike where it was read before in this act.
    """
    part = part_by_id(request.part)
    build = build or build_of(job.bike)
    limit = limit_on_bike(build, part, request.limit, job)
    low, high, word = _shown(request, limit)
    day = not_in_future(request.day or local_day(this.now), this.now, "day", worded("The day of the reading"))
    corrects = _corrected(request.corrects, part)
    km, share, known = _distance(request, part, day, corrects)
    old = corrects.event if corrects else None
    event = (
        this.also("reading taken", name, job=job, corrects=old) if name else this.write(job=job, corrects=old)
    )
    reading = Reading.objects.create(
        event=event,
        job=job,
        part=part,
        limit=limit.id,
        place=short(request.place, "place", worded("The place"), 120),
        instrument=_instrument(request.instrument),
        low=low,
        high=high,
        word=word,
        unit=limit.unit,
        distance_km=km,
        distance_share=share,
        distance_known=known,
        day=day,
        day_is_guess=request.day_is_guess,
    )
    finding = write_finding(reading, this, job, this.now, f"{name}/finding".removeprefix("/"), build)
    settle_by_eye(reading, this, job)
    return ReadingTaken(reading.pk, finding_view(finding))


def limit_on_bike(build: Build, part: Part, limit: str, job: Job) -> LimitRow:
    """Return the row that is read on a part of this job's bike.

    Raises:
        InputRefused: No such row on this part.
        NotPossibleNow: The part is not on this bike.
    """
    on = build.part(part.pk)
    if on is None:
        raise NotPossibleNow(
            worded(
                "This {part} is not on {tag} now: choose a part from its build sheet.",
                part=part,
                tag=job.bike.tag,
            )
        )
    readable = [one.row.id for one in limits_on(build, on)]
    row = tables().limits.get(limit)
    if row is None or limit not in readable:
        sentence = worded(
            '"{limit}" is not read on this {part}: {readable}. Choose one of these.',
            limit=limit[:60],
            part=part,
            readable=", ".join(readable) or worded("nothing"),
        )
        raise InputRefused(sentence, {"limit": sentence})
    return row


def _shown(request: ReadingRequest, limit: LimitRow) -> tuple[float | None, float | None, str]:
    """Return (low, high, word) after refusing what can't be."""
    value = request.said or request.value
    given = [
        request.value is not None,
        bool(request.said),
        request.low is not None or request.high is not None,
        bool(request.word),
    ]
    if sum(given) != 1:
        sentence = worded("Give one answer: a number, a range, or yes or no.")
        raise InputRefused(sentence, {"value": sentence})
    if limit.direction == "flag":
        if request.word not in ("yes", "no"):
            sentence = worded(
                '{part}, {quantity}: it is "yes" or "no". Say which.',
                part=limit.part,
                quantity=limit.quantity,
            )
            raise InputRefused(sentence, {"word": sentence})
        return None, None, request.word
    if request.word:
        sentence = worded(
            "{part}, {quantity} is measured in {unit}: a number is needed. Type what the gauge shows.",
            part=limit.part,
            quantity=limit.quantity,
            unit=limit.unit,
        )
        raise InputRefused(sentence, {"value": sentence})
    name = f"{limit.part} {limit.quantity}"
    if value is not None:
        read = measured(value, limit, "value", name)
        return read, read, ""
    low = (
        None
        if request.low is None
        else measured(request.low, limit, "low", worded("{name}, low end", name=name))
    )
    high = (
        None
        if request.high is None
        else measured(request.high, limit, "high", worded("{name}, high end", name=name))
    )
    if low is not None and high is not None and low >= high:
        sentence = worded(
            "The interval is {low:g} to {high:g} {unit}: the low end must be below the high end. "
            "Swap or correct them.",
            low=low,
            high=high,
            unit=limit.unit,
        )
        raise InputRefused(sentence, {"low": sentence})
    return low, high, ""


def _corrected(event: int | None, part: Part) -> Reading | None:
    if event is None:
        return None
    old = Reading.objects.filter(pk=event, part=part).first()
    if old is None:
        raise InputRefused(
            worded(
                "There is no reading {event} of this {part} to correct: choose one from its history.",
                event=event,
                part=part,
            )
        )
    return old


def _distance(
    request: ReadingRequest, part: Part, day: date, corrects: Reading | None
) -> tuple[float | None, float, str]:
    """Return use since fitting at the reading: as said, else from the records, else unknown; it never goes back."""
    fitting = first_fitting(part)
    assert fitting is not None  # a part on a bike has a fitting
    if fitting.start_known and day < fitting.start:
        sentence = worded(
            "The reading is of {day:%d %b %Y}: this {part} was fitted on {start:%d %b %Y}. Correct the day.",
            day=day,
            part=part,
            start=fitting.start,
        )
        raise InputRefused(sentence, {"day": sentence})
    if request.distance_km is None:
        return distance_at(part, day)
    if request.distance_known not in SAID:
        sentence = worded(
            'How the distance is known is "{distance_known}": {said}. Choose one.',
            distance_known=request.distance_known[:40],
            said=", ".join(SAID),
        )
        raise InputRefused(sentence, {"distance_known": sentence})
    km = number(
        request.distance_km, "distance_km", worded("The distance since it was fitted"), 0, 100000, "km"
    )
    others = Reading.objects.filter(event__corrected_by__isnull=True, part=part, distance_km__isnull=False)
    if corrects is not None:
        others = others.exclude(pk=corrects.pk)
    before = others.filter(day__lte=day).order_by("-distance_km").first()
    after = others.filter(day__gt=day).order_by("distance_km").first()
    if before is not None and before.distance_km is not None and km < before.distance_km:
        sentence = worded(
            "{km} km is less than the {distance_km} km this {part} had on {day:%d %b %Y}. "
            "Correct it, or fit a new part.",
            km=figure_text(km, 0),
            distance_km=figure_text(before.distance_km, 0),
            part=part,
            day=before.day,
        )
        raise InputRefused(sentence, {"distance_km": sentence})
    if after is not None and after.distance_km is not None and km > after.distance_km:
        sentence = worded(
            "{km} km is more than the {distance_km} km this {part} had on {day:%d %b %Y}. Correct it.",
            km=figure_text(km, 0),
            distance_km=figure_text(after.distance_km, 0),
            part=part,
            day=after.day,
        )
        raise InputRefused(sentence, {"distance_km": sentence})
    return km, SAID[request.distance_known], request.distance_known


def known_distance(part: Part, day: date) -> tuple[float | None, str]:
    """Return how far a part went since it was fitted, and how that is known; (None, 'unknown') where nobody has said it."""
    km, _, known = distance_at(part, day)
    return km, known


@prepared
def _instruments(instrument: int) -> QuerySet[Instrument]:
    return Instrument.objects.filter(pk=instrument)


def _instrument(instrument: int | None) -> Instrument | None:
    if instrument is None:
        return None
    found = _instruments.first(instrument)
    if found is None:
        raise InputRefused(
            worded(
                "There is no gauge {instrument} on the board: choose one that hangs there.",
                instrument=instrument,
            )
        )
    if not found.in_use:
        raise InputRefused(
            worded("{name} is off the board (failed its check). Use another.", name=found.name)
        )
    return found
