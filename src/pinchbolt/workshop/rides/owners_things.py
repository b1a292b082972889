"""What an owner rides beside the bike that comes in: further bikes, wheels that hang on the wall, indoor trainers."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, Fitting, Owner, Part, Peg, Trainer
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import facts_of_part, kind_row, parts_at, parts_on
from pinchbolt.workshop.bikes.building import bike_from_template
from pinchbolt.workshop.common.checks import local_day, number, short
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.owners.one_person import all_of
from pinchbolt.workshop.rides.on_since import first_fittings, write_since


@dataclass(frozen=True, slots=True)
class OwnBikeRequest:
    """A further bike of the owner of the bike with this tag, by a build template or its kind alone; it need not come in.

    `on_since` is the day since which its parts are on it, or with `all_along` they are as long as the owner has it.
    """

    tag: str
    template: str = ""
    bike_kind: str = ""
    bike_words: str = ""
    speeds: int | None = None
    km_a_week: float | None = None
    on_since: date | None = None
    all_along: bool = False


@dataclass(frozen=True, slots=True)
class OwnTrainerRequest:
    """An indoor trainer of the owner of the bike with this tag, which takes the rear wheel's place; `sprockets`: it has its own."""

    tag: str
    words: str = ""
    sprockets: bool = False


@dataclass(frozen=True, slots=True)
class OwnWheelsRequest:
    """A second set of wheels for the bike with this tag, as its own but for what nobody knows; it hangs on the wall."""

    tag: str
    words: str = ""


@dataclass(frozen=True, slots=True)
class ThingMade:
    """What was written down, by the name under which it is moved or placed: a tag, 'trainer 2', 'peg 1'."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class OnTheWall:
    """A peg, and what hangs there in words; empty where nothing does."""

    name: str
    words: str
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OwnersThings:
    """All that an owner rides: bikes by tag with their words, trainers by number, pegs with their wheels."""

    bikes: tuple[tuple[str, str], ...]
    trainers: tuple[tuple[int, str], ...]
    pegs: tuple[OnTheWall, ...]


def things_of(owner: Owner) -> OwnersThings:
    """Return what an owner rides; a trainer of which nobody said whose it is may be anybody's."""
    return OwnersThings(
        tuple(owner.bikes.order_by("tag").values_list("tag", "words")),
        trainers_of(owner),
        tuple(
            OnTheWall(f"peg {peg.pk}", peg.words, tuple(str(part) for part in parts_at(peg=peg)))
            for peg in Peg.objects.filter(owner__in=all_of(owner.pk)).order_by("pk")
        ),
    )


def trainers_of(owner: Owner) -> tuple[tuple[int, str], ...]:
    """Return the indoor trainers that this owner may have ridden on, by number and name."""
    own = Trainer.objects.filter(Q(owner__in=all_of(owner.pk)) | Q(owner__isnull=True))
    return tuple(own.order_by("name", "pk").values_list("pk", "name"))


def add_own_bike(request: OwnBikeRequest, *, by: int, key: str, now: datetime) -> ThingMade:
    """Write down a further bike of an owner, so that rides can be told apart before it ever comes in.

    Raises:
        InputRefused: No such template or kind, a number out of sense, or a day ahead.
        NotFound: No bike has this tag.
    """
    with act("own bike added", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            assert this.done_before.bike is not None  # written with the bike that was made
            return _bike_made(this.done_before.bike)
        owner = bike_by_tag(request.tag).owner
        bike = bike_from_template(
            request.template,
            owner=owner,
            words=short(request.bike_words, "bike_words", worded("The bike in words"), 200),
            frame_number="",
            speeds=request.speeds,
            use_class="",
            today=local_day(now),
            bike_kind=request.bike_kind,
        )
        if request.km_a_week is not None:
            bike.km_a_week = number(
                request.km_a_week, "km_a_week", worded("The distance a week"), 0, 2000, "km"
            )
            bike.save(update_fields=["km_a_week"])
        if request.on_since or request.all_along:
            fittings = first_fittings(bike)
            write_since(fittings, request.on_since, now, all_along=request.all_along, field="on_since")
        this.write(bike=bike)
        return _bike_made(bike)


def _bike_made(bike: Bike) -> ThingMade:
    return ThingMade(bike.tag, bike.words)


def add_own_trainer(request: OwnTrainerRequest, *, by: int, key: str, now: datetime) -> ThingMade:
    """Write down an owner's indoor trainer: rides on it turn chain and cranks of a bike, and nothing of its wheels or brakes.

    Raises:
        InputRefused: No name, or too long a one.
        NotFound: No bike has this tag.
    """
    with act("own trainer added", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return ThingMade(str(this.done_before.said["name"]), str(this.done_before.said["words"]))
        bike = bike_by_tag(request.tag)
        words = short(request.words, "words", worded("What the trainer is called"), 120, needed=True)
        trainer = Trainer.objects.create(name=words, owner=bike.owner)
        if request.sprockets:
            kinds = [
                kind
                for kind in tables().kinds.values()
                if kind.rides == "as its wheel" and kind.ends == "one"
            ]
            for kind in [kind for kind in kinds if kind.swaps][:1]:
                part = Part.objects.create(kind=kind.id)
                Fitting.objects.create(part=part, trainer=trainer, start=local_day(now), start_known=False)
        made = ThingMade(f"trainer {trainer.pk}", words)
        this.said = {"tag": bike.tag, "name": made.name, "words": words, "sprockets": request.sprockets}
        this.write(bike=bike)
        return made


def add_own_wheels(request: OwnWheelsRequest, *, by: int, key: str, now: datetime) -> ThingMade:
    """Write down a second set of wheels: each with what the bike's own wheel carries; it goes nowhere until it is moved.

    Raises:
        InputRefused: No name, or too long a one; or the bike has no wheels on its build sheet.
        NotFound: No bike has this tag.
    """
    with act("own wheels added", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return ThingMade(str(this.done_before.said["name"]), str(this.done_before.said["words"]))
        bike = bike_by_tag(request.tag)
        words = short(request.words, "words", worded("What the wheels are called"), 120, needed=True)
        there = parts_on(bike)
        wheels = [part for part in there if kind_row(part.kind).carries]
        if not wheels:
            sentence = worded(
                "{tag} has no wheel on its build sheet: put its own there first, then a second set.",
                tag=bike.tag,
            )
            raise InputRefused(sentence, {"tag": sentence})
        peg = Peg.objects.create(owner=bike.owner, words=words)
        for wheel in wheels:
            new = _like(wheel, local_day(now), peg=peg, words=words)
            for part in there:
                row = kind_row(part.kind)
                if row.fitted_to == "wheel" and (part.place or row.end or "rear") == wheel.place:
                    _like(part, local_day(now), wheel=new)
        made = ThingMade(f"peg {peg.pk}", words)
        this.said = {"tag": bike.tag, "name": made.name, "words": words}
        this.write(bike=bike)
        return made


def _like(old: Part, day: date, *, words: str = "", **on: object) -> Part:
    """A part of the same kind and place; what it is, is a guess until somebody has looked."""
    always = kind_row(old.kind).always or {}
    usual = {name: [known.value, "guess"] for name, known in facts_of_part(old).items() if name not in always}
    new = Part.objects.create(kind=old.kind, place=old.place, words=words, start_facts=usual)
    Fitting.objects.create(part=new, start=day, start_known=False, **on)
    return new
