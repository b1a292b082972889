"""The build sheet as every door shows it: corners, their parts, each fact with how it is known, joints and markings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, QuerySet

from pinchbolt.engines.build import (
    SOURCES,
    Build,
    FactValue,
    FactWanted,
    PartOn,
    drawn_pieces,
    joints_of,
    limits_on,
    questions_of,
)
from pinchbolt.records.models import Bike, Fitting, Marking, ProofPhoto
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.condition import word_of
from pinchbolt.reference.rows.kinds import Value
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values.wording import coded, worded
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.bikes.build_sheet import BuildSheet, kind_row, parts_on, sheet_of_bike
from pinchbolt.workshop.bikes.mark_limit import can_be_marked
from pinchbolt.workshop.bikes.movable import movable, movable_name
from pinchbolt.workshop.bikes.part_questions import question_about
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.common.usual import usual_range

NOT_LOOKED_AT = frozenset({"template", "guess"})
"""How a fact is known that nobody has looked at on this bike."""


@dataclass(frozen=True, slots=True)
class FactView:
    """A fact of a part. `value` None, `shown` and `source` empty: nobody knows it.

    `told` is what the owner says where that differs; `decides`: unknown, and readings, joints or sign-off wait for it;
    `settled`: the kind of part itself says it, so it is never asked.
    """

    fact: str
    words: str
    value: Value | None
    shown: str
    unit: str
    source: str
    confirmed: bool
    told: str
    decides: bool
    settled: bool

    @property
    def to_look_at(self) -> bool:
        """Whether it stands there as a template or a guess has it."""
        return self.source in NOT_LOOKED_AT


@dataclass(frozen=True, slots=True)
class FactsBySource:
    """Facts of a part that are known in one way; `to_look_at`: nobody has looked."""

    words: str
    to_look_at: bool
    facts: tuple[FactView, ...]


@dataclass(frozen=True, slots=True)
class MarkingView:
    """What is marked on a part: a wear limit by its row, or torque of a joint; one figure in `unit`, `how` it binds.

    `event` is its act, which bears its photo where there is one.
    """

    limit: str
    joint: str
    words: str
    how: str
    value: float
    unit: str
    event: int
    has_photo: bool


@dataclass(frozen=True, slots=True)
class CanBeMarked:
    """A limit that may be marked on a part: its row, what the table has, and the range in which a figure can lie.

    `likely` are figures that such parts are marked with, as far as the tables know them; `binds`: at least or at most.
    """

    limit: str
    words: str
    unit: str
    table: float | None
    usual: tuple[float, float]
    binds: str
    likely: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class BuildPartView:
    """A part on the build sheet. `confirmed`: a hand has seen that it is there; `in_table`: its kind is in the tables now.

    `joints` are the names of those that it brings; `moves_as` what it is called where it is moved, empty where it is not;
    `on_wheel`: it comes off with its wheel.
    """

    id: int
    kind: str
    kind_words: str
    end: str
    words: str
    note: str
    since: date
    since_known: bool
    confirmed: bool
    in_table: bool
    on_wheel: bool
    moves_as: str
    facts: tuple[FactView, ...]
    joints: tuple[str, ...]
    markings: tuple[MarkingView, ...]
    can_be_marked: tuple[CanBeMarked, ...]

    @property
    def comes_off(self) -> bool:
        """Whether it can be taken off: a bike is its frame."""
        return not kind_row(self.kind).on_every_bike

    @property
    def known(self) -> tuple[FactView, ...]:
        """The facts that somebody or something tells."""
        return tuple(fact for fact in self.facts if fact.source)

    @property
    def by_source(self) -> tuple[FactsBySource, ...]:
        """What is known, gathered by how it is known, the surest first; what its kind settles comes last."""
        found = []
        for source in SOURCES:
            facts = tuple(one for one in self.known if one.source == source and not one.settled)
            open_ones = source in NOT_LOOKED_AT
            if facts:
                found.append(
                    FactsBySource(
                        worded("{source}, not looked at", source=coded(source)) if open_ones else source,
                        open_ones,
                        facts,
                    )
                )
        settled = tuple(one for one in self.known if one.settled)
        return (*found, *((FactsBySource(worded("by its kind"), False, settled),) if settled else ()))

    @property
    def asked(self) -> tuple[FactView, ...]:
        """The facts that nobody knows and that something waits for."""
        return tuple(fact for fact in self.facts if fact.decides)

    @property
    def to_look_at(self) -> int:
        """How many things of it nobody has looked at: the part itself, and facts by template or guess."""
        return (not self.confirmed) + sum(fact.to_look_at for fact in self.facts)


@dataclass(frozen=True, slots=True)
class CornerView:
    """A corner of the bike; `confirmed`: a hand has seen that these parts are there, and no others."""

    id: str
    words: str
    confirmed: bool
    parts: tuple[BuildPartView, ...]

    @property
    def to_look_at(self) -> int:
        """How many things nobody has looked at here."""
        return sum(part.to_look_at for part in self.parts)


@dataclass(frozen=True, slots=True)
class BuildView:
    """A bike's build sheet by its corners, in the order of the table; `pieces` are those of its drawing."""

    tag: str
    words: str
    owner: str
    bike_kind: str
    bike_kind_words: str
    corners: tuple[CornerView, ...]
    pieces: tuple[str, ...]

    @property
    def to_look_at(self) -> int:
        """How many things nobody has looked at."""
        return sum(corner.to_look_at for corner in self.corners)

    @property
    def parts(self) -> tuple[BuildPartView, ...]:
        """All parts, in the order of the corners."""
        return tuple(part for corner in self.corners for part in corner.parts)


