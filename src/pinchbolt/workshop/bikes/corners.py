"""The corners of a bike as its build sheet shows them, so that hands can say of each, or of the whole bike: as shown."""

from dataclasses import dataclass

from pinchbolt.engines.build import Build, FactValue, PartOn, unseen_corners
from pinchbolt.records.models import Bike, Job
from pinchbolt.reference.rows.condition import word_of
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.part_questions import QuestionOfPart, question_about
from pinchbolt.workshop.common.table_words import value_in_words
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class FactSnapshot:
    """A fact in words, how it is known, what the owner says beside it, and whether hands found it out."""

    name: str
    value: str
    source: str
    told: str
    confirmed: bool


@dataclass(frozen=True, slots=True)
class PartSnapshot:
    """A part that is said to be there, with its facts."""

    part: int
    words: str
    confirmed: bool
    facts: tuple[FactSnapshot, ...]


@dataclass(frozen=True, slots=True)
class CornerSnapshot:
    """A corner with its parts, and whether somebody has said that it is so."""

    id: str
    words: str
    confirmed: bool
    parts: tuple[PartSnapshot, ...]


@dataclass(frozen=True, slots=True)
class Answered:
    """A fact that was answered just now, so that a wrong tap is put right on the spot."""

    part: int
    part_words: str
    question: QuestionOfPart
    value: str


def corners_of(bike: Bike) -> tuple[CornerSnapshot, ...]:
    """Return all corners of a bike in the order of its drawing, those too where nothing is said to be."""
    build = build_of(bike)
    return tuple(
        CornerSnapshot(
            corner.id,
            corner.words,
            corner.id in build.confirmed,
            tuple(_shown(part) for part in build.parts if build.spot_of(part) == corner.id),
        )
        for corner in tables().corners.values()
    )


def corner_at(bike: Bike, place: str) -> CornerSnapshot | None:
    """Return the corner to which a place of the walk-round belongs."""
    spot = tables().walk_round[place].spot if place in tables().walk_round else ""
    return next((corner for corner in corners_of(bike) if corner.id == spot), None)


def corners_to_confirm(bike: Bike) -> tuple[CornerSnapshot, ...]:
    """Return the corners without which a bike can't be signed off, since nobody has looked there yet."""
    build: Build = build_of(bike)
    waiting = set(unseen_corners(build))
    return tuple(corner for corner in corners_of(bike) if corner.id in waiting)


def answered(job: Job, part: int, fact: str) -> Answered | None:
    """Return a fact that is known of a part of a job's bike, with its question; None where there is no such one."""
    on = build_of(job.bike).part(part)
    row = tables().facts.get(fact)
    known = on.facts.get(fact) if on is not None else None
    if on is None or row is None or known is None:
        return None
    return Answered(part, on.words, question_about(row, on.side), word_of(known.value))


def _shown(part: PartOn) -> PartSnapshot:
    settled = part.kind.always or {}
    facts = tuple(_fact(name, known) for name, known in part.facts.items() if name not in settled)
    return PartSnapshot(part.id, part.words, part.confirmed, facts)


def _fact(name: str, known: FactValue) -> FactSnapshot:
    row = tables().facts.get(name)
    value = value_in_words(name, known.value)
    if row is not None and row.unit:
        value = f"{value} {row.unit}"
    told = value_in_words(name, known.told) if known.told is not None else ""
    return FactSnapshot(row.name if row is not None else name, value, known.source, told, known.confirmed)
