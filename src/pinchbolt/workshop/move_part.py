"""Writing down that a part went from one bike or indoor trainer to another, with what it carries, so that its use follows it."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Fitting, Part, Trainer
from pinchbolt.workshop.acting import act
from pinchbolt.workshop.build_sheet import kind_row
from pinchbolt.workshop.checks import local_day
from pinchbolt.workshop.hosts import Host, host
from pinchbolt.workshop.looking_up import bike_by_tag
from pinchbolt.workshop.movable import kind_and_end, movable, on_a_trainer
from pinchbolt.workshop.plain import as_json

MOVED = "moved"


@dataclass(frozen=True, slots=True)
class MoveAsked:
    """A movable part out of one bike or trainer and into another; in exchange, what was there goes the other way."""

    move: str
    out_of: str
    into: str
    exchange: bool = False


@dataclass(frozen=True, slots=True)
class Moved:
    """What went across, what came back, and what was taken off and lies aside, in words."""

    into: str
    out_of: str
    went: tuple[str, ...]
    came_back: tuple[str, ...]
    taken_off: tuple[str, ...]


def move_part(asked: MoveAsked, *, by: int, key: str, now: datetime) -> Moved:
    """Write down that a part was moved: fittings end and begin today; what is known of it goes along.

    Raises:
        InputRefused: A part that is not moved like that, one side twice, or a trainer that does not take it.
        NotFound: No such bike or trainer.
        NotPossibleNow: The part is not on the build sheet of the one that gives it.
    """
    with act("part moved", by=by, key=key, now=now, asked=asked) as this:
        source, target = _sides(asked)
        if this.repeated:
            told = this.done_before.said
            return Moved(
                target.name,
                source.name,
                tuple(told["went"]),
                tuple(told["came_back"]),
                tuple(told["taken_off"]),
            )
        going, there = _fitted(source, asked.move), _fitted(target, asked.move)
        if not going:
            raise NotPossibleNow(
                f"{source.name} has no {asked.move} on its build sheet: nothing was moved. Look at its bike page."
            )
        today = local_day(now)
        _carry(going, target, today)
        if asked.exchange:
            _carry(there, source, today)
        else:
            _off(there, today)
        words = tuple(str(part) for part in going)
        other = tuple(str(part) for part in there)
        done = Moved(
            target.name, source.name, words, other if asked.exchange else (), () if asked.exchange else other
        )
        this.said = {**as_json(asked), **as_json(done)}
        this.write(bike=bike_by_tag(target.name) if not target.is_trainer else bike_by_tag(source.name))
        return done


def _sides(asked: MoveAsked) -> tuple[Host, Host]:
    if asked.move not in movable():
        sentence = f'"{asked.move[:40]}" is not moved from bike to bike: {", ".join(movable())}. Choose one.'
        raise InputRefused(sentence, {"move": sentence})
    source, target = host(asked.out_of), host(asked.into)
    if source.name == target.name:
        sentence = f"{source.name} is on both sides: a part is moved from one to another. Choose two."
        raise InputRefused(sentence, {"out_of": sentence})
    taken = on_a_trainer()
    if (source.is_trainer or target.is_trainer) and asked.move not in taken:
        sentence = (
            f"An indoor trainer takes a {' or a '.join(taken)}, not a {asked.move}. Choose another part."
        )
        raise InputRefused(sentence, {"move": sentence})
    if source.is_trainer and target.is_trainer:
        sentence = "Both are indoor trainers: one of the two is a bike. Choose it."
        raise InputRefused(sentence, {"into": sentence})
    return source, target


def _here(side: Host) -> Q:
    """Fittings that are open on this side."""
    on = Q(trainer_id=int(side.name.split()[1])) if side.is_trainer else Q(bike__tag=side.name)
    return on & Q(end__isnull=True)


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
    bike = None if to.is_trainer else bike_by_tag(to.name)
    trainer = Trainer.objects.get(pk=int(to.name.split()[1])) if to.is_trainer else None
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
            else Fitting(part=part, bike=bike, trainer=trainer, start=today)
            for part in going
        ]
    )


def _off(parts: list[Part], today: date, gone_to: str = "") -> None:
    """End the open fittings of parts; what a wheel carries stays on the wheel."""
    wheels = [part.pk for part in parts if kind_row(part.kind).carries]
    rows = Fitting.objects.filter(part__in=parts, end__isnull=True)
    if not gone_to:
        rows = rows.exclude(wheel__in=wheels)
    rows.update(end=today, gone_to=gone_to)