@one_look()
def build_view_of(tag: str) -> BuildView:
    """Return the build sheet of a bike.

    Raises:
        NotFound: No bike has this tag.
    """
    return build_seen_of(bike_by_tag(tag))


def build_seen_of(bike: Bike) -> BuildView:
    """Return the build sheet of a bike that was looked up."""
    sheet = sheet_of_bike(bike)
    build = sheet.build
    shown = _Shown(bike, sheet)
    kind = tables().bike_kinds.get(bike.kind)
    corners = tuple(
        CornerView(
            row.id,
            row.words,
            row.id in build.confirmed,
            tuple(shown.part(on) for on in build.parts if build.spot_of(on) == row.id),
        )
        for row in tables().corners.values()
    )
    return BuildView(
        tag=bike.tag,
        words=bike.words,
        owner=bike.owner.name,
        bike_kind=bike.kind,
        bike_kind_words=kind.words if kind else bike.kind,
        corners=corners,
        pieces=tuple(sorted(drawn_pieces(build))),
    )


def open_job(tag: str) -> int | None:
    """Return the job for which a bike is here now."""
    jobs = bike_by_tag(tag).jobs.order_by("-opened_at")[:3]
    return next((job.pk for job in jobs if not job_state(job).ended), None)


def is_bare(tag: str) -> bool:
    """Return whether nothing is on a bike's build sheet yet but what every bike has."""
    return all(kind_row(part.kind).on_every_bike for part in parts_on(bike_by_tag(tag)))


class _Shown:
    """What is told of a bike's parts, asked of the records once."""

    def __init__(self, bike: Bike, sheet: BuildSheet) -> None:
        self.sheet, self.build = sheet, sheet.build
        self.fittings = {one.part_id: one for one in _fitted(tuple(sheet.parts))}
        self.markings = markings_on(sheet.parts)
        self.joints: dict[int, list[str]] = {}
        self.asks: dict[int, set[str]] = {}
        for joint in joints_of(self.build):
            if joint.stands:
                self.joints.setdefault(joint.part.id, []).append(joint.name)
            self._ask(joint.asks)
        self.movable = frozenset(movable())

    def _ask(self, asks: Iterable[FactWanted]) -> None:
        for ask in asks:
            self.asks.setdefault(ask.part.id, set()).add(ask.fact.id)

    def part(self, on: PartOn) -> BuildPartView:
        """One part."""
        self._ask(questions_of(self.build, on))
        fitting = self.fittings[on.id]
        moved = movable_name(on.kind.id, on.end)
        return BuildPartView(
            id=on.id,
            kind=on.kind.id,
            kind_words=on.kind.words,
            end=on.end,
            words=on.words,
            note=self.sheet.parts[on.id].words,
            since=fitting.start,
            since_known=fitting.start_known,
            confirmed=on.confirmed,
            in_table=on.kind.id in tables().kinds,
            on_wheel=fitting.wheel_id is not None,
            moves_as=moved if moved in self.movable else "",
            facts=_facts(on, self.asks.get(on.id, set())),
            joints=tuple(self.joints.get(on.id, ())),
            markings=tuple(self.markings.get(on.id, ())),
            can_be_marked=limits_to_mark(self.build, on),
        )


