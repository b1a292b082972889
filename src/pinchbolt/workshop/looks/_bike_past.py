"""What the records say of a bike before anybody looks: how far and how long since it was here, and what its own readings foretell."""

from datetime import date, datetime
from math import log

from django.db.models import QuerySet

from pinchbolt.engines.build import Build, limits_on
from pinchbolt.engines.look import UsePast
from pinchbolt.records.models import Event, Job, Part, Reading
from pinchbolt.records.prepared import prepared
from pinchbolt.values.about import about, unit_words
from pinchbolt.values.ahead import day_words
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_sheet import sheet_of_bike
from pinchbolt.workshop.bikes.fittings import first_fitting, fittings_of, look_up_fittings
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.looks._look_sheet import Forecasts
from pinchbolt.workshop.rides.exposure import week_of
from pinchbolt.workshop.rides.part_distance import distance_at
from pinchbolt.workshop.wear.part_wear import forecast_of, look_up_pasts, marked_limit, wear_law

USUAL_DAYS, USUAL_WEEKS = 365, 52
MOST_LOG = 1.5
"""A bike is taken as used at most so much more or less than usual: a log of 4.5 times."""
WET_MONTHS = frozenset({10, 11, 12, 1, 2, 3})
"""Months in which roads are wet, north of the equator; common practice, no source."""
FORECASTS = 8
"""Forecasts that one walk-round asks for at most: those of parts that were read before, then of those whose first day is known."""


def past_of(job: Job, now: datetime) -> UsePast:
    """Return how the bike was used since it last left; nothing where it was never here."""
    wet = now.month in WET_MONTHS
    left = _left.first(job.bike_id, job.pk)
    if left is None:
        return UsePast(wet=wet)
    today = local_day(now)
    days = max((today - local_day(left)).days, 1)
    week = week_of(job.bike, today).median_km
    km = week * days / 7
    kind = tables().bike_kinds.get(job.bike.kind)
    usual = (kind.km_a_week if kind else week) * USUAL_WEEKS
    held = [
        max(-MOST_LOG, min(MOST_LOG, log(max(share, 1e-3))))
        for share in (km / max(usual, 1), days / USUAL_DAYS)
    ]
    return UsePast(
        held[0],
        held[1],
        wet,
        said=worded("about {rounded} km since it was here", rounded=figure_text(_rounded(km))),
    )


@prepared
def _left(bike: int, job: int) -> QuerySet[Event, datetime]:
    rows = Event.objects.filter(bike=bike, kind="handed over", job__lt=job, corrected_by__isnull=True)
    return rows.order_by("-at").values_list("at", flat=True)[:1]


@prepared
def _read_before(
    parts: tuple[int, ...], limits: tuple[str, ...], job: int
) -> QuerySet[Reading, tuple[int, str]]:
    rows = Reading.objects.filter(part__in=parts, limit__in=limits, event__corrected_by__isnull=True)
    return rows.exclude(job=job).values_list("part_id", "limit").order_by()


def _rounded(km: float) -> int:
    step = 10 if km < 200 else 100
    return round(km / step) * step


def forecasts_of(job: Job, build: Build, now: datetime) -> Forecasts:
    """Return the chance of being past its limit now, by limit and end, for parts that were read at an earlier stay or fitted on a
    day that is known: a new chain takes itself out, one that went far stands out.
    """
    wanted = {name for row in tables().look_faults.values() for name in row.forecast}
    read = set(_read_before(tuple(part.id for part in build.parts), tuple(sorted(wanted)), job.pk))
    sheet, today = sheet_of_bike(job.bike), local_day(now)
    look_up_fittings(sheet.parts.values())
    asked = [
        (on, one.row)
        for on in build.parts
        for one in limits_on(build, on)
        if one.row.id in wanted
        and ((on.id, one.row.id) in read or (not one.deeper and _first_day_known(sheet.parts[on.id])))
    ]
    asked.sort(key=lambda one: (one[0].id, one[1].id) not in read)
    look_up_pasts({on.id: sheet.parts[on.id] for on, _ in asked[:FORECASTS]}.values(), job.bike)
    found: dict[tuple[str, str], tuple[float, str]] = {}
    for on, row in asked[:FORECASTS]:
        part = sheet.parts[on.id]
        law = wear_law(row, job.bike, marked_limit(job.bike, part, row))
        if law is not None:
            forecast = forecast_of(part, row, law, job.bike, today)
            told = worded(
                "past {limit:g} {unit}{went}",
                limit=law.limit,
                unit=unit_words(law.unit),
                went=_went(part, today),
            )
            found[row.id, on.side] = (forecast.chance_past_limit, told)
    return found


def _went(part: Part, today: date) -> str:
    """How far it went, or where nobody knows that since when it is on."""
    km, _, _ = distance_at(part, today)
    if km is not None:
        return worded(", about {km} km since it was fitted", km=about(km))
    first = first_fitting(part)
    return (
        worded(", on since {start}", start=day_words(first.start))
        if first is not None and first.start_known
        else ""
    )


def _first_day_known(part: Part) -> bool:
    return any(one.start_known for one in fittings_of(part))
