"""What known bikes will ask for: the chance that each comes, times the chance that its part is past its limit by then."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Max, Min

from pinchbolt.engines.wear import chance_by
from pinchbolt.records.models import BinPart, Finding, Fitting, Job
from pinchbolt.values import Json
from pinchbolt.workshop.acts.state import jobs_here
from pinchbolt.workshop.bikes.build_sheet import facts_of_part
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.wear.kept_forecast import kept_forecast

# Visits are counted over so long; whoever was not here since rides elsewhere. Common practice, no source.
LOOKED_BACK = timedelta(days=730)
# Before a bike's own visits were counted: two a year, held as loosely as one visit. Common practice, no source.
_VISITS, _DAYS = 1.0, 180.0
# Less likely ones are of no bin's concern.
_LEAST = 0.002


@dataclass(frozen=True, slots=True)
class BikePart:
    """A part on a known bike: kind, end, what is known of it, and the chance that it is asked for in the days ahead."""

    tag: str
    kind: str
    place: str
    facts: Mapping[str, object]
    chance: float


def chance_of_coming(visits: int, days_known: float, days: float) -> float:
    """Return the chance that a bike comes within so many days, by its own visits (gamma-Poisson).

    P(one or more) = 1 - ((b + known) / (b + known + days)) ^ (a + visits).
    """
    known = _DAYS + days_known
    return float(1.0 - (known / (known + days)) ** (_VISITS + visits))


def parts_of_known_bikes(now: datetime, days: float) -> tuple[BikePart, ...]:
    """Return the parts that known bikes may ask for within so many days; those that are here are not among them.

    What a bike that is here needs stands in its lines.
    """
    today, since = local_day(now), now - LOOKED_BACK
    here = set(jobs_here().values_list("bike", flat=True))
    visits = {
        bike: (count, (now - first).days)
        for bike, count, first, _ in Job.objects.filter(opened_at__gte=since)
        .values_list("bike")
        .annotate(count=Count("pk"), first=Min("opened_at"), last=Max("opened_at"))
        if bike not in here
    }
    found = []
    for row in _newest_forecasts(since, visits):
        count, known = visits[row["job__bike"]]
        chance = _past(row["forecast"], today, days) * chance_of_coming(count, known, days)
        if chance >= _LEAST:
            found.append((row, chance))
    return tuple(_with_facts(found))


def _newest_forecasts(since: datetime, bikes: Collection[int]) -> Iterable[Json]:
    """The newest finding with a forecast of each part that is still on its bike."""
    rows = (
        Finding.objects.filter(
            event__corrected_by__isnull=True, event__at__gte=since, forecast__isnull=False, part__isnull=False
        )
        .order_by("pk")
        .values("part", "job__bike", "job__bike__tag", "part__kind", "part__place", "forecast")
    )
    newest = {row["part"]: row for row in rows.iterator() if row["job__bike"] in bikes}
    on = set(Fitting.objects.filter(part__in=newest, end__isnull=True).values_list("part", flat=True))
    return [row for part, row in newest.items() if part in on]


def _past(told: Json, today: date, days: float) -> float:
    """The chance of being past the limit by then, by the forecast as it was kept; 0 where its shape is not read any more."""
    early = (told.get("day_at_limit") or {}).get("wide", [None])[0]
    if early is not None and date.fromisoformat(early) > today + timedelta(days=4 * days + 120):
        return 0.0
    try:
        forecast = kept_forecast(told)
    except ValueError:
        return 0.0
    if forecast is None:
        return 0.0
    return chance_by(forecast, [max(0, (today - forecast.day).days) + days])[0]


def _with_facts(found: Iterable[tuple[Json, float]]) -> Iterable[BikePart]:
    from pinchbolt.records.models import Part  # noqa: PLC0415 - read together, below

    told = list(found)
    parts = Part.objects.in_bulk([row["part"] for row, _ in told])
    for row, chance in told:
        facts = {name: known.value for name, known in facts_of_part(parts[row["part"]]).items()}
        yield BikePart(row["job__bike__tag"], row["part__kind"], row["part__place"], facts, chance)


def bins_by_kind(kinds: Collection[str]) -> Mapping[str, tuple[BinPart, ...]]:
    """Return the rows of the bins of some kinds."""
    found: dict[str, tuple[BinPart, ...]] = {}
    for row in BinPart.objects.filter(kind__in=kinds, used_part__isnull=True, meets="").order_by("number"):
        found[row.kind] = (*found.get(row.kind, ()), row)
    return found


def which_row(one: BikePart, rows: Iterable[BinPart]) -> BinPart | None:
    """Return the row of the bins that is like the part on the bike: no fact of both differs, and one at least is the same.

    Where several are, nobody can tell which: None.
    """
    like = []
    for row in rows:
        if row.place and one.place and row.place != one.place:
            continue
        both = [name for name in row.facts if one.facts.get(name) is not None]
        if both and all(str(row.facts[name]) == str(one.facts[name]) for name in both):
            like.append((len(both), row))
    most = max((count for count, _ in like), default=0)
    best = [row for count, row in like if count == most]
    return best[0] if len(best) == 1 else None