@prepared
def _fitted(parts: tuple[int, ...]) -> QuerySet[Fitting]:
    return Fitting.objects.filter(part__in=parts, end__isnull=True)


def markings_on(parts: Iterable[int]) -> Mapping[int, list[MarkingView]]:
    """Return what is marked on parts, by part, the oldest first."""
    found: dict[int, list[MarkingView]] = {}
    for row in _markings(tuple(parts)):
        if row.on_part_id is not None:
            found.setdefault(row.on_part_id, []).append(_marking(row))
    return found


@prepared
def _markings(parts: tuple[int, ...]) -> QuerySet[Marking]:
    rows = Marking.objects.filter(on_part__in=parts, event__corrected_by__isnull=True)
    proof = ProofPhoto.objects.filter(pk=OuterRef("event"))
    return rows.annotate(has_photo=Exists(proof)).order_by("pk")


def limits_to_mark(build: Build, on: PartOn) -> tuple[CanBeMarked, ...]:
    """Return the limits that may be marked on a part."""
    rows = {one.row.id: one.row for one in limits_on(build, on)}
    return tuple(
        CanBeMarked(
            row.id,
            row.quantity,
            row.unit,
            _table_figure(row),
            usual_range(row),
            worded("at least") if row.direction == "down" else worded("at most"),
            _likely(row),
        )
        for row in rows.values()
        if can_be_marked(row)
    )


def _table_figure(row: LimitRow) -> float | None:
    return row.limit if isinstance(row.limit, int | float) else None


def _likely(row: LimitRow) -> tuple[float, ...]:
    """The limits that rows of the same quantity have: a thicker rotor is marked with a greater one."""
    alike = (
        one
        for kind in row.on
        for one in tables().limits_on.get(kind, ())
        if (one.quantity, one.unit, one.direction) == (row.quantity, row.unit, row.direction)
    )
    figures = {figure for one in alike if (figure := _table_figure(one)) is not None and figure > 0}
    if row.new is not None:
        figures = {one for one in figures if (one < row.new if row.direction == "down" else one > row.new)}
    return tuple(sorted(figures))


def _facts(on: PartOn, asked: set[str]) -> tuple[FactView, ...]:
    """The facts that its kind has, then those on record that the tables do not know (any more): kept and shown."""
    names = dict.fromkeys((*on.kind.facts, *(on.kind.always or {}), *on.facts))
    return tuple(_fact(name, on, on.facts.get(name), name in asked) for name in names)


def _fact(name: str, on: PartOn, known: FactValue | None, decides: bool) -> FactView:
    row = tables().facts.get(name)
    return FactView(
        fact=name,
        words=row.name if row is not None else name.replace("_", " "),
        value=None if known is None else known.value,
        shown="" if known is None else word_of(known.value),
        unit="" if row is None else question_about(row, on.side).unit,
        source="" if known is None else known.source,
        confirmed=known is not None and known.confirmed,
        told="" if known is None or known.told is None else word_of(known.told),
        decides=decides and known is None,
        settled=name in (on.kind.always or {}),
    )


_BINDS: Mapping[str, str] = {
    "least": worded("at least"),
    "greatest": worded("at most"),
    "target": worded("to use"),
}


def _marking(row: Marking) -> MarkingView:
    limit = tables().limits.get(row.limit)
    name, how = next((pair for pair in _BINDS.items() if getattr(row, pair[0]) is not None), ("", ""))
    return MarkingView(
        limit=row.limit,
        joint=row.joint,
        words=limit.quantity if limit is not None else row.limit or row.joint.replace("-", " "),
        how=how,
        value=float(getattr(row, name)) if name else 0.0,
        unit=limit.unit if limit is not None else ("N·m" if row.joint else ""),
        event=row.pk,
        has_photo=bool(getattr(row, "has_photo", False)),
    )
