"""What a part can be fitted to or taken from: a bike by its tag, or an indoor trainer by its number."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pinchbolt.engines.build import Build, flat_facts
from pinchbolt.errors import NotFound
from pinchbolt.records.models import Bike, Trainer
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import build_on_trainer, sheets_of, sprockets_behind
from pinchbolt.workshop.bikes.movable import movable_name

_TRAINER = re.compile(r"\s*trainer\s+(\d{1,9})\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Host:
    """A bike or an indoor trainer with its facts; `speeds`: sprockets behind.

    `parts`: its parts by the names by which they are moved.
    """

    name: str
    words: str
    facts: Mapping[str, object]
    speeds: int | None = None
    owner: int | None = None
    parts: frozenset[str] = frozenset()

    @property
    def is_trainer(self) -> bool:
        """Whether it is an indoor trainer."""
        return self.owner is None


def host(named: str) -> Host:
    """Return the bike or indoor trainer of this name: a tag, or 'trainer 3'.

    Raises:
        NotFound: There is none.
    """
    numbered = _TRAINER.fullmatch(named)
    if numbered is None:
        return _of_bike(bike_by_tag(named))
    trainer = Trainer.objects.filter(pk=int(numbered[1])).first()
    if trainer is None:
        known = (
            ", ".join(f"trainer {one.pk}" for one in Trainer.objects.order_by("pk")[:10])
            or "none is on record"
        )
        raise NotFound(f"There is no indoor trainer {numbered[1]}: {known}. Choose one.")
    return _of_trainer(trainer)


def _of_bike(bike: Bike) -> Host:
    return _of_bikes([bike])[0]


def _of_bikes(bikes: Iterable[Bike]) -> tuple[Host, ...]:
    rows = list(bikes)
    sheets = sheets_of(rows)
    return tuple(_with(one.tag, one.words, {}, sheets[one.pk].build, one.owner_id) for one in rows)


def _of_trainer(trainer: Trainer) -> Host:
    # What stands on the trainer now tells more than what it was bought with.
    return _with(f"trainer {trainer.pk}", trainer.name, trainer.facts, build_on_trainer(trainer))


def _with(name: str, words: str, facts: Mapping[str, object], build: Build, owner: int | None = None) -> Host:
    parts = frozenset(movable_name(part.kind.id, part.side) for part in build.parts)
    return Host(name, words, {**facts, **flat_facts(build)}, sprockets_behind(build), owner, parts)


def hosts_of_owner(owner: int) -> tuple[Host, ...]:
    """Every bike of an owner."""
    return _of_bikes(Bike.objects.filter(owner_id=owner).order_by("tag"))


def every_host(most: int = 200) -> tuple[Host, ...]:
    """Bikes by tag, then indoor trainers."""
    bikes = _of_bikes(Bike.objects.order_by("tag")[:most])
    return (*bikes, *(_of_trainer(one) for one in Trainer.objects.order_by("pk")[:most]))
