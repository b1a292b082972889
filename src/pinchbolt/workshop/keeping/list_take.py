"""Taking a list of owners and bikes in: in one act, all or none; and taking it back, as far as nobody has used it since."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, Event, Fitting, LookUp, Owner, Part, note_look_up, words_to_find
from pinchbolt.values import Json
from pinchbolt.values.money import figure_text
from pinchbolt.values.plain_words import phone_end, plain, run_together
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import has_workshop
from pinchbolt.workshop.bikes.building import next_tags
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.keeping.list_read import ListFile, ListRead, ListRow, lay_rows
from pinchbolt.workshop.owners.told_fields import MAIL, PHONE, ReachWay, same_way, write_changes

_AT_ONCE = 2000
_BIKES_ASKED = 500
_OWNED = ("bikes", "bikes_brought", "merged", "words", "consents", "rides", "ride_places", "trainers", "pegs")


@dataclass(frozen=True, slots=True)
class ListRequest:
    """A list by its digest, where its columns go, the kind of bikes whose words tell none, which way days are read.

    `without_stopped`: rows that stop are left out; else one of them stops the whole list.
    """

    digest: str
    columns: Mapping[str, str] = field(default_factory=dict)
    rest_kind: str = ""
    days: str = ""
    without_stopped: bool = False


@dataclass(frozen=True, slots=True)
class ListTaken:
    """What came in, or would: new owners, known ones, new bikes, bikes that were there, rows without a bike, rows that stop."""

    owners: int
    known: int
    bikes: int
    bikes_known: int
    without_bike: int
    stopped: tuple[tuple[int, str], ...]
    days: str
    event: int = 0

    @property
    def words(self) -> str:
        """In one sentence."""
        return worded(
            "{owners} new owners, {known} rows of owners who are known, {bikes} new bikes, "
            "{bikes_known} that are here already, {without_bike} rows without a bike, {stopped} "
            "rows that stop.",
            owners=figure_text(self.owners),
            known=figure_text(self.known),
            bikes=figure_text(self.bikes),
            bikes_known=figure_text(self.bikes_known),
            without_bike=figure_text(self.without_bike),
            stopped=figure_text(len(self.stopped)),
        )


@dataclass(frozen=True, slots=True)
class TakenBack:
    """What was taken back, and what stays because it was used since."""

    owners: int
    bikes: int
    stays: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ListBackRequest:
    """The list to take back, by the event that took it in."""

    event: int


@dataclass(slots=True)
class _Plan:
    """Who is new, who is known, and which bikes each gains."""

    new: list[tuple[ListRow, Owner]] = field(default_factory=list)
    bikes: list[tuple[ListRow, Owner]] = field(default_factory=list)
    filled: dict[int, tuple[Owner, list[ListRow]]] = field(default_factory=dict)
    known: int = 0
    bikes_known: int = 0
    without_bike: int = 0


def try_list(file: ListFile, request: ListRequest) -> ListTaken:
    """Return what taking a list in would do.

    Raises:
        InputRefused: No column for a name or phone, or days can be read two ways.
    """
    read = _laid(file, request)
    return _told(_planned(read.rows), read)


def take_list(file: ListFile, request: ListRequest, *, by: int, key: str, now: datetime) -> ListTaken:
    """Take a list in, all or none; known owners gain bikes and empty fields only.

    Raises:
        InputRefused: A row stops, or the columns make no sense.
    """
    # Rows are proved before the records are held: other tablets go on meanwhile.
    read = _laid(file, request)
    if read.stopped and not request.without_stopped:
        lines = ", ".join(str(one.line) for one in read.stopped[:8])
        raise InputRefused(
            worded(
                "{stopped} of {rows} rows stop it (lines {lines}): {why}. Correct them and send the "
                "list again, or take the others without them.",
                stopped=figure_text(len(read.stopped)),
                rows=figure_text(len(file.rows)),
                lines=lines,
                why=read.stopped[0].why,
            )
        )
    with act("list taken in", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _again(this.done_before, read)
        plan = _planned(read.rows)
        owners = _make_owners(plan)
        bikes = _make_bikes(plan, now)
        note = {"header": _header_mark(file), "owners": _spans(owners), "bikes": _spans(bikes)}
        told = _told(plan, read)
        this.said = {**note, "digest": request.digest, "columns": dict(request.columns), "counts": told.words}
        event = this.write()
        _fill(this, plan)
        _note_words(plan)
        return _told(plan, read, event.pk)


def columns_before(file: ListFile) -> dict[str, str]:
    """Return where the columns of a list with this header went the last time, or nothing."""
    if not has_workshop():
        return {}
    before = (
        Event.objects.filter(kind="list taken in", said__header=_header_mark(file)).order_by("-pk").first()
    )
    return dict(before.said["columns"]) if before is not None else {}


def take_list_back(request: ListBackRequest, *, by: int, key: str, now: datetime) -> TakenBack:
    """Take back what a list brought, as far as nobody used it since; the rest stays and is named.

    Raises:
        NotFound: No such list.
        NotPossibleNow: It was taken back already.
    """
    with act("list taken back", by=by, key=key, now=now, request=request) as this:
        event = Event.objects.filter(pk=request.event, kind="list taken in").first()
        if event is None:
            raise NotFound(
                worded("There is no list {event}. Choose one that was taken in.", event=request.event)
            )
        if this.repeated:
            return TakenBack(0, 0, ())
        if event.corrected_by.exists():
            raise NotPossibleNow(worded("This list was taken back already."))
        bikes = Bike.objects.filter(_within(event.said["bikes"]))
        parts = Part.objects.filter(fittings__bike__in=bikes)
        used = set(bikes.filter(jobs__isnull=False).values_list("pk", flat=True))
        used |= set(bikes.filter(events__isnull=False).values_list("pk", flat=True))
        used |= set(parts.filter(descriptions__isnull=False).values_list("fittings__bike", flat=True))
        stays = list(Bike.objects.filter(pk__in=used).order_by("tag").values_list("tag", flat=True))
        gone = [one for one in bikes.values_list("pk", flat=True) if one not in used]
        _throw_away(gone)
        whose = _within(event.said["owners"])
        owners = Owner.objects.filter(whose, merged_into__isnull=True)
        # Whoever has anything by now stays.
        free = owners.filter(**{f"{what}__isnull": True for what in _OWNED})
        free_numbers = list(free.values_list("pk", flat=True))
        for at in range(0, len(free_numbers), _BIKES_ASKED):
            some = free_numbers[at : at + _BIKES_ASKED]
            LookUp.objects.filter(owner__in=some).delete()
            Owner.objects.filter(pk__in=some).delete()
        note_look_up(*Owner.objects.filter(whose).values_list("pk", flat=True))
        this.said = {"list": event.pk, "owners": len(free_numbers), "bikes": len(gone)}
        this.write(corrects=event)
        return TakenBack(len(free_numbers), len(gone), tuple(stays))


def _throw_away(bikes: Sequence[int]) -> None:
    for at in range(0, len(bikes), _BIKES_ASKED):
        some = bikes[at : at + _BIKES_ASKED]
        parts = list(Fitting.objects.filter(bike__in=some).values_list("part", flat=True))
        Fitting.objects.filter(bike__in=some).delete()
        Part.objects.filter(pk__in=parts).delete()
        Bike.objects.filter(pk__in=some).delete()


def _laid(file: ListFile, request: ListRequest) -> ListRead:
    if file.digest != request.digest:
        raise InputRefused(
            worded("This is another file than the one that was looked at. Look at it again first.")
        )
    return lay_rows(file, request.columns, request.rest_kind, request.days)


def _planned(rows: Iterable[ListRow]) -> _Plan:
    """Lay the rows on those who are known: same phone or e-mail and a word of the name, or same name and frame number."""
    plan, known = _Plan(), _Known()
    for row in rows:
        owner = known.owner_of(row)
        if owner is None:
            owner = Owner(
                name=row.name,
                phone=row.phone,
                ways=[ReachWay(MAIL if kind == MAIL else PHONE, value).kept() for kind, value in row.further],
                **dict(row.owner),
            )
            plan.new.append((row, owner))
            known.add(owner)
        else:
            plan.known += 1
            if owner.pk is not None:
                plan.filled.setdefault(owner.pk, (owner, []))[1].append(row)
        if not row.kind:
            plan.without_bike += 1
        elif known.has_bike(owner, row):
            plan.bikes_known += 1
        else:
            plan.bikes.append((row, owner))
    return plan


class _Known:
    """Owners and bikes that are here, and those of the rows so far, found by phone, e-mail, name and frame number."""

    def __init__(self) -> None:
        self.by_way: dict[str, list[Owner]] = {}
        self.by_name: dict[str, list[Owner]] = {}
        self.bikes: set[tuple[int, str]] = set()
        self.frames: dict[str, list[Owner]] = {}
        rows = Owner.objects.filter(merged_into__isnull=True, erased_at__isnull=True)
        owners = {row.pk: row for row in rows}
        for row in owners.values():
            self.add(row)
        for owner, frame, words in Bike.objects.values_list("owner", "frame_number", "words"):
            if owner in owners:
                self._add_bike(owners[owner], frame, words)

    def add(self, owner: Owner) -> None:
        """Let an owner be known."""
        self.by_name.setdefault(run_together(owner.name), []).append(owner)
        for way in (
            phone_end(owner.phone),
            *(_way_mark(str(one["kind"]), str(one["value"])) for one in owner.ways),
        ):
            if way:
                self.by_way.setdefault(way, []).append(owner)

    def _add_bike(self, owner: Owner, frame: str, words: str) -> None:
        self.bikes.add((id(owner), run_together(frame) or f"words {plain(words)}"))
        if frame:
            self.frames.setdefault(run_together(frame), []).append(owner)

    def owner_of(self, row: ListRow) -> Owner | None:
        """Return who this row is of, where they are known."""
        words = set(plain(row.name).split())
        for way in (phone_end(row.phone), *(_way_mark(kind, value) for kind, value in row.further)):
            for owner in self.by_way.get(way, ()) if way else ():
                if words & set(plain(owner.name).split()) or row.name == row.phone:
                    return owner
        same_name = self.by_name.get(run_together(row.name), ())
        frame = self.frames.get(run_together(row.frame_number), ()) if row.frame_number else ()
        return next(
            (owner for owner in same_name if any(owner is one for one in frame) or _nothing_else(owner, row)),
            None,
        )

    def has_bike(self, owner: Owner, row: ListRow) -> bool:
        """Whether the owner has this bike; if not, they have it from here on."""
        mark = (id(owner), run_together(row.frame_number) or f"words {plain(row.bike_words)}")
        if mark in self.bikes:
            return True
        self._add_bike(owner, row.frame_number, row.bike_words)
        return False


def _nothing_else(owner: Owner, row: ListRow) -> bool:
    """Two rows of one name that say neither phone nor e-mail are of one person."""
    return not (owner.phone or owner.ways or row.phone or row.further)


def _way_mark(kind: str, value: str) -> str:
    return phone_end(value) if kind == PHONE else plain(value)


def _make_owners(plan: _Plan) -> list[int]:
    made = Owner.objects.bulk_create([owner for _, owner in plan.new], batch_size=_AT_ONCE)
    return [owner.pk for owner in made]


def _make_bikes(plan: _Plan, now: datetime) -> list[int]:
    """A bike of its kind with its frame alone; nothing on it is looked at."""
    kinds, today = tables().bike_kinds, local_day(now)
    always = [kind.id for kind in tables().kinds.values() if kind.on_every_bike]
    free = next_tags(len(plan.bikes))
    bikes = Bike.objects.bulk_create(
        [
            Bike(
                tag=tag, owner=owner, kind=row.kind, words=row.bike_words or kinds[row.kind].words, frame_number=row.frame_number,
                speeds=row.speeds, use_class=kinds[row.kind].use, km_a_week=row.km_a_week or kinds[row.kind].km_a_week, note=row.bike_note,
            )
            for tag, (row, owner) in zip(free, plan.bikes, strict=True)
        ],
        batch_size=_AT_ONCE,
    )  # fmt: skip
    for kind in always:
        parts = Part.objects.bulk_create([Part(kind=kind) for _ in bikes], batch_size=_AT_ONCE)
        Fitting.objects.bulk_create(
            [
                Fitting(part=part, bike=bike, start=today, start_known=False)
                for part, bike in zip(parts, bikes, strict=True)
            ],
            batch_size=_AT_ONCE,
        )
    return [bike.pk for bike in bikes]


def _fill(this: Act, plan: _Plan) -> None:
    """Empty fields of owners who were known; what stands there is not changed."""
    for owner, rows in plan.filled.values():
        changes: Json = {}
        for row in rows:
            given = {**row.owner, "phone": row.phone}
            changes |= {
                name: ["", value]
                for name, value in given.items()
                if value and not getattr(owner, name) and name not in changes
            }
        ways = [ReachWay(kind, value).kept() for row in rows for kind, value in row.further]
        first = ReachWay(PHONE, changes["phone"][1] if "phone" in changes else owner.phone).kept()
        added = [one for one in ways if not any(same_way(one, there) for there in (*owner.ways, first))]
        if added:
            changes["ways"] = {"before": owner.ways, "added": added, "removed": []}
        if changes:
            said = {"owner": owner.pk, "fields": sorted(changes)}
            write_changes(owner, this.also("owner changed", f"list/{owner.pk}", said=said), changes)


def _note_words(plan: _Plan) -> None:
    """The words by which the new ones are found."""
    bikes: dict[int, list[Bike]] = {}
    new = {owner.pk for _, owner in plan.new}
    for owner_id, tag, words, frame in Bike.objects.values_list(
        "owner", "tag", "words", "frame_number"
    ).iterator(5000):
        if owner_id in new:
            bikes.setdefault(owner_id, []).append(Bike(tag=tag, words=words, frame_number=frame))
    LookUp.objects.bulk_create(
        [LookUp(owner=owner, words=words_to_find(owner, bikes.get(owner.pk, ()))) for _, owner in plan.new],
        batch_size=_AT_ONCE,
    )
    further = {owner.pk for _, owner in plan.bikes} - new
    if further:
        note_look_up(*further)


def _told(plan: _Plan, read: ListRead, event: int = 0) -> ListTaken:
    stopped = tuple((one.line, one.why) for one in read.stopped)
    return ListTaken(
        len(plan.new), plan.known, len(plan.bikes), plan.bikes_known, plan.without_bike, stopped, read.days, event
    )  # fmt: skip


def _again(event: Event, read: ListRead) -> ListTaken:
    stopped = tuple((one.line, one.why) for one in read.stopped)
    owners, bikes = (len(_numbers(event.said[name])) for name in ("owners", "bikes"))
    return ListTaken(owners, 0, bikes, 0, 0, stopped, read.days, event.pk)


def _header_mark(file: ListFile) -> str:
    return "|".join(plain(name) for name in file.header)[:2000]


def _spans(numbers: Sequence[int]) -> list[list[int]]:
    """Numbers as spans of neighbours: a list of fifty thousand is a few spans."""
    spans: list[list[int]] = []
    for number in sorted(numbers):
        if spans and spans[-1][1] == number - 1:
            spans[-1][1] = number
        else:
            spans.append([number, number])
    return spans


def _within(spans: Iterable[Sequence[int]]) -> Q:
    """The rows of these numbers."""
    found = Q(pk__in=[])
    for first, last in spans:
        found |= Q(pk__range=(first, last))
    return found


def _numbers(spans: Iterable[Sequence[int]]) -> list[int]:
    return [number for first, last in spans for number in range(first, last + 1)]
