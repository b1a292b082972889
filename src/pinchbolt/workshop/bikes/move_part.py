"""Writing down that a part went from one bike or indoor trainer to another, with what it carries, so that its use follows it."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Q

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import A_DAY, Event, Fitting, Part
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.bikes.building import MOVED, put_on_its_wheel
from pinchbolt.workshop.bikes.goes_to import BINS, DISPLACED, OWNER, into_the_bins, refuse_elsewhere
from pinchbolt.workshop.bikes.hosts import Host, host
from pinchbolt.workshop.bikes.movable import (
    ENDS,
    as_called,
    kind_and_end,
    movable,
    movable_name,
    on_a_trainer,
)
from pinchbolt.workshop.common.checks import local_day, not_in_future
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables

BOTH_WHEELS = as_kept("both wheels")
"""What is moved where a whole set of wheels goes across: the front and the rear one, with what they carry."""


@dataclass(frozen=True, slots=True)
class MoveRequest:
    """A movable part out of one bike, trainer or peg and into another; in exchange, what was there goes the other way.

    On `day` if it was not today: the owner changed wheels in October and tells it in November. Without an exchange, what was
    there goes to `gone_to`: its owner, the bins at `price`, or scrap.
    """

    move: str
    out_of: str
    into: str
    exchange: bool = False
    day: date | None = None
    gone_to: str = OWNER
    price: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class MoveDayRequest:
    """A move that was written down, by the number of its event, and the day on which it really was."""

    move: int
    day: date


@dataclass(frozen=True, slots=True)
class Moved:
    """What went across, what came back, and what was taken off, in words, and where that lies; `event` is the number of what was written."""

    into: str
    out_of: str
    went: tuple[str, ...]
    came_back: tuple[str, ...]
    taken_off: tuple[str, ...]
    event: int = 0
    lies: str = ""


def move_part(request: MoveRequest, *, by: int, key: str, now: datetime) -> Moved:
    """Write down that a part was moved: fittings end and begin on its day; what is known of it goes along.

    Raises:
        InputRefused: A part that is not moved like that, one side twice, a trainer that does not take it, or a day ahead or before
            a part came to where it was.
        NotFound: No such bike or trainer.
        NotPossibleNow: The part is not on the build sheet of the one that gives it.
    """
    request = replace(request, move=as_called(request.move))
    with act("part moved", by=by, key=key, now=now, request=request) as this:
        source, target = _sides(request)
        if this.repeated:
            told = this.done_before.said
            return Moved(
                target.name,
                source.name,
                tuple(told["went"]),
                tuple(told["came_back"]),
                tuple(told["taken_off"]),
                this.done_before.pk,
                str(told.get("lies", "")),
            )
        refuse_elsewhere(request.gone_to, DISPLACED)
        whats = _each(request.move)
        pairs = [(_fitted(source, what), _fitted(target, what)) for what in whats]
        going, there = [part for one, _ in pairs for part in one], [part for _, one in pairs for part in one]
        if not all(one for one, _ in pairs):
            raise NotPossibleNow(
                worded(
                    "{name} has no {move} on its build sheet: nothing was moved. Look at its bike page.",
                    name=source.name,
                    move=request.move,
                )
            )
        day = (
            local_day(now)
            if request.day is None
            else not_in_future(request.day, now, "day", worded("The day of the move"))
        )
        _refuse_before(going + there, day)
        before = set(Fitting.objects.filter(part__in=going + there).values_list("pk", "end"))
        for goes, back in pairs:
            _carry(goes, target, day)
            if request.exchange:
                _carry(back, source, day)
            else:
                _displaced(back, target, day, request)
        after = set(Fitting.objects.filter(part__in=going + there).values_list("pk", "end"))
        changed = _changed(before, after)
        words = tuple(str(part) for part in going)
        other = tuple(str(part) for part in there)
        done = Moved(
            target.name,
            source.name,
            words,
            other if request.exchange else (),
            () if request.exchange else other,
            lies=DISPLACED[request.gone_to] if there and not request.exchange else "",
        )
        this.said = {**as_json(request), **as_json(done), **changed, "day": day.isoformat()}
        sides = [side for side in (target, source) if side.is_bike]
        bike = bike_by_tag(sides[0].name) if sides else None
        event = this.write(bike=bike)
        if request.gone_to == BINS and not request.exchange:
            for _, back in pairs:
                for part in back[:1]:
                    into_the_bins(event, part, request.price)
        return replace(done, event=event.pk)


def _each(what: str) -> tuple[str, ...]:
    """The single parts that are moved; a set of wheels is two."""
    if what != BOTH_WHEELS:
        return (what,)
    return tuple(
        movable_name(kind.id, end) for kind in tables().kinds.values() if kind.carries for end in ENDS
    )


def _changed(
    before: set[tuple[int, date | None]], after: set[tuple[int, date | None]]
) -> dict[str, list[int]]:
    """Which fittings a move ended and which it began, by number, so that its day can be put right."""
    known = {pk for pk, _ in before}
    began = sorted(pk for pk, _ in after if pk not in known)
    return {"ended": sorted(pk for pk, _ in after - before if pk in known), "began": began}


def _refuse_before(parts: list[Part], day: date) -> None:
    """Nothing is moved before it came; what was there before the records began may have been moved before they did."""
    for fitting in Fitting.objects.filter(part__in=parts, end__isnull=True).select_related("part"):
        if fitting.start <= day:
            continue
        if fitting.start_known or fitting.since_said == A_DAY:
            sentence = worded(
                "The move was on {day:%d %b %Y}: the {part} came there on {start:%d %b %Y} only. "
                "Correct the day.",
                day=day,
                part=fitting.part,
                start=fitting.start,
            )
            raise InputRefused(sentence, {"day": sentence})
        _seen_there(fitting, day)
        fitting.save(update_fields=["start", "seen_from"])


def _seen_there(fitting: Fitting, day: date) -> None:
    """A part that was moved before it was first seen was there by then: what came after it was not before it."""
    fitting.start = day
    if fitting.seen_from is not None:
        fitting.seen_from = day


def put_move_right(request: MoveDayRequest, *, by: int, key: str, now: datetime) -> int:
    """Put the day of a move right; use follows. Returns the event that says so, which can be put right in its turn.

    Raises:
        NotFound: No such move.
        InputRefused: A day ahead, before a part came to where it was, or after it was moved on.
        NotPossibleNow: The move was put right already, or was written down before this could be told.
    """
    with act("part moved", by=by, key=key, now=now, request=request) as this:
        old = Event.objects.filter(pk=request.move, kind="part moved").select_related("bike").first()
        if old is None:
            raise NotFound(
                worded("There is no move {move}. Choose one of the bike's history.", move=request.move)
            )
        if this.repeated:
            return this.done_before.pk
        if "began" not in old.said:
            raise NotPossibleNow(
                worded(
                    "This move was written down before its day could be put right. Correct the parts on "
                    "the build sheet."
                )
            )
        day = not_in_future(request.day, now, "day", worded("The day of the move"))
        ended = list(Fitting.objects.filter(pk__in=old.said["ended"]).select_related("part"))
        began = list(Fitting.objects.filter(pk__in=old.said["began"]).select_related("part"))
        _refuse_day(ended, began, day)
        for fitting in ended:
            fitting.end = day
        for fitting in began:
            fitting.start = day
        Fitting.objects.bulk_update(ended, ["end", "start", "seen_from"])
        Fitting.objects.bulk_update(began, ["start"])
        this.said = {**old.said, "day": day.isoformat(), "corrects": old.pk}
        return this.write(bike=old.bike, corrects=old).pk


def _refuse_day(ended: list[Fitting], began: list[Fitting], day: date) -> None:
    for fitting in ended:
        if fitting.start > day and (fitting.start_known or fitting.since_said == A_DAY):
            sentence = worded(
                "The move was on {day:%d %b %Y}: the {part} came there on {start:%d %b %Y} only. "
                "Correct the day.",
                day=day,
                part=fitting.part,
                start=fitting.start,
            )
            raise InputRefused(sentence, {"day": sentence})
        if fitting.start > day:
            _seen_there(fitting, day)
    for fitting in began:
        if fitting.end is not None and fitting.end < day:
            sentence = worded(
                "The move was on {day:%d %b %Y}: the {part} went on from there on {end:%d %b %Y} "
                "already. Correct the day.",
                day=day,
                part=fitting.part,
                end=fitting.end,
            )
            raise InputRefused(sentence, {"day": sentence})


def _sides(request: MoveRequest) -> tuple[Host, Host]:
    if request.move not in (BOTH_WHEELS, *movable()):
        sentence = worded(
            '"{move}" is not moved from bike to bike: {movable}. Choose one.',
            move=request.move[:40],
            movable=", ".join(movable()),
        )
        raise InputRefused(sentence, {"move": sentence})
    source, target = host(request.out_of), host(request.into)
    if source.name == target.name:
        sentence = worded(
            "{name} is on both sides: a part is moved from one to another. Choose two.", name=source.name
        )
        raise InputRefused(sentence, {"out_of": sentence})
    taken = on_a_trainer()
    if (source.is_trainer or target.is_trainer) and request.move not in taken:
        sentence = worded(
            "An indoor trainer takes a {taken}, not a {move}. Choose another part.",
            taken=worded(" or a ").join(taken),
            move=request.move,
        )
        raise InputRefused(sentence, {"move": sentence})
    if source.is_trainer and target.is_trainer:
        sentence = worded("Both are indoor trainers: one of the two is a bike. Choose it.")
        raise InputRefused(sentence, {"into": sentence})
    if (source.is_peg or target.is_peg) and not all(
        kind_row(kind_and_end(what)[0]).carries for what in _each(request.move)
    ):
        sentence = worded(
            "Wheels hang on a peg, not a {move}: choose a wheel, or {both_wheels}.",
            move=request.move,
            both_wheels=BOTH_WHEELS,
        )
        raise InputRefused(sentence, {"move": sentence})
    return source, target


def _here(side: Host) -> Q:
    """Fittings that are open on this side."""
    if side.is_bike:
        return Q(bike__tag=side.name, end__isnull=True)
    return Q(end__isnull=True, **_on(side))


def _on(side: Host) -> dict[str, int]:
    """The one field of a fitting that says what it is on."""
    if side.is_bike:
        return {"bike_id": bike_by_tag(side.name).pk}
    return {"trainer_id" if side.is_trainer else "peg_id": side.number}


def _fitted(side: Host, what: str) -> list[Part]:
    """The parts on this side that go with a movable part: a wheel, and what stands beside it and belongs to one at its end."""
    kind, end = kind_and_end(what)
    direct = list(Part.objects.filter(fittings__in=Fitting.objects.filter(_here(side))).order_by("pk"))
    carried = list(Part.objects.filter(fittings__end__isnull=True, fittings__wheel__in=direct).order_by("pk"))
    own = [part for part in (*direct, *carried) if part.kind == kind and (not end or part.place == end)]
    if not end:
        # Of two chains the one that stands at no place of its own, such as the stoker's, is meant.
        own = [part for part in own if not part.place] or own
    if not own or not kind_row(kind).carries:
        return own
    return [*own, *(part for part in (*direct, *carried) if _goes_with_a_wheel(part, end))]


def _goes_with_a_wheel(part: Part, end: str) -> bool:
    row = kind_row(part.kind)
    return row.fitted_to == "wheel" and (part.place or row.end or "rear") == end


def _carry(parts: list[Part], to: Host, today: date) -> None:
    """End what is open and begin it anew on the other side; what a wheel carries is fitted to the wheel from now on."""
    if not parts:
        return
    on = _on(to)
    first, *rest = parts
    wheel = first if kind_row(first.kind).carries else None
    stays = (
        Fitting.objects.filter(part__in=rest, end__isnull=True, wheel=wheel)
        if wheel
        else Fitting.objects.none()
    )
    there = set(stays.values_list("part_id", flat=True))
    going = [part for part in parts if part.pk not in there]
    _off(going, today, MOVED)
    Fitting.objects.bulk_create(
        [
            Fitting(part=part, wheel=wheel, start=today)
            if wheel is not None and part is not first
            else Fitting(part=part, start=today, **on)
            for part in going
        ]
    )


def _displaced(parts: list[Part], side: Host, day: date, request: MoveRequest) -> None:
    """What another part took the place of comes off as one piece, a wheel with what it carries, and lies where it was said."""
    if not parts:
        return
    first = parts[0]
    if kind_row(first.kind).carries and side.is_bike:
        put_on_its_wheel(first, bike_by_tag(side.name), day)
    _off(parts, day, request.gone_to)


def _off(parts: list[Part], today: date, gone_to: str) -> None:
    """End the open fittings of parts; what a wheel carries stays on the wheel that is taken off."""
    wheels = [part.pk for part in parts if kind_row(part.kind).carries]
    rows = Fitting.objects.filter(part__in=parts, end__isnull=True)
    if gone_to != MOVED:
        rows = rows.exclude(wheel__in=wheels)
    rows.update(end=today, gone_to=gone_to)
