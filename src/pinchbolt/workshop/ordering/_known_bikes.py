"""What known bikes will ask for: the chance that each comes, times the chance that its part is past its limit by then."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Min

from pinchbolt.records.models import BinPart, Job
from pinchbolt.workshop.acts.state import jobs_here
from pinchbolt.workshop.bikes.build_sheet import facts_of_part
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.wear.kept_ahead import LOOKED_BACK, parts_ahead

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
    here = set(jobs_here().values_list("bike", flat=True))
    seen = Job.objects.filter(opened_at__gte=now - LOOKED_BACK).values_list("bike").order_by()
    visits = {
        bike: (count, (now - first).days)
        for bike, count, first in seen.annotate(count=Count("pk"), first=Min("opened_at"))
        if bike not in here
    }
    found: dict[int, BikePart] = {}
    for one in parts_ahead(visits, now, local_day(now), [days]):
        chance = one.chances[0] * chance_of_coming(*visits[one.bike], days)
        before = found.get(one.part.pk)
        # A part with two limits is asked for once, by the one that comes first.
        if chance >= _LEAST and (before is None or before.chance < chance):
            facts = {name: known.value for name, known in facts_of_part(one.part).items()}
            found[one.part.pk] = BikePart(one.tag, one.part.kind, one.part.place, facts, chance)
    return tuple(found.values())


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
