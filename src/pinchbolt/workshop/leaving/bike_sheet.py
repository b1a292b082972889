"""A bike with its build sheet and its history, and finding a bike."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from pinchbolt.engines.build import Build, PartOn, drawn_pieces, flat_facts, limits_on
from pinchbolt.records.models import UNDONE, Bike, Event, Finding, Line, Part, Ride
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.kinds import Value
from pinchbolt.workshop.acts.kinds_of_act import SHOWN, Beside, in_words
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.build_sheet import gears_of, sheet_of_bike
from pinchbolt.workshop.bikes.fittings import first_fitting, look_up_fittings
from pinchbolt.workshop.bikes.joint_names import joint_names
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.shop_day import JobView, job_view, with_events
from pinchbolt.workshop.rides.exposure import possible_before, use_of, week_of
from pinchbolt.workshop.stays.mended import about, findings_mended
from pinchbolt.workshop.stays.note_finding import FindingView, findings_by_number
from pinchbolt.workshop.stays.price import at_its_place
from pinchbolt.workshop.stays.rest import RestView, rest_of_bike
from pinchbolt.workshop.stays.worst_found import worst_found


@dataclass(frozen=True, slots=True)
class ReadingView:
    """One reading of a part's life: what row, when, and the ends of what was shown (None = open)."""

    limit: str
    day: date
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class PartView:
    """A part on the build sheet: since when, how far, what was read on it and what was found last.

    `spot` is the corner of the bike at which it is; `unsure` are the facts that no hand has found out yet.
    """

    id: int
    kind: str
    place: str
    spot: str
    words: str
    specification: dict[str, Value]
    unsure: frozenset[str]
    since: date
    since_known: bool
    km: float | None
    km_sd: float | None
    limits: tuple[str, ...]
    last: tuple[FindingView, ...]
    read: tuple[ReadingView, ...]
    possible_km: float | None = None
    since_said: str = ""


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One event in words."""

    at: datetime
    by: str
    words: str
    job: int | None
    is_corrected: bool


@dataclass(frozen=True, slots=True)
class BikeView:
    """The bike page.

    `pieces` is what the parts bring to the drawing. `unsure` are the facts that no hand has found out yet, `unseen` the
    corners that nobody has confirmed. `rest` is what was put off at its last stay and waits to be done.
    """

    tag: str
    words: str
    kind: str
    owner: str
    owner_id: int
    is_owner_erased: bool
    reach: str
    phone: str
    speeds: int | None
    use_class: str
    frame_number: str
    note: str
    facts: dict[str, Value]
    unsure: frozenset[str]
    joints: tuple[str, ...]
    pieces: frozenset[str]
    unseen: tuple[str, ...]
    week_km: float
    week_words: str
    parts: tuple[PartView, ...]
    jobs: tuple[JobView, ...]
    history: tuple[HistoryLine, ...]
    rest: RestView | None


@one_look()
def bike_sheet(tag: str, now: datetime, most: int = 200) -> BikeView:
    """Return the bike page of a tag, with at most *most* lines of its history."""
    bike = bike_by_tag(tag)
    today = local_day(now)
    sheet = sheet_of_bike(bike)
    build = sheet.build
    look_up_fittings(sheet.parts.values())
    week = week_of(bike, today)
    found = _findings(tuple(sheet.parts), findings_mended(bike))
    jobs = with_events(bike.jobs.order_by("-opened_at"))
    worst = worst_found(jobs)
    return BikeView(
        tag=bike.tag,
        words=bike.words,
        kind=bike.kind,
        owner=bike.owner.name,
        owner_id=bike.owner_id,
        is_owner_erased=bike.owner.erased_at is not None,
        reach=bike.owner.reach,
        phone=bike.owner.phone,
        speeds=gears_of(build),
        use_class=bike.use_class,
        frame_number=bike.frame_number,
        note=bike.note,
        facts=flat_facts(build),
        unsure=frozenset(
            row.name_in_build(on.side)
            for on in build.parts
            for name in _unsure(on)
            if (row := tables().facts.get(name)) is not None
        ),
        joints=tuple(joint_names(build)),
        pieces=drawn_pieces(build),
        unseen=tuple(corner for corner in tables().corners if corner not in build.confirmed),
        week_km=week.median_km,
        week_words=week.words,
        parts=tuple(_part_seen(on, sheet.parts[on.id], found[on.id], build, today) for on in build.parts),
        jobs=tuple(job_view(job, now, worst[job.pk]) for job in jobs),
        history=_history(bike, most),
        rest=rest_of_bike(bike),
    )


@dataclass(frozen=True, slots=True)
class _Found:
    """What was found on one part and stands: as it shows, of each limit and eye the newest, and all readings of a figure."""

    last: tuple[FindingView, ...] = ()
    read: tuple[ReadingView, ...] = ()


def _findings(parts: tuple[int, ...], mended: Collection[int]) -> Mapping[int, _Found]:
    """What was found on each of these parts, the oldest first; what a done line put right stands in the history, and no longer here."""
    newest: dict[tuple[int, object, str], int] = {}
    read: dict[int, list[ReadingView]] = {part: [] for part in parts}
    for number, part, limit, day, low, high, word in _found(parts):
        newest[part, *about(part, limit, number)] = number
        if day is not None and not word:
            read[part].append(ReadingView(limit, day, low, high))
    shown = tuple(number for number in newest.values() if number not in mended)
    views = {one.id: one for one in findings_by_number(shown)}
    last: dict[int, list[FindingView]] = {part: [] for part in parts}
    for (part, *_), number in newest.items():
        if number in views:
            last[part].append(views[number])
    return {part: _Found(tuple(last[part]), tuple(read[part])) for part in parts}


@prepared
def _found(
    parts: tuple[int, ...],
) -> QuerySet[Finding, tuple[int, int, str, date | None, float | None, float | None, str | None]]:
    rows = Finding.objects.filter(part__in=parts, event__corrected_by__isnull=True).order_by("part_id", "pk")
    # In bare rows: what was forecast and why is most of a row, and is read of what shows.
    read = ("reading__day", "reading__low", "reading__high", "reading__word")
    return rows.values_list("pk", "part_id", "limit", *read)


def _part_seen(
    on: PartOn,
    part: Part,
    found: _Found,
    build: Build,
    today: date,
) -> PartView:
    """A part as it is now."""
    fitting = first_fitting(part)
    assert fitting is not None  # a part on a bike has a fitting
    used = use_of(part, today)
    before = possible_before(part)
    return PartView(
        id=part.pk,
        kind=part.kind,
        place=part.place,
        spot=build.spot_of(on),
        words=part.words,
        specification={name: known.value for name, known in on.facts.items()},
        unsure=_unsure(on),
        since=fitting.start,
        since_known=fitting.start_known,
        km=used.km if used.km > 0 else None,
        km_sd=used.sd if used.km > 0 else None,
        possible_km=before.km if before is not None else None,
        since_said=fitting.since_said,
        limits=tuple(one.row.id for one in limits_on(build, on)),
        last=found.last,
        read=found.read,
    )


def _unsure(on: PartOn) -> frozenset[str]:
    return frozenset(name for name, known in on.facts.items() if not known.confirmed)


def _history(bike: Bike, most: int) -> tuple[HistoryLine, ...]:
    """The newest events of a bike; the verdict of a reading stands in the reading's own line."""
    newest = (
        Event.objects.filter(Q(bike=bike) | Q(kind="part moved", said__out_of=bike.tag), kind__in=SHOWN)
        .exclude(kind="found", finding__reading__isnull=False)
        # What one act brought along is told by the act itself.
        .exclude(kind__in=("corner confirmed", "part described"), key__contains="/")
        .order_by("-pk")
    )
    numbers = tuple(newest.values_list("pk", flat=True)[:most])
    if not numbers:
        return ()
    events, corrected = _told_of(numbers), set(_corrected(numbers))
    taken_in = tuple(event.pk for event in events if event.kind == "rides taken in")
    lines = {line: at_its_place(words, place) for line, words, place in _words_of_lines(bike.pk)}
    beside = Beside(lines, dict(_rides_by_event(taken_in)) if taken_in else {})
    return tuple(
        HistoryLine(event.at, event.by.name, in_words(event, beside), event.job_id, event.pk in corrected)
        for event in events
    )


