"""The readings that this bike has, in the order of the hands, with what was read last."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Generic, TypeVar

from django.db.models import QuerySet

from pinchbolt.engines.build import ELSEWHERE, LimitOn, PartOn, drawn_pieces, limits_on, questions_of
from pinchbolt.records.models import Finding, Instrument, Job, Part, Reading
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.measure import LimitRow, PlaceRow
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look, one_look
from pinchbolt.workshop.bikes.build_sheet import build_of, kind_row, sheet_of_bike
from pinchbolt.workshop.bikes.fittings import look_up_fittings
from pinchbolt.workshop.bikes.part_questions import QuestionOfPart, question_about
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.measured import units_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.common.usual import usual_range
from pinchbolt.workshop.rides.hours_ridden import hours_of
from pinchbolt.workshop.rides.part_distance import look_up_readings
from pinchbolt.workshop.stays.not_seen import NotSeenView, not_seen_of
from pinchbolt.workshop.stays.note_finding import FindingView, finding_view, shown_words
from pinchbolt.workshop.stays.take_reading import known_distance
from pinchbolt.workshop.wear.part_wear import wears_by_distance


@dataclass(frozen=True, slots=True)
class Choice:
    """One big button: what the instrument says, as the interval or word that it stands for."""

    words: str
    low: float | None = None
    high: float | None = None
    word: str = ""


@dataclass(frozen=True, slots=True)
class OtherUnit:
    """A unit that a figure may have been read in by mistake: value in the row's unit = figure x factor + offset."""

    words: str
    factor: float
    offset: float


@dataclass(frozen=True, slots=True)
class RowToRead:
    """What is read on a part, and what became of it in this stay: this job's finding where it was taken.

    `not_seen`: it was said that this could not be seen, or was not looked at, and it was not read since.
    `is_deeper`: read when there is cause, not on every walk-round.
    """

    part: int
    part_words: str
    limit: str
    is_deeper: bool
    taken: FindingView | None
    not_seen: NotSeenView | None


@dataclass(frozen=True, slots=True)
class ReadingDue(RowToRead):
    """One place to read with all that is asked and told there: with which instrument, how, and the last reading.

    `taken_reading` names the reading to correct. `km_known` is how far the part went since it was fitted and `km_source`
    how that is known; `asks_km` where it wears by distance and nobody has said it yet, `asks_km_first` where that is asked
    before the reading. `hours_words` say what ride files or the motor tell where hours of riding are asked.
    `danger`: at or under the first figure, and at or over the second, it is not ridden.
    """

    part_kind: str
    part_place: str
    quantity: str
    where: str
    unit: str
    how: str
    care: str
    usual: tuple[float, float]
    other_units: tuple[OtherUnit, ...]
    new: float | None
    warn: float | None
    at_limit: float | None
    danger: tuple[float | None, float | None]
    direction: str
    choices: tuple[Choice, ...]
    good_word: str
    instruments: tuple[tuple[int, str], ...]
    last: str
    last_km: float | None
    taken_reading: int | None
    km_known: float | None
    km_source: str
    asks_km: bool
    asks_km_first: bool
    hours_words: str = ""


@dataclass(frozen=True, slots=True)
class AskDue:
    """A fact of a part that nobody knows and that decides what is read."""

    part: int
    part_words: str
    question: QuestionOfPart


Row = TypeVar("Row", bound=RowToRead)


@dataclass(frozen=True, slots=True)
class WalkPlace(Generic[Row]):
    """A place of the walk-round with its readings and what must be asked first; `confirmed`: its corner was, as shown."""

    id: str
    words: str
    readings: tuple[Row, ...]
    asks: tuple[AskDue, ...] = ()
    spot: str = ""
    confirmed: bool = False


PlaceToRead = WalkPlace[RowToRead]
PlaceDue = WalkPlace[ReadingDue]


