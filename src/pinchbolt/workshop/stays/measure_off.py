"""A chain that came off, measured on the bench: its length over 24 pitches tells its life from what the gauge showed."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from pinchbolt.engines.wear import elongation_percent
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Fitting, Job, Part, Reading
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values.units import mm_per_24_pitches
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, part_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.build_sheet import build_of, sprockets_behind
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.measured import measured
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.rides.part_distance import distance_at
from pinchbolt.workshop.wear.part_wear import MEASURED_OFF

PLACE = worded("off the bike, over 24 pitches")
LENGTH_ROW = "chain-length-12-pitch-pairs"


@dataclass(frozen=True, slots=True)
class MeasureOffRequest:
    """A chain that came off at this stay, and what the rule or caliper showed: `mm` over 24 pitches, or `said` with its unit."""

    job: int
    part: int
    mm: float | None = None
    said: str = ""


@dataclass(frozen=True, slots=True)
class CameOffView:
    """A chain that came off at this stay; what it measured on the bench, and in words what that says (None, "": not measured)."""

    part: int
    name: str
    closed_how: str
    measured_mm: float | None
    measured_percent: float | None
    words: str


def chains_off(job: Job) -> tuple[CameOffView, ...]:
    """Return the chains that came off the bike at this stay, each with what it measured on the bench."""
    rows = list(
        Fitting.objects.filter(bike=job.bike, part__kind__in=_kinds(), end__gte=_since(job))
        .exclude(gone_to="never there")
        .select_related("part")
        .order_by("end", "pk")
    )
    if not rows:
        return ()
    read = Reading.objects.filter(
        part__in=[row.part_id for row in rows], event__kind=MEASURED_OFF, event__corrected_by__isnull=True
    )
    shown = {one.part_id: one for one in read}
    parts = {row.part_id: row.part for row in rows}
    return tuple(_view(part, shown.get(number)) for number, part in parts.items())


def measure_off(request: MeasureOffRequest, *, by: int, key: str, now: datetime) -> CameOffView:
    """Write down what a chain that came off measured; a further value corrects the earlier one.

    It is no finding: the chain is off. It teaches how long chains last here and what the gauges show.

    Raises:
        InputRefused: No value, or none that a chain can show.
        NotPossibleNow: The chain did not come off at this stay, or there is no limit to hold it against.
    """
    with act(MEASURED_OFF, by=by, key=key, now=now, request=request) as this:
        part = part_by_id(request.part)
        if this.repeated:
            return _view(part, Reading.objects.get(event=this.done_before))
        job = job_by_id(request.job)
        still_open(job)
        if part.pk not in {one.part for one in chains_off(job)}:
            raise NotPossibleNow(
                worded(
                    "This {part} did not come off {tag} at this stay: finish its line or change the "
                    "build sheet first.",
                    part=part,
                    tag=job.bike.tag,
                )
            )
        limit = _limit_of(part, job)
        percent = _percent(request)
        old = Reading.objects.filter(
            part=part, event__kind=MEASURED_OFF, event__corrected_by__isnull=True
        ).first()
        day = local_day(now)
        km, share, known = distance_at(part, day)
        this.said = {**as_json(request), "words": str(part), "percent": percent}
        reading = Reading.objects.create(
            event=this.write(job=job, corrects=old.event if old else None),
            job=job,
            part=part,
            limit=limit.id,
            place=PLACE,
            low=percent,
            high=percent,
            unit=limit.unit,
            distance_km=km,
            distance_share=share,
            distance_known=known,
            day=day,
        )
        return _view(part, reading)


def _kinds() -> set[str]:
    """Kinds of which it is read how much longer they have become."""
    return {kind for row in tables().limits.values() if row.is_elongation for kind in row.on}


def _since(job: Job) -> date:
    return local_day(job.opened_at)


def _percent(request: MeasureOffRequest) -> float:
    said = request.said or request.mm
    if said is None:
        sentence = worded(
            "What the chain measured is missing: hang it, and type the length over 24 pitches in mm."
        )
        raise InputRefused(sentence, {"mm": sentence})
    length = measured(said, tables().limits[LENGTH_ROW], "mm", worded("The chain over 24 pitches"))
    return elongation_percent(length, 24)


def _limit_of(part: Part, job: Job) -> LimitRow:
    """The row of elongation on which the chain was read, else the one for as many sprockets as the bike has behind."""
    rows = {row.id: row for row in tables().limits.values() if row.is_elongation and part.kind in row.on}
    last = Reading.objects.filter(part=part, limit__in=rows).order_by("-day", "-pk").first()
    if last is not None:
        return rows[last.limit]
    speeds = sprockets_behind(build_of(job.bike))
    found = next((row for row in rows.values() if speeds in row.speeds), None)
    if found is None:
        raise NotPossibleNow(
            worded(
                "How many sprockets {tag} has behind is not on record, so there is no limit for this "
                "chain: say it on the build sheet first.",
                tag=job.bike.tag,
            )
        )
    return found


def _view(part: Part, reading: Reading | None) -> CameOffView:
    empty = CameOffView(part.pk, str(part), "", None, None, "")
    if reading is None or reading.low is None:
        return empty
    limit = tables().limits[reading.limit]
    shown = reading.low
    mm = round(mm_per_24_pitches * (1 + shown / 100), 2)
    past = isinstance(limit.limit, float | int) and shown >= limit.limit
    tells = worded("past its limit") if past else worded("below its limit")
    return replace(
        empty,
        closed_how="bench",
        measured_mm=mm,
        measured_percent=round(shown, 3),
        words=worded(
            "Measured off: {mm:.1f} mm over 24 pitches is {shown:.2f} %, {tells} of {limit} %.",
            mm=mm,
            shown=shown,
            tells=tells,
            limit=limit.limit,
        ),
    )