@prepared
def _told_of(events: tuple[int, ...]) -> QuerySet[Event]:
    rows = Event.objects.filter(pk__in=events).select_related(
        "by", "reading__finding", "finding", "donevalue", "roundtick", "answer__line", "partdescription__part"
    )
    # The line tells the verdict; what was forecast and why is most of a row.
    untold = ("forecast", "reasons", "doubts")
    rows = rows.defer(*(f"{way}__{name}" for way in ("reading__finding", "finding") for name in untold))
    return rows.order_by("-pk")


@prepared
def _corrected(events: tuple[int, ...]) -> QuerySet[Event, int]:
    """Those that a later act put right or took back; a correction that was itself taken back is none."""
    undoing = Event.objects.filter(corrects=OuterRef("pk"), kind=UNDONE)
    rows = Event.objects.filter(~Exists(undoing), corrects__in=events)
    return rows.values_list("corrects_id", flat=True)


@prepared
def _words_of_lines(bike: int) -> QuerySet[Line, tuple[int, str, str | None]]:
    return Line.objects.filter(job__bike=bike).values_list("pk", "words", "place")


@prepared
def _rides_by_event(events: tuple[int, ...]) -> QuerySet[Ride, tuple[int, int]]:
    return Ride.objects.filter(event__in=events).values_list("event").annotate(many=Count("pk")).order_by()
