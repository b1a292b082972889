"""Does work put a finding right? Only work that the finding asks for does; a look, or other work, mends nothing."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django.db.models import QuerySet

from pinchbolt.engines.build import end_of
from pinchbolt.records.models import Bike, Event, Finding, Line
from pinchbolt.records.prepared import prepared
from pinchbolt.values import Verdict
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.opened_joints import place_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays._renewed import is_left

_Done = tuple[int, Mapping[str, object]]


@dataclass(frozen=True, slots=True)
class Found:
    """A finding without what was said of it: its stay, the part and where that is (None: of the whole bike), limit, verdict, kind of part."""

    id: int
    job: int
    part: int | None
    place: str | None
    limit: str
    verdict: str
    kind: str = ""


def about(part: int | None, limit: str, finding: int) -> tuple[object, str]:
    """Return what a finding is about: a part's limit, of which the newest counts, or what an eye found, each for itself."""
    return (part, limit) if limit else (f"eye {finding}", "")


def puts_right(operation: str, limit: str) -> bool:
    """Return whether an operation answers a reading of this limit: only work of the limit's own rows, and no mere look.

    A cracked crank is not mended by a torque wrench: where the work is another, the finding stands until it is read
    again or the part is gone.
    """
    return operation in tables().mended_by.get(limit, ())


@once_a_look
def findings_mended(bike: Bike) -> frozenset[int]:
    """Return the ids of the findings of a bike that a done line put right, at whatever stay.

    A line answers the finding that it was proposed for, and every other one before it that asks for the same work at the
    same place: a brake is bled once, whatever two readings said of its lever.
    """
    return _mended((bike.pk,))[bike.pk]


def look_up_mended(bikes: Collection[Bike]) -> None:
    """Look up together what was put right on bikes: three questions for all of them."""
    found = _mended(tuple(sorted(bike.pk for bike in bikes)))
    findings_mended.many({(bike,): found[bike.pk] for bike in bikes})


def _mended(bikes: tuple[int, ...]) -> Mapping[int, frozenset[int]]:
    """By bike the findings that a line done on it put right."""
    done: dict[int, dict[int, _Done]] = {bike: {} for bike in bikes}
    for bike, event, said in _lines_done(bikes):
        done[bike][int(str(said["line"]))] = event, said
    numbers = tuple(line for here in done.values() for line in here)
    lines = {line.pk: line for line in _lines(numbers)} if numbers else {}
    return {bike: _put_right(found_on(bikes), bike, here, lines) for bike, here in done.items()}


def _put_right(
    found: Mapping[int, Collection[Found]], bike: int, done: Mapping[int, _Done], lines: Mapping[int, Line]
) -> frozenset[int]:
    """The findings of one bike that a line of it put right; *done* are its lines with the acts by which they were done."""
    here = [(lines[number], at, said) for number, (at, said) in done.items() if number in lines]
    return frozenset(
        one.id
        for one in (found.get(bike, ()) if here else ())
        if one.verdict != Verdict.SOUND
        and any(
            one.id < at and _answers(line, one) and not is_left(one.part, one.kind, one.limit, line, said)
            for line, at, said in here
        )
    )


@once_a_look
def found_on(bikes: tuple[int, ...]) -> Mapping[int, list[Found]]:
    """Return what was found on bikes at whatever stay and was not corrected, oldest first, without what was said of it."""
    rows: dict[int, list[Found]] = {}
    for bike, number, job, part, place, limit, verdict, kind in _found(bikes):
        rows.setdefault(bike, []).append(Found(number, job, part, place, limit, verdict, kind or ""))
    return rows


@prepared
def _found(
    bikes: tuple[int, ...],
) -> QuerySet[Finding, tuple[int, int, int, int | None, str | None, str, str, str | None]]:
    rows = Finding.objects.filter(job__bike__in=bikes, event__corrected_by__isnull=True)
    rows = rows.order_by("job__bike_id", "pk")
    return rows.values_list(
        "job__bike_id", "pk", "job_id", "part_id", "part__place", "limit", "verdict", "part__kind"
    )


@prepared
def _lines(lines: tuple[int, ...]) -> QuerySet[Line]:
    rows = Line.objects.filter(pk__in=lines).select_related("finding__part")
    # What was forecast and why is read by nobody here, and is most of a row.
    unread = ("words", "forecast", "reasons", "doubts")
    return rows.defer("waiting_reasons", "fit", *(f"finding__{name}" for name in unread))


@prepared
def _lines_done(bikes: tuple[int, ...]) -> QuerySet[Event, tuple[int, int, dict[str, object]]]:
    rows = Event.objects.filter(bike__in=bikes, kind="line done", corrected_by__isnull=True)
    # Bike by bike: in the order of acts, all lines that were ever done would be gone through.
    return rows.order_by("bike_id", "pk").values_list("bike_id", "pk", "said")


def answers(line: Line, finding: Finding) -> bool:
    """Return whether a line's work, once done, puts a finding right: its own, or another of the same work and place."""
    place = place_of(finding)
    return _answers(
        line, Found(finding.pk, finding.job_id, finding.part_id, place, finding.limit, finding.verdict)
    )


def _answers(line: Line, found: Found) -> bool:
    if not found.limit:
        # What was found by eye is answered by the line that was written for it, whatever its work is.
        return bool(line.finding_id == found.id)
    if not puts_right(line.operation, found.limit):
        return False
    if line.finding_id == found.id:
        return True
    operation = tables().operations.get(line.operation)
    if operation is None or not operation.at_place:
        return operation is not None
    at = end_of(place_of(line.finding))
    return bool(at) and at == end_of(found.place or "")
