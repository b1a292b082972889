"""Does work put a finding right? Only work that the finding asks for does; a look, or other work, mends nothing."""

from collections.abc import Collection, Mapping

from django.db.models import QuerySet

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
    return _mended((bike.pk,))[bike.pk]


def look_up_mended(bikes: Collection[Bike]) -> None:
    """Look up together what was put right on bikes: three questions for all of them."""
    found = _mended(tuple(bike.pk for bike in bikes))
    findings_mended.many({(bike,): found[bike.pk] for bike in bikes})


def _mended(bikes: tuple[int, ...]) -> Mapping[int, frozenset[int]]:
    """By bike the findings that a line done on it put right."""
    done: dict[int, dict[int, int]] = {bike: {} for bike in bikes}
    for event in _lines_done(bikes):
        if event.bike_id is not None:
            done[event.bike_id][int(event.said["line"])] = event.pk
    worked_on = tuple(bike for bike in bikes if done[bike])
    found: dict[int, set[int]] = {bike: set() for bike in bikes}
    if worked_on:
        lines = {line.pk: line for line in _lines(tuple(line for bike in worked_on for line in done[bike]))}
        for finding in _not_sound(worked_on):
            bike = finding.job.bike_id
            before = (lines[line] for line, at in done[bike].items() if finding.pk < at and line in lines)
            if any(answers(line, finding) for line in before):
                found[bike].add(finding.pk)
    return {bike: frozenset(those) for bike, those in found.items()}


# What was forecast and why is read by nobody here, and is most of a finding.
_UNREAD = ("words", "forecast", "reasons", "doubts")


@prepared
def _lines(lines: tuple[int, ...]) -> QuerySet[Line]:
    rows = Line.objects.filter(pk__in=lines).select_related("finding__part")
    return rows.defer("waiting_reasons", "fit", *(f"finding__{name}" for name in _UNREAD))


@prepared
def _not_sound(bikes: tuple[int, ...]) -> QuerySet[Finding]:
    rows = Finding.objects.filter(job__bike__in=bikes, event__corrected_by__isnull=True)
    return rows.exclude(verdict=Verdict.SOUND).select_related("part", "job").defer(*_UNREAD)


@prepared
def _lines_done(bikes: tuple[int, ...]) -> QuerySet[Event]:
    return Event.objects.filter(bike__in=bikes, kind="line done", corrected_by__isnull=True)


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
