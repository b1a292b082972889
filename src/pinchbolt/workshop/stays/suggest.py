"""What findings ask for: lines that one tap puts on the estimate, and what is refused or said without a line."""

from dataclasses import dataclass
from datetime import date, timedelta

from pinchbolt.engines.build import Build, PartOn, all_hold
from pinchbolt.records.models import Job
from pinchbolt.reference.rows.proposals import Proposal
from pinchbolt.reference.rows.work import Operation
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.stays.line_parts import LinePart, priced_parts
from pinchbolt.workshop.stays.next_visit import visit_of
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of
from pinchbolt.workshop.stays.standing import open_lines

READ_AGAIN = worded(
    "Nothing is done for it today: it stands on the bike's page and is read again at the next visit."
)

NOT_OFFERED = worded('This workshop does not offer "{}": tell the owner who does it.')


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What a finding asks for: one tap makes it a line."""

    finding: int
    operation: str
    name: str
    why: str
    parts: tuple[LinePart, ...]


@dataclass(frozen=True, slots=True)
class Advice:
    """What a finding asks for that is no line: a refusal with what is done instead (`refused`, `instead`), or words."""

    finding: int
    refusal: str
    refused: str
    instead: str
    why: str


def suggestions(job: Job) -> tuple[Suggestion, ...]:
    """Return what the findings of a job ask for and is not on the estimate yet, worst first."""
    taken = {key for line in open_lines(job) for key in _done_by(line.operation, place_of_line(line))}
    build, visit = build_of(job.bike), visit_of(job.bike)
    found: list[Suggestion] = []
    for seen in findings_of(job):
        if not seen.limit:
            continue
        on = build.part(seen.part) if seen.part is not None else None
        for row in _asked_by(seen, build, on, visit):
            if not row.operation:
                continue
            operation = tables().operations[row.operation]
            key = (operation.id, place_at(operation, on))
            if key in taken or not operation.offered:
                continue
            parts = priced_parts(row.parts or operation.parts, build, on)
            found.append(Suggestion(seen.id, operation.id, operation.name, row.words, parts))
            taken.add(key)
    return tuple(found)


def advice(job: Job) -> tuple[Advice, ...]:
    """Return what is refused on the findings of a job, and what is said of them without a line; worst finding first."""
    build, visit = build_of(job.bike), visit_of(job.bike)
    found: list[Advice] = []
    for seen in findings_of(job):
        on = build.part(seen.part) if seen.part is not None else None
        rows = _asked_by(seen, build, on, visit) if seen.limit else []
        if seen.limit and not rows and seen.rank > Verdict.SOUND.rank:
            found.append(Advice(seen.id, "", "", "", READ_AGAIN))
        for row in rows:
            refused = tables().refusals.get(row.refusal)
            work = tables().operations.get(row.operation)
            if refused is not None:
                found.append(Advice(seen.id, refused.id, refused.words, refused.do, row.words))
            elif work is not None and not work.offered:
                found.append(Advice(seen.id, "", "", "", f"{row.words} {NOT_OFFERED.format(work.name)}"))
            elif not row.operation:
                found.append(Advice(seen.id, "", "", "", row.words))
    return tuple(found)


def _asked_by(seen: FindingView, build: Build, on: PartOn | None, visit: date | None) -> list[Proposal]:
    """The rows that speak of a finding: by its limit and verdict, what the bike is, and how far the reading went."""
    rows = proposals_for(build, on, seen.limit, seen.rank)
    kept = seen.forecast.reading if seen.forecast is not None else None
    shown = kept.low if kept is not None else None
    return [
        row
        for row in rows
        if (row.past is None or (shown is not None and shown >= row.past)) and _is_due(row, seen, visit)
    ]


def _is_due(row: Proposal, seen: FindingView, visit: date | None) -> bool:
    """Whether a finding is late enough for a row: what is only watched is due where its limit comes before the next visit.

    That is the day that was agreed, where it lies ahead, else so many days as the row says.
    """
    if row.within_days is None or seen.rank >= Verdict.NEXT_VISIT.rank:
        return True
    day = seen.forecast.day_at_limit.median if seen.forecast is not None else None
    usual = seen.day + timedelta(days=row.within_days)
    return day is not None and day <= (visit if visit is not None and visit > seen.day else usual)


def place_at(operation: Operation, on: PartOn | None) -> str:
    """Return the end at which an operation would be done for this part; "" where it is done once on a bike."""
    return on.end if on is not None and operation.at_place else ""


def _done_by(operation: str, place: str) -> tuple[tuple[str, str], ...]:
    """What a line makes needless: the same work at its place, at both ends where nobody said which."""
    row = tables().operations.get(operation)
    if row is None or not row.at_place:
        return ((operation, ""),)
    return tuple((operation, end) for end in ((place,) if place else ("", "front", "rear")))


def proposals_for(build: Build, on: PartOn | None, limit: str, rank: int) -> list[Proposal]:
    """Return what a reading of this limit with a verdict of this rank asks for on this bike; where nobody knows, all."""
    return [
        row
        for row in tables().proposals.values()
        if limit in row.limits
        and rank >= Verdict(row.from_verdict).rank
        and all_hold(build, row.when, on).answer is not False
    ]