class _Walk:
    """A bike's walk-round laid out: what is read at which place, and what is written down of it, asked of the records once."""

    def __init__(self, job: Job, now: datetime) -> None:
        self.job, self.today = job, local_day(now)
        self.sheet = sheet_of_bike(job.bike)
        build, parts = self.sheet.build, self.sheet.parts
        self.rows: dict[str, list[tuple[int, Part, LimitOn]]] = {}
        self.asks: dict[str, list[AskDue]] = {}
        for on in build.parts:
            for one in limits_on(build, on):
                station, order = _station(one.row, on)
                self.rows.setdefault(station, []).append((order, parts[on.id], one))
            self.asks.setdefault(on.station, []).extend(
                AskDue(ask.part.id, ask.part.words, question_about(ask.fact, ask.part.side))
                for ask in questions_of(build, on)
            )
        self.instruments = list(Instrument.objects.filter(in_use=True).order_by("pk"))
        self.readings: dict[tuple[int, str], list[Reading]] = {}
        for row in _read(tuple(parts)):
            self.readings.setdefault((row.part_id, row.limit), []).append(row)
        self.found = {row.reading_id: row for row in _found(job.pk)}
        self.not_seen = {(row.part, row.limit): row for row in not_seen_of(job)}
        self.distances: dict[int, tuple[float | None, str]] = {}

    def place(self, row: PlaceRow, read: "Callable[[Part, LimitOn, _Walk], Row]") -> WalkPlace[Row]:
        """One place, with as much of each reading as *read* tells."""
        rows = sorted(self.rows.get(row.id, ()), key=lambda one: one[0])
        asks = _once(self.asks.get(row.id, ()))
        readings = tuple(read(part, one, self) for _, part, one in rows)
        return WalkPlace(row.id, row.words, readings, asks, row.spot, row.spot in self.sheet.build.confirmed)

    def has(self, row: PlaceRow) -> bool:
        """Whether this bike has anything to read or to ask at a place."""
        return bool(self.rows.get(row.id) or self.asks.get(row.id))

    def taken(self, part: Part, limit: LimitRow) -> Reading | None:
        """The newest reading of this job."""
        here = [row for row in self.readings.get((part.pk, limit.id), ()) if row.job_id == self.job.pk]
        return max(here, key=lambda row: row.pk, default=None)

    def before(self, part: Part, limit: LimitRow) -> Reading | None:
        """The newest reading of an earlier stay."""
        return next(
            (
                row
                for row in reversed(self.readings.get((part.pk, limit.id), ()))
                if row.job_id != self.job.pk
            ),
            None,
        )

    def distance(self, part: Part) -> tuple[float | None, str]:
        """How far the part went since it was fitted, and how that is walk."""
        if part.pk not in self.distances:
            self.distances[part.pk] = known_distance(part, self.today)
        return self.distances[part.pk]


@prepared
def _read(parts: tuple[int, ...]) -> QuerySet[Reading]:
    return Reading.objects.filter(part__in=parts, event__corrected_by__isnull=True).order_by("day", "pk")


@prepared
def _found(job: int) -> QuerySet[Finding]:
    """What the readings of this job made: of earlier stays the page says the reading alone."""
    rows = Finding.objects.filter(job=job, reading__isnull=False)
    return rows.select_related("part", "reading", "event__by")


@once_a_look
def _walk(job: Job, now: datetime) -> _Walk:
    return _Walk(job, now)


@one_look()
def walk_round(job: Job, now: datetime) -> tuple[PlaceDue, ...]:
    """Return the walk-round of a job, front to back, top to bottom, with all that is asked and told of each reading."""
    walk = _walk(job, now)
    look_up_fittings(walk.sheet.parts.values())
    look_up_readings(walk.sheet.parts.values())
    return tuple(walk.place(row, _due) for row in tables().walk_round.values() if walk.has(row))


@one_look()
def places_to_read(job: Job, now: datetime) -> tuple[PlaceToRead, ...]:
    """Return the walk-round of a job with what is read at each place and what was taken there, without how."""
    walk = _walk(job, now)
    return tuple(walk.place(row, _to_read) for row in tables().walk_round.values() if walk.has(row))


@one_look()
def place_due(job: Job, now: datetime, place: str) -> PlaceDue:
    """Return one of these places with all that is asked and told of each reading there."""
    walk = _walk(job, now)
    row = tables().walk_round[place]
    parts = {part.pk: part for _, part, _ in walk.rows.get(place, ())}
    look_up_fittings(parts.values())
    look_up_readings(parts.values())
    return walk.place(row, _due)


def _once(asks: Iterable[AskDue]) -> tuple[AskDue, ...]:
    """Each question once, though several limits wait for it."""
    return tuple({(one.part, one.question.fact): one for one in asks}.values())


def _station(limit: LimitRow, on: PartOn) -> tuple[str, int]:
    """The place at which a limit is read on a part, and where in its order: as the walk-round lists it, else last."""
    for place in tables().walk_round.values():
        if limit.id in place.limits and (not place.end or not on.side or place.end == on.side):
            return place.id, place.limits.index(limit.id)
    named = limit.station or on.station
    return (named if named in tables().walk_round else ELSEWHERE), len(tables().limits)


def pieces_on(job: Job) -> frozenset[str]:
    """Return the pieces of the drawing that the bike of a job has."""
    return drawn_pieces(build_of(job.bike))


