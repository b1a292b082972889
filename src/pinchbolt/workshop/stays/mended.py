"""Does work put a finding right? Only work that the finding asks for does; a look, or other work, mends nothing."""

from collections.abc import Collection

from django.db.models import QuerySet, Value
from django.db.models.functions import Concat

from pinchbolt.engines.build import end_of
from pinchbolt.records.models import Bike, Event, Finding, Line
from pinchbolt.records.prepared import prepared
from pinchbolt.values import Verdict
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.opened_joints import place_of
from pinchbolt.workshop.common.trade_tables import tables


def puts_right(operation: str, limit: str) -> bool:
    """Return whether an operation answers a reading of this limit: only work of the limit's own rows, and no mere look.

    A cracked crank is not mended by a torque wrench: where the work is another, the finding stands until it is read
    again or the part is gone.
    """
    return any(
        row.operation == operation and row.mends for row in tables().proposals.values() if limit in row.limits
    )


@once_a_look
def findings_mended(bike: Bike) -> frozenset[int]:
    """Return the ids of the findings of a bike that a done line put right, at whatever stay.

    A line answers the finding that it was proposed for, and every other one before it that asks for the same work at the
    same place: a brake is bled once, whatever two readings said of its lever.
    """
    done = {int(event.said["line"]): event.pk for event in _lines_done((bike.pk,))}
    lines = _lines(tuple(done))
    if not lines:
        return frozenset()
    return frozenset(
        finding.pk
        for finding in _not_sound(bike.pk)
        if any(finding.pk < done[line.pk] and answers(line, finding) for line in lines)
    )


@prepared
def _lines(lines: tuple[int, ...]) -> QuerySet[Line]:
    return Line.objects.filter(pk__in=lines).select_related("finding__part")


@prepared
def _not_sound(bike: int) -> QuerySet[Finding]:
    rows = Finding.objects.filter(job__bike=bike, event__corrected_by__isnull=True)
    return rows.exclude(verdict=Verdict.SOUND).select_related("part")


def look_up_mended(bikes: Collection[Bike]) -> None:
    """Look up together on which bikes no line was ever done: most of those that are here have nothing put right yet."""
    worked_on = {event.bike_id for event in _lines_done(tuple(bike.pk for bike in bikes))}
    findings_mended.many({(bike,): frozenset() for bike in bikes if bike.pk not in worked_on})


@prepared
def _lines_done(bikes: tuple[int, ...]) -> QuerySet[Event]:
    # Found by their bikes: of all lines ever done, which the index of kinds would lead through, these are a handful.
    of_bikes = Event.objects.filter(bike__in=bikes, corrected_by__isnull=True)
    return of_bikes.alias(word=Concat("kind", Value(""))).filter(word="line done")


def answers(line: Line, finding: Finding) -> bool:
    """Return whether a line's work, once done, puts a finding right: its own, or another of the same work and place."""
    if not finding.limit:
        # What was found by eye is answered by the line that was written for it, whatever its work is.
        return bool(line.finding_id == finding.pk)
    if not puts_right(line.operation, finding.limit):
        return False
    if line.finding_id == finding.pk:
        return True
    operation = tables().operations.get(line.operation)
    if operation is None or not operation.at_place:
        return operation is not None
    at = end_of(place_of(line.finding))
    return bool(at) and at == end_of(place_of(finding))
