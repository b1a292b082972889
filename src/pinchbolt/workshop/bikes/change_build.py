"""Changing a build sheet: a part is added, replaced, taken off or described, and a corner of the bike is confirmed as shown."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from pinchbolt.engines.build import SOURCES, end_of
from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, BinPart, CornerCheck, Fitting, Part, PartDescription
from pinchbolt.reference.rows.kinds import PartKind, Value
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import bike_by_tag, part_by_id
from pinchbolt.workshop.bikes.bin_moves import OUT, move_bin
from pinchbolt.workshop.bikes.build_sheet import build_of, kind_row
from pinchbolt.workshop.bikes.building import put_in_place, put_on_its_wheel
from pinchbolt.workshop.bikes.goes_to import BINS, NEVER_THERE, SCRAP, into_the_bins, refuse_elsewhere
from pinchbolt.workshop.bikes.part_questions import facts_of_kind, kind_named
from pinchbolt.workshop.common.checks import local_day, not_in_future
from pinchbolt.workshop.common.trade_tables import tables

READ_OFF = "read off the part"


@dataclass(frozen=True, slots=True)
class AddRequest:
    """A part that is on the bike, with what is known of it and how.

    Fitted today, or on `since`; `was_there`: it was on the bike before anybody wrote it down. `bin` names the part of the
    bins that it is.
    """

    tag: str
    kind: str
    end: str = ""
    facts: Mapping[str, Value | None] = field(default_factory=dict)
    source: str = READ_OFF
    since: date | None = None
    was_there: bool = False
    bin: str = ""


@dataclass(frozen=True, slots=True)
class ReplaceRequest:
    """A part that another one of its kind takes the place of, today or on an earlier `day`; the old one goes to `gone_to`."""

    part: int
    facts: Mapping[str, Value | None] = field(default_factory=dict)
    source: str = READ_OFF
    gone_to: str = SCRAP
    day: date | None = None


@dataclass(frozen=True, slots=True)
class TakeOffRequest:
    """A part that comes off, today or on an earlier `day`, and where it goes; `price` is what it costs in the bins."""

    part: int
    gone_to: str
    day: date | None = None
    price: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class DescribeRequest:
    """Facts of a part and how they are known; an empty one is known no longer."""

    part: int
    facts: Mapping[str, Value | None]
    source: str = READ_OFF


@dataclass(frozen=True, slots=True)
class ConfirmRequest:
    """A corner of the bike that is as the build sheet shows it: these parts, and no others; empty = the whole bike."""

    tag: str
    corner: str = ""


@dataclass(frozen=True, slots=True)
class PartChanged:
    """The part that an act was about: the new one where one took the place of another."""

    part: int


@dataclass(frozen=True, slots=True)
class Confirmed:
    """The corners that were confirmed."""

    corners: tuple[str, ...]


def add_part(request: AddRequest, *, by: int, key: str, now: datetime) -> PartChanged:
    """Write a part on the build sheet.

    Raises:
        InputRefused: No such kind or end, a fact that it has not, or a day that lies ahead.
        NotFound: No such bike, or no such part in the bins.
        NotPossibleNow: Such a part is there already, or the bin is empty.
    """
    with act("part added", by=by, key=key, now=now, request=request) as this:
        bike = bike_by_tag(request.tag)
        kind = kind_named(request.kind)
        end = _end_of(kind, request.end, bike)
        facts = facts_of_kind(kind, end_of(end), request.facts)
        source = _source(request.source)
        start, known = _start(request, bike, now)
        if this.repeated:
            return PartChanged(int(this.done_before.said["part_id"]))
        _refuse_second(kind, end, bike)
        row = _in_the_bins(request.bin, kind, end) if request.bin else None
        part = _taken_out(row, kind, end) if row is not None else Part.objects.create(kind=kind.id, place=end)
        Fitting.objects.create(part=part, bike=bike, start=start, start_known=known)
        this.said = {**_said(this), "part_id": part.pk, "words": _words(kind, end)}
        event = this.write(bike=bike)
        if row is not None:
            move_bin(event, row, -1, OUT)
        PartDescription.objects.create(event=event, part=part, facts=_known_ones(facts), source=source)
        return PartChanged(part.pk)


def replace(request: ReplaceRequest, *, by: int, key: str, now: datetime) -> PartChanged:
    """Write down that a part gave its place to another one of its kind.

    Raises:
        InputRefused: A fact that its kind has not, a day ahead or before it came, or no such place to go to.
        NotPossibleNow: The part is on no bike.
    """
    with act("part replaced", by=by, key=key, now=now, request=request) as this:
        old = part_by_id(request.part)
        kind = kind_row(old.kind)
        facts = facts_of_kind(kind, end_of(old.place), request.facts)
        source, day = _source(request.source), _day(request.day, now)
        if this.repeated:
            return PartChanged(int(this.done_before.said["part_id"]))
        fitting, bike = _open_fitting(old)
        _end_fitting(fitting, day, request.gone_to)
        new = Part.objects.create(kind=old.kind, place=old.place)
        put_in_place(new, fitting, day)
        this.said = {**_said(this), "part_id": new.pk, "words": _words(kind, old.place)}
        event = this.write(bike=bike)
        PartDescription.objects.create(event=event, part=new, facts=_known_ones(facts), source=source)
        if request.gone_to == BINS:
            into_the_bins(event, old, Decimal(0))
        return PartChanged(new.pk)


def take_off(request: TakeOffRequest, *, by: int, key: str, now: datetime) -> PartChanged:
    """Take a part off the build sheet; it keeps its life.

    Raises:
        InputRefused: A day ahead or before it came, no such place to go to, or a price out of sense.
        NotPossibleNow: The part is on no bike, or every bike has one.
    """
    with act("part taken off", by=by, key=key, now=now, request=request) as this:
        part = part_by_id(request.part)
        kind = kind_row(part.kind)
        day = _day(request.day, now)
        if this.repeated:
            return PartChanged(part.pk)
        if kind.on_every_bike:
            raise NotPossibleNow(
                worded(
                    "Every bike has its {words}: that does not come off. Replace it; another frame is "
                    "another bike.",
                    words=kind.words,
                )
            )
        fitting, bike = _open_fitting(part)
        if kind.carries and bike is not None and request.gone_to != NEVER_THERE:
            put_on_its_wheel(part, bike, day)
        carried = [
            one.part for one in Fitting.objects.filter(wheel=part, end__isnull=True).select_related("part")
        ]
        _end_fitting(fitting, day, request.gone_to)
        this.said = {
            **_said(this),
            "words": _words(kind, part.place),
            "with_it": [str(one) for one in carried],
        }
        event = this.write(bike=bike)
        if request.gone_to == BINS:
            into_the_bins(event, part, request.price)
        return PartChanged(part.pk)


def describe(request: DescribeRequest, *, by: int, key: str, now: datetime) -> PartChanged:
    """Write down facts of a part and how they are known.

    Raises:
        InputRefused: No fact, one that its kind has not, or an answer that it cannot have; then nothing is written.
    """
    with act("part described", by=by, key=key, now=now, request=request) as this:
        part = part_by_id(request.part)
        kind = kind_row(part.kind)
        if not request.facts:
            sentence = worded(
                "Nothing is said of this {part}: name at least one fact, such as {facts}.",
                part=part,
                facts=", ".join(kind.facts[:2]),
            )
            raise InputRefused(sentence, {"facts": sentence})
        facts = facts_of_kind(kind, end_of(part.place), request.facts)
        source = _source(request.source)
        if this.repeated:
            return PartChanged(part.pk)
        write_description(this, part, facts, source)
        return PartChanged(part.pk)


def write_description(this: Act, part: Part, facts: Mapping[str, Value | None], source: str) -> None:
    """Write facts of a part beside the event of an act."""
    bike = bike_of(part)
    this.said = {**_said(this), "words": str(part)}
    PartDescription.objects.create(event=this.write(bike=bike), part=part, facts=dict(facts), source=source)


def confirm_corner(request: ConfirmRequest, *, by: int, key: str, now: datetime) -> Confirmed:
    """Write down that a corner, or the whole bike, is as the build sheet shows it.

    Raises:
        InputRefused: No such corner.
    """
    with act("corner confirmed", by=by, key=key, now=now, request=request) as this:
        bike = bike_by_tag(request.tag)
        corners = tuple(tables().corners)
        if request.corner and request.corner not in corners:
            sentence = worded(
                '"{corner}" is no corner of the bike: {corners}. Choose one.',
                corner=request.corner[:40],
                corners=", ".join(corners),
            )
            raise InputRefused(sentence, {"corner": sentence})
        wanted = (request.corner,) if request.corner else corners
        if this.repeated:
            return Confirmed(wanted)
        first, *others = wanted
        each = {corner: {"corner": corner} for corner in others}
        events = {first: this.write(bike=bike), **this.also_each("corner confirmed", None, each, bike=bike)}
        CornerCheck.objects.bulk_create(
            CornerCheck(event=event, bike=bike, corner=corner) for corner, event in events.items()
        )
        return Confirmed(wanted)


def bike_of(part: Part) -> Bike | None:
    """Return the bike that a part is on, itself or by its wheel."""
    fitting = part.fittings.filter(end__isnull=True).select_related("bike").first()
    if fitting is None:
        return None
    return bike_of(fitting.wheel) if fitting.wheel is not None else fitting.bike


def _said(this: Act) -> dict[str, object]:
    return dict(this.said) if isinstance(this.said, dict) else {}


def _known_ones(facts: Mapping[str, Value | None]) -> dict[str, Value]:
    return {name: value for name, value in facts.items() if value is not None}


def _words(kind: PartKind, end: str) -> str:
    return f"{end} {kind.words}".strip()


def _source(source: str) -> str:
    if source not in SOURCES:
        sentence = worded(
            'How it is known is "{source}": {sources}. Choose one.',
            source=source[:40],
            sources=", ".join(SOURCES),
        )
        raise InputRefused(sentence, {"source": sentence})
    return source


def ends_of(kind: PartKind, bike_kind: str) -> tuple[str, ...]:
    """Return the places at which a part of this kind can be on a kind of bike; an empty one where it need not be said."""
    row = tables().bike_kinds.get(bike_kind)
    if row is not None:
        return row.places_of(kind)
    return {"one": ("",), "each": ("front", "rear"), "any": ("", "front", "rear")}[kind.ends]


def _end_of(kind: PartKind, end: str, bike: Bike) -> str:
    allowed = ends_of(kind, bike.kind)
    wanted = " ".join(end.lower().split())
    if wanted in allowed:
        return wanted
    if allowed == ("",) and wanted == kind.end:
        return ""
    named = [one for one in allowed if one]
    if "" in allowed:
        more = worded(", but for {named}", named=" or ".join(named)) if named else ""
        sentence = worded(
            '{words} at "{end}": no end is said of it{more}. Leave the end out.',
            words=kind.words,
            end=end[:20],
            more=more,
        )
    elif not wanted:
        sentence = worded(
            "Which {words}: {named}? Say where it is.", words=kind.words, named=" or ".join(named)
        )
    else:
        sentence = worded(
            '{words} at "{end}": {named} is possible. Say where it is.',
            words=kind.words,
            end=end[:20],
            named=" or ".join(named),
        )
    raise InputRefused(sentence, {"end": sentence})


def _refuse_second(kind: PartKind, end: str, bike: Bike) -> None:
    taken = {part.end: part for part in build_of(bike).parts if part.kind.id == kind.id}
    if end in taken:
        free = [place for place in ends_of(kind, bike.kind) if place and place not in taken]
        more = worded(" Is it another one? Say that it is at {free}.", free=" or ".join(free)) if free else ""
        raise NotPossibleNow(
            worded(
                "{tag} has a {words} on its build sheet: describe it, replace it, or take it off "
                "first.{more}",
                tag=bike.tag,
                words=taken[end].words,
                more=more,
            )
        )


def _start(request: AddRequest, bike: Bike, now: datetime) -> tuple[date, bool]:
    """Since when a part is on the bike, and whether that is known."""
    if request.since is not None:
        return not_in_future(
            request.since, now, "since", worded("The day since which it is on the bike")
        ), True
    if not request.was_there:
        return local_day(now), True
    first = Fitting.objects.filter(bike=bike).order_by("start").first()
    return (first.start if first else local_day(now)), False


def _day(day: date | None, now: datetime) -> date:
    return local_day(now) if day is None else not_in_future(day, now, "day", worded("The day"))


def _open_fitting(part: Part) -> tuple[Fitting, Bike | None]:
    fitting = part.fittings.filter(end__isnull=True).first()
    if fitting is None:
        raise NotPossibleNow(
            worded("This {part} is on no bike now: nothing was changed. Look at the build sheet.", part=part)
        )
    return fitting, bike_of(part)


def _end_fitting(fitting: Fitting, day: date, gone_to: str) -> None:
    refuse_elsewhere(gone_to)
    if gone_to == NEVER_THERE:
        day = fitting.start
    elif day < fitting.start:
        sentence = worded(
            "It came off on {day:%d %b %Y}: it was fitted on {start:%d %b %Y} only. Correct the day.",
            day=day,
            start=fitting.start,
        )
        raise InputRefused(sentence, {"day": sentence})
    fitting.end, fitting.gone_to = day, gone_to
    fitting.save(update_fields=["end", "gone_to"])


def _in_the_bins(number: str, kind: PartKind, end: str) -> BinPart:
    row = BinPart.objects.select_for_update().filter(number=number.strip()[:60]).first()
    if row is None:
        raise NotFound(
            worded(
                'Nothing in the bins has the number "{number}". Choose a part of the bins.',
                number=number[:40],
            )
        )
    if row.kind.strip().lower() != kind.id or (row.place and end_of(row.place) not in ("", end_of(end))):
        found = f"{row.place} {row.kind}".strip()
        raise NotPossibleNow(
            worded(
                "{number} is a {found}, not a {kind}.", number=row.number, found=found, kind=_words(kind, end)
            )
        )
    if row.count < 1:
        raise NotPossibleNow(
            worded("{number} is not in the bins: it is to be ordered. Choose another one.", number=row.number)
        )
    return row


def _taken_out(row: BinPart, kind: PartKind, end: str) -> Part:
    """The part that comes out of a bin: a used one goes on with its life."""
    if row.used_part is not None:
        row.used_part.place = end
        row.used_part.save(update_fields=["place"])
        return row.used_part
    facts = {name: [value, "records"] for name, value in row.facts.items() if name in kind.facts}
    return Part.objects.create(kind=kind.id, place=end, words=row.words[:200], start_facts=facts)
