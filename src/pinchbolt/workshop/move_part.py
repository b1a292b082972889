"""Writing down that a part went from one bike or indoor trainer to another, with what it carries, so that its use follows it."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bike, Fitting, Part, Trainer
from pinchbolt.workshop.acting import act
from pinchbolt.workshop.checks import local_day
from pinchbolt.workshop.hosts import Host, host
from pinchbolt.workshop.looking_up import bike_by_tag
from pinchbolt.workshop.part_facts import (
    MOVABLE,
    apart,
    kind_and_end,
    names_of,
    taken_from,
    with_what_it_carries,
)
from pinchbolt.workshop.plain import as_json

# What goes with a wheel that is fitted to the bike and not to the wheel on record.
_WITH_A_WHEEL = ("wheel", "tyre", "tube", "sealant", "rim", "rotor")
_BEHIND = ("cassette", "freehub")
# What an indoor trainer takes: a whole rear wheel, or a cassette on its own body.
_ON_A_TRAINER = ("rear wheel", "cassette")


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
    """Write down that a part was moved: fittings end and begin today, and the facts of both build sheets follow.

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
            Fitting.objects.filter(part__in=there, end__isnull=True).update(end=today)
        _facts_follow(source, target, asked)
        words = tuple(str(part) for part in going)
        other = tuple(str(part) for part in there)
        done = Moved(
            target.name, source.name, words, other if asked.exchange else (), () if asked.exchange else other
        )
        this.said = {**as_json(asked), **as_json(done)}
        this.write(bike=bike_by_tag(target.name) if not target.is_trainer else bike_by_tag(source.name))
        return done


def _sides(asked: MoveAsked) -> tuple[Host, Host]:
    if asked.move not in MOVABLE:
        sentence = f'"{asked.move[:40]}" is not moved from bike to bike: {", ".join(MOVABLE)}. Choose one.'
        raise InputRefused(sentence, {"move": sentence})
    source, target = host(asked.out_of), host(asked.into)
    if source.name == target.name:
        sentence = f"{source.name} is on both sides: a part is moved from one to another. Choose two."
        raise InputRefused(sentence, {"out_of": sentence})
    if (source.is_trainer or target.is_trainer) and asked.move not in _ON_A_TRAINER:
        sentence = f"An indoor trainer takes a {' or a '.join(_ON_A_TRAINER)}, not a {asked.move}. Choose another part."
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
    """The parts that are fitted to this side and go with a movable part; what is fitted to a wheel goes with it unsaid."""
    kind, end = kind_and_end(what)
    kinds = _WITH_A_WHEEL if kind == "wheel" else (kind,)
    rows: QuerySet[Part] = Part.objects.filter(fittings__in=Fitting.objects.filter(_here(side)))
    found = rows.filter(kind__in=kinds, place=end) if end else rows.filter(kind__in=kinds)
    if kind == "wheel" and end == "rear":
        found = found | rows.filter(kind__in=_BEHIND)
    if kind == "cassette" and not side.is_trainer:
        # The cassette may be fitted to the rear wheel on record.
        wheels = rows.filter(kind="wheel", place="rear")
        found = found | Part.objects.filter(
            kind="cassette", fittings__wheel__in=wheels, fittings__end__isnull=True
        )
    return list(found.distinct().order_by("pk"))


def _carry(parts: list[Part], to: Host, today: date) -> None:
    """End what is open and begin it anew on the other side."""
    Fitting.objects.filter(part__in=parts, end__isnull=True).update(end=today)
    bike = None if to.is_trainer else bike_by_tag(to.name)
    trainer = Trainer.objects.get(pk=int(to.name.split()[1])) if to.is_trainer else None
    Fitting.objects.bulk_create(
        [Fitting(part=part, bike=bike, trainer=trainer, start=today) for part in parts]
    )


def _facts_follow(source: Host, target: Host, asked: MoveAsked) -> None:
    """The facts of what was moved stand on the other build sheet; what is not known of it is known no longer."""
    parts = with_what_it_carries(asked.move)
    went, came = taken_from(source.facts, parts), taken_from(target.facts, parts)
    _keep(target, {**apart(target.facts), **went})
    back = came if asked.exchange else dict.fromkeys(name for part in parts for name in names_of(part))
    _keep(source, {**apart(source.facts), **back})


def _keep(side: Host, facts: dict[str, object]) -> None:
    known = {name: value for name, value in facts.items() if value is not None}
    if side.is_trainer:
        Trainer.objects.filter(pk=int(side.name.split()[1])).update(facts=known)
    else:
        Bike.objects.filter(tag=side.name).update(facts=known)
