"""What a part can be fitted to or taken from: a bike by its tag, an indoor trainer or a peg on the wall by its number."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pinchbolt.engines.build import Build, flat_facts
from pinchbolt.errors import NotFound
from pinchbolt.records.models import Bike, Peg, Trainer
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import build_on_peg, build_on_trainer, sheets_of, sprockets_behind
from pinchbolt.workshop.bikes.movable import movable_name

_NUMBERED = re.compile(r"\s*(trainer|peg)\s+(\d{1,9})\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Host:
    """A bike, an indoor trainer or a peg with its facts; `speeds`: sprockets behind; `owner` where it is a bike.

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
        return self.name.startswith("trainer ")

    @property
    def is_peg(self) -> bool:
        """Whether it is a peg on the wall, where wheels hang and go nowhere."""
        return self.name.startswith("peg ")

    @property
    def is_bike(self) -> bool:
        """Whether it is a bike."""
        return not (self.is_trainer or self.is_peg)

    @property
    def number(self) -> int:
        """The number of a trainer or a peg."""
        return int(self.name.split()[1])


def host(named: str) -> Host:
    """Return the bike, indoor trainer or peg of this name: a tag, 'trainer 3' or 'peg 2'.

    Raises:
        NotFound: There is none.
    """
    numbered = _NUMBERED.fullmatch(named)
    if numbered is None:
        return _of_bike(bike_by_tag(named))
    what, number = numbered[1].lower(), int(numbered[2])
    model = Trainer if what == "trainer" else Peg
    found = model.objects.filter(pk=number).first()
    if isinstance(found, Trainer):
        return _of_trainer(found)
    if isinstance(found, Peg):
        return _with(f"peg {found.pk}", found.words, {}, build_on_peg(found))
    known = ", ".join(
        f"{what} {one}" for one in model.objects.order_by("pk").values_list("pk", flat=True)[:10]
    )
    words = worded("indoor trainer") if what == "trainer" else what
    raise NotFound(
        worded(
            "There is no {words} {number}: {known}. Choose one.",
            words=words,
            number=number,
            known=known or worded("none is on record"),
        )
    )


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
