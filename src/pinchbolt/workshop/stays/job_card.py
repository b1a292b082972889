"""The job card: what was agreed with its steps, what to pull from the board and the bins, and the menu of work."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.build import Build
from pinchbolt.records.models import Event, Job, Line
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.joint_names import joint_end, joint_id, joint_names
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.common.what_was_new import new_parts
from pinchbolt.workshop.stays._operation_here import operation_here
from pinchbolt.workshop.stays._renewed import may_be_new
from pinchbolt.workshop.stays.measure_off import CameOffView, chains_off
from pinchbolt.workshop.stays.price import minutes_of
from pinchbolt.workshop.stays.standing import agreed_lines, open_lines


@dataclass(frozen=True, slots=True)
class CardPart:
    """A part to pull: name and how many."""

    name: str
    count: int


@dataclass(frozen=True, slots=True)
class PartNamed:
    """A part on the bike, by its number and in words."""

    part: int
    words: str


@dataclass(frozen=True, slots=True)
class CardLine:
    """An agreed line with its steps and checks; `done_by` is '' while it is open, `done_at` None.

    `minutes` are the usual ones, without the work that an earlier line of the card has done already. `may_be_new`: the parts
    of which the work may renew some, while it is to do; `new` are those that were, None where nobody was asked.
    """

    line: int
    words: str
    place: str
    count: int
    verdict: str
    minutes: int
    needs: tuple[str, ...]
    steps: tuple[str, ...]
    checks: tuple[str, ...]
    caution: str
    parts: tuple[CardPart, ...]
    done_by: str
    done_at: datetime | None = None
    may_be_new: tuple[PartNamed, ...] = ()
    new: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class JobCard:
    """The work agreed: lines in the order of the estimate, tools and parts to pull for all of them; chains that came `off`."""

    job: int
    lines: tuple[CardLine, ...]
    tools: tuple[str, ...]
    parts: tuple[CardPart, ...]
    off: tuple[CameOffView, ...] = ()


@dataclass(frozen=True, slots=True)
class MenuRow:
    """An operation of the menu; minutes low, usual, high."""

    id: str
    name: str
    minutes: tuple[int, int, int]


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """Work that is refused here, and what is done instead."""

    id: str
    words: str
    do: str


@dataclass(frozen=True, slots=True)
class JointNamed:
    """A joint that can be put on the torque sheet."""

    id: str
    name: str


def job_card(job: Job) -> JobCard:
    """Return the job card of a job."""
    agreed = set(agreed_lines(job))
    rows = [line for line in open_lines(job) if line.pk in agreed]
    done, minutes = _done_by(job), minutes_of(rows)
    build = build_of(job.bike)
    operations = [tables().operations[row.operation] for row in rows if row.operation in tables().operations]
    return JobCard(
        job=job.pk,
        lines=tuple(_card_line(row, minutes[row.pk], done.get(row.pk), build) for row in rows),
        tools=tuple(dict.fromkeys(_tool_name(tool) for operation in operations for tool in operation.tools)),
        parts=_added_up(part for row in rows for part in _parts(row)),
        off=chains_off(job),
    )


def menu() -> tuple[MenuRow, ...]:
    """Return every operation that is offered, in the order of the table."""
    return tuple(
        MenuRow(row.id, row.name, row.minutes) for row in tables().operations.values() if row.offered
    )


def refused_here() -> tuple[RefusedRow, ...]:
    """Return the work that is refused, and what is done instead, in the order of the table."""
    return tuple(RefusedRow(row.id, row.words, row.do) for row in tables().refusals.values())


def joints_to_add(job: Job, on_sheet: Iterable[str]) -> tuple[JointNamed, ...]:
    """Return the joints of this job's bike that are not on its sheet yet."""
    there = set(on_sheet)
    rows = tables().joints
    named = [
        (name, joint_id(name), joint_end(name))
        for name in joint_names(build_of(job.bike))
        if name not in there
    ]
    return tuple(
        JointNamed(name, f"{rows[row].name}, {end}" if end else rows[row].name)
        for name, row, end in named
        if row in rows
    )


def _card_line(row: Line, minutes: int, done: Event | None, build: Build) -> CardLine:
    operation = operation_here(row)
    return CardLine(
        line=row.pk,
        words=row.words,
        verdict=row.verdict,
        place=place_of_line(row),
        count=row.count or 1,
        minutes=minutes,
        needs=operation.needs if operation else (),
        steps=operation.steps if operation else (),
        checks=operation.checks if operation else (),
        caution=operation.caution if operation else "",
        parts=_parts(row),
        done_by=done.by.name if done else "",
        done_at=done.at if done else None,
        may_be_new=() if done else tuple(PartNamed(one.id, one.words) for one in may_be_new(row, build)),
        new=new_parts(done.said) if done else None,
    )


def _parts(row: Line) -> tuple[CardPart, ...]:
    return tuple(CardPart(part["name"], int(part["count"])) for part in row.parts)


def _added_up(parts: Iterable[CardPart]) -> tuple[CardPart, ...]:
    counts: dict[str, int] = {}
    for part in parts:
        counts[part.name] = counts.get(part.name, 0) + part.count
    return tuple(CardPart(name, count) for name, count in counts.items())


def _tool_name(tool: str) -> str:
    """A tool's name; torque tools and gauges stand in tables of their own."""
    row = tables().tools.get(tool) or tables().torque_tools.get(tool) or tables().instruments.get(tool)
    return row.name if row is not None else tool


def _done_by(job: Job) -> dict[int, Event]:
    events = Event.objects.filter(job=job, kind="line done", corrected_by__isnull=True).select_related("by")
    return {int(event.said["line"]): event for event in events}