def _to_read(part: Part, one: LimitOn, walk: _Walk) -> RowToRead:
    limit = one.row
    taken = walk.taken(part, limit)
    return RowToRead(
        part=part.pk,
        part_words=str(part),
        limit=limit.id,
        is_deeper=one.deeper,
        taken=finding_view(walk.found[taken.pk]) if taken else None,
        not_seen=walk.not_seen.get((part.pk, limit.id)),
    )


def _due(part: Part, one: LimitOn, walk: _Walk) -> ReadingDue:
    limit = one.row
    taken, before = walk.taken(part, limit), walk.before(part, limit)
    by_distance = wears_by_distance(limit, walk.job.bike)
    km, source = walk.distance(part) if by_distance else (None, "")
    return ReadingDue(
        part=part.pk,
        part_words=str(part),
        part_kind=part.kind,
        part_place=part.place,
        limit=limit.id,
        quantity=limit.quantity,
        where=limit.where,
        unit=limit.unit,
        how=limit.how,
        care=limit.care,
        usual=usual_range(limit),
        other_units=tuple(
            OtherUnit(one.words, one.factor, one.offset) for one in units_of(limit)[1:] if one.guessed
        ),
        new=limit.new,
        warn=limit.warn,
        at_limit=limit.limit if isinstance(limit.limit, int | float) else None,
        danger=limit.unridden,
        direction=limit.direction,
        is_deeper=one.deeper,
        choices=_choices(limit),
        good_word=("no" if limit.limit == "yes" else "yes") if limit.direction == "flag" else "",
        instruments=_instruments(limit, walk.instruments),
        last=worded("{before} on {day:%d %b %Y}", before=shown_words(before), day=before.day)
        if before
        else "",
        last_km=before.distance_km if before else None,
        taken=finding_view(walk.found[taken.pk]) if taken else None,
        taken_reading=taken.pk if taken else None,
        not_seen=walk.not_seen.get((part.pk, limit.id)),
        km_known=km,
        km_source=source,
        asks_km=by_distance and km is None,
        # What wears other parts when it is run too long is changed by its distance, so that is asked in plain sight.
        asks_km_first=by_distance and km is None and bool(kind_row(part.kind).wears),
        hours_words=_hours(part, before, walk) if limit.unit == "h" else "",
    )


def _hours(part: Part, before: Reading | None, walk: _Walk) -> str:
    """Hours of riding: since they were last written down, else since the part came; empty where nothing tells."""
    if before is not None and before.low is not None and before.low == before.high:
        since = hours_of(part, walk.today, before.day)
        whole = before.low + since.hours
        return (
            worded(
                "{hours} h by {known} since then: {whole} h, unless it was serviced",
                hours=figure_text(since.hours, 0),
                known=since.known,
                whole=figure_text(whole, 0),
            )
            if since.hours
            else ""
        )
    came = hours_of(part, walk.today)
    if not came.hours:
        return ""
    return worded(
        "{hours} h of riding by {known} since it came; less since its service",
        hours=figure_text(came.hours, 0),
        known=came.known,
    )


def _choices(limit: LimitRow) -> tuple[Choice, ...]:
    """Buttons for what is not typed: two sides of a go/no-go chain gauge, the four steps of a feel, yes and no.

    A chain on one sprocket is good to 1 %, so that it is asked by the gauge's other two sides; a chain with bigger rollers is
    read by a gauge that shows its figure, which is typed.
    """
    if limit.direction == "flag":
        # The good answer stands first, whichever it is.
        words = ("no", "yes") if limit.limit == "yes" else ("yes", "no")
        return tuple(Choice(one, word=one) for one in words)
    if limit.instrument == "chain-gauge-go-nogo":
        first, second = (0.75, 1.0) if (limit.warn or 0.0) >= 0.75 else (0.5, 0.75)
        return (
            Choice(worded("{first} stays out", first=first), None, first),
            Choice(worded("drops in at {first}, not at {second}", first=first, second=second), first, second),
            Choice(worded("drops in at {second}", second=second), second, None),
        )
    return tuple(Choice(words, float(n), float(n)) for n, words in enumerate(limit.steps))


def _instruments(limit: LimitRow, rows: list[Instrument]) -> tuple[tuple[int, str], ...]:
    """Instruments on the board that read this row: the row's own first, then others that read its unit."""
    own = [(one.pk, one.name) for one in rows if one.table_id == limit.instrument]
    if limit.is_elongation:
        own += [
            (one.pk, one.name)
            for one in rows
            if one.table_id.startswith("chain-gauge") and one.table_id != limit.instrument
        ]
    elif limit.unit == "mm":
        others = ("caliper", "micrometer", "depth-gauge")
        own += [
            (one.pk, one.name) for one in rows if one.table_id in others and one.table_id != limit.instrument
        ]
    return tuple(own)
