"""The build sheet read from the records: which parts are on a bike, what is known of each and how, what hands confirmed."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import cast

from django.db.models import QuerySet

from pinchbolt.engines.build import (
    CONFIRMING,
    ELSEWHERE,
    Build,
    FactValue,
    PartOn,
    Source,
    drawn_pieces,
    flat_facts,
    settled,
)
from pinchbolt.records.models import Bike, CornerCheck, Fitting, Part, PartDescription, Peg, Reading, Trainer
from pinchbolt.records.prepared import prepared
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.kinds import PartKind, Value
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables

# The way from a fitting to the bike: to itself, or by the wheel that it is fitted to.
_DIRECTLY, _BY_WHEEL = "", "wheel__fittings__"
_OWNER: Source = "owner's word"
_WEIGHT: Mapping[str, int] = {
    **dict.fromkeys(CONFIRMING, 0),
    "records": 1,
    _OWNER: 2,
    "template": 3,
    "guess": 4,
}


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """A bike's parts as records, by number, and as the build engine takes them."""

    build: Build
    parts: Mapping[int, Part]


def build_of(bike: Bike) -> Build:
    """Return a bike's build sheet as it stands now."""
    return sheet_of_bike(bike).build


@once_a_look.of(Fitting, Part, PartDescription, Reading, CornerCheck, Bike)
def sheet_of_bike(bike: Bike) -> BuildSheet:
    """Return a bike's build sheet with the records of its parts."""
    return sheets_of([bike])[bike.pk]


def sheets_of(bikes: Iterable[Bike]) -> dict[int, BuildSheet]:
    """Return the build sheets of bikes by their number, with five questions to the records for all of them."""
    by_number = {bike.pk: bike for bike in bikes}
    numbers = tuple(by_number)
    fittings: dict[int, list[Fitting]] = {number: [] for number in by_number}
    for fitting, number in _fittings(numbers):
        fittings[number].append(fitting)
    parts = tuple(fitting.part_id for here in fittings.values() for fitting in here)
    described = _described(parts)
    read = _read(parts)
    corners = _corners(numbers)
    made = {}
    for number, bike in by_number.items():
        seen = corners.get(number, {})
        on = tuple(
            _part_on(one, described.get(one.part_id, []), read.get(one.part_id, frozenset()), seen)
            for one in fittings[number]
        )
        build = _as_before(number, Build(tables(), bike.kind, on, frozenset(seen)))
        made[number] = BuildSheet(build, {one.part_id: one.part for one in fittings[number]})
    return made


@lru_cache(256)
def _made_last(bike: int) -> list[Build]:
    """The place where the build made last of a bike is kept: of about as many bikes as are in the shop, and come and go."""
    return []


def _as_before(bike: int, build: Build) -> Build:
    """The build that was made last of this bike where this one is the same in all: what follows from it was worked out already."""
    last = _made_last(bike)
    for before in last:
        if before.tables is build.tables and before == build:
            return before
    last[:] = [build]
    return build


@dataclass(frozen=True, slots=True)
class PartsHere:
    """Which parts are on a bike, by number, and what they bring to its drawing; nothing of what is known of them."""

    numbers: frozenset[int]
    pieces: frozenset[str]


@once_a_look.of(Fitting, Part, PartDescription, Reading, CornerCheck, Bike)
def parts_here(bike: Bike) -> PartsHere:
    """Return which parts are on a bike now."""
    sheet = sheet_of_bike(bike)
    return PartsHere(frozenset(sheet.parts), drawn_pieces(sheet.build))


def look_up_parts_here(bikes: Collection[Bike]) -> None:
    """Look up the parts of bikes together, for this look: for a line each, without the facts of two thousand parts."""
    numbers: dict[int, list[int]] = {bike.pk: [] for bike in bikes}
    kinds: dict[int, list[tuple[str, str]]] = {bike.pk: [] for bike in bikes}
    for to in (_DIRECTLY, _BY_WHEEL):
        for part, kind, place, bike in _kinds_fitted(tuple(numbers), to=to):
            numbers[bike].append(part)
            kinds[bike].append((kind, place))
    parts_here.many(
        {
            (bike,): PartsHere(
                frozenset(numbers[bike.pk]), _pieces(tables(), bike.kind, tuple(kinds[bike.pk]))
            )
            for bike in bikes
        }
    )


@lru_cache(256)
def _pieces(of: Tables, bike_kind: str, kinds: tuple[tuple[str, str], ...]) -> frozenset[str]:
    """What parts of these kinds and places bring to the drawing of a bike."""
    on = (PartOn(number, kind_row(kind), place) for number, (kind, place) in enumerate(kinds))
    return drawn_pieces(Build(of, bike_kind, tuple(on)))


@prepared
def _kinds_fitted(bikes: tuple[int, ...], *, to: str) -> QuerySet[Fitting, tuple[int, str, str, int]]:
    return _on_bikes(bikes, to).values_list("part_id", "part__kind", "part__place", f"{to}bike_id")


def _on_bikes(bikes: tuple[int, ...], to: str) -> QuerySet[Fitting]:
    """Open fittings to these bikes, or to wheels that are on them, bike by bike: in the order of the rows all fittings that there
    ever were would be gone through for those of fifty bikes."""
    there = {"end__isnull": True, f"{to}end__isnull": True, f"{to}bike__in": bikes}
    return Fitting.objects.filter(**there).order_by(f"{to}bike_id", "pk")


def build_on_trainer(trainer: Trainer) -> Build:
    """Return what stands on an indoor trainer: a wheel with all that is fitted to it, or a cassette."""
    return _standing(trainer=trainer)


def build_on_peg(peg: Peg) -> Build:
    """Return what hangs on a peg: wheels with all that is fitted to them."""
    return _standing(peg=peg)


def parts_at(**place: object) -> list[Part]:
    """Return the parts at a trainer or a peg (by the name of the fitting's field), those on its wheels last."""
    return [one.part for one in _fitted_at(**place)]


def _fitted_at(**place: object) -> list[Fitting]:
    open_ones = Fitting.objects.filter(end__isnull=True).select_related("part").order_by("pk")
    direct = list(open_ones.filter(**place))
    return [*direct, *open_ones.filter(wheel__in=[one.part_id for one in direct])]


def _standing(**place: object) -> Build:
    there = _fitted_at(**place)
    described = _described(tuple(one.part_id for one in there))
    parts = tuple(_part_on(one, described.get(one.part_id, []), frozenset(), {}) for one in there)
    return Build(tables(), "", parts)


@once_a_look.of(Fitting, Part)
def parts_on(bike: Bike) -> list[Part]:
    """Return the parts fitted to a bike now, those on its wheels last."""
    return [fitting.part for fitting, _ in _fittings((bike.pk,))]


@once_a_look.of(Fitting, Part)
def _fittings(bikes: tuple[int, ...]) -> tuple[tuple[Fitting, int], ...]:
    """Open fittings to these bikes, then those to wheels that are on them, each with the bike's number."""
    direct = [(one, one.bike_id) for one in _fitted(bikes, to=_DIRECTLY) if one.bike_id is not None]
    bike_of = {one.part_id: number for one, number in direct}
    carried = _fitted(bikes, to=_BY_WHEEL)
    return (*direct, *((one, bike_of[one.wheel_id]) for one in carried if one.wheel_id is not None))


@prepared
def _fitted(bikes: tuple[int, ...], *, to: str) -> QuerySet[Fitting]:
    return _on_bikes(bikes, to).select_related("part")


@once_a_look.of(PartDescription)
def _described(parts: tuple[int, ...]) -> Mapping[int, list[PartDescription]]:
    found: dict[int, list[PartDescription]] = {}
    for row in _descriptions(parts):
        found.setdefault(row.part_id, []).append(row)
    return found


@prepared
def _descriptions(parts: tuple[int, ...]) -> QuerySet[PartDescription]:
    return PartDescription.objects.filter(part__in=parts, event__corrected_by__isnull=True).order_by(
        "part_id", "pk"
    )


@once_a_look.of(Reading)
def _read(parts: tuple[int, ...]) -> Mapping[int, frozenset[str]]:
    found: dict[int, set[str]] = {}
    for part, limit in _limits_read(parts):
        found.setdefault(part, set()).add(limit)
    return {part: frozenset(limits) for part, limits in found.items()}


@prepared
def _limits_read(parts: tuple[int, ...]) -> QuerySet[Reading, tuple[int, str]]:
    rows = Reading.objects.filter(part__in=parts, event__corrected_by__isnull=True)
    return rows.values_list("part", "limit").distinct()


@once_a_look.of(CornerCheck)
def _corners(bikes: tuple[int, ...]) -> Mapping[int, dict[str, date]]:
    """The day on which each corner of each bike was last looked at."""
    found: dict[int, dict[str, date]] = {}
    for bike, corner, at in _corner_checks(bikes):
        found.setdefault(bike, {})[corner] = local_day(at)
    return found


@prepared
def _corner_checks(bikes: tuple[int, ...]) -> QuerySet[CornerCheck, tuple[int, str, datetime]]:
    rows = CornerCheck.objects.filter(bike__in=bikes, event__corrected_by__isnull=True).order_by(
        "bike_id", "pk"
    )
    # What was said with it is not asked for: a page of fifty bikes would read ten thousand texts for nothing.
    return rows.values_list("bike_id", "corner", "event__at")


def _part_on(
    fitting: Fitting, described: list[PartDescription], read: frozenset[str], corners: Mapping[str, date]
) -> PartOn:
    part = fitting.part
    kind = kind_row(part.kind)
    bare = PartOn(part.pk, kind, part.place)
    looked = corners.get(tables().spots.get(bare.station, ""))
    by_hand = fitting.start_known or bool(described) or bool(read)
    confirmed = by_hand or (looked is not None and looked >= fitting.start)
    facts = settled(kind, facts_known(part.start_facts, described))
    if looked is not None and looked >= fitting.start:
        facts = {name: _as_seen(name, known) for name, known in facts.items()}
    return PartOn(part.pk, kind, part.place, facts, confirmed, read)


def _as_seen(name: str, known: FactValue) -> FactValue:
    """A fact that an eye tells, once its corner was confirmed as shown; a marking or a measure is not laundered so."""
    row = tables().facts.get(name)
    if known.confirmed or row is None or row.seen != "eye" or known.source == _OWNER:
        return known
    return FactValue(known.value, "read off the part", known.told)


def kind_row(kind: str) -> PartKind:
    """Return the row of a kind; one that no table has (any more) is shown and never read."""
    row = tables().kinds.get(kind)
    if row is not None:
        return row
    return PartKind(
        id=kind, rides="all", station=ELSEWHERE, source=worded("not in the table of kinds"), certain="low"
    )


def facts_known(
    start: Mapping[str, tuple[Value, Source]], described: Iterable[PartDescription]
) -> dict[str, FactValue]:
    """Return what is known of a part: of the surest sources the newest, and what the owner said since where that differs.

    The owner's word is remembered under what was read: where that is taken back, his word is what is left. He takes back
    nothing but his word; who has the part in hand takes back what stands.
    """
    known: dict[str, FactValue] = {}
    words: dict[str, Value] = {}
    since: set[str] = set()
    told = [(name, value, source) for name, (value, source) in start.items()]
    told += [
        (name, value, cast(Source, row.source)) for row in described for name, value in row.facts.items()
    ]
    for name, value, source in told:
        before = known.get(name)
        if source == _OWNER:
            words.pop(name, None)
            if value is not None:
                words[name] = value
                since.add(name)
        elif value is None:
            if before is None or _WEIGHT[before.source] > _WEIGHT[_OWNER]:
                words.pop(name, None)
            known.pop(name, None)
        elif before is None or _WEIGHT[source] <= _WEIGHT[before.source]:
            known[name] = FactValue(value, source)
            since.discard(name)
    for name, word in words.items():
        over = known.get(name)
        if over is None or _WEIGHT[over.source] > _WEIGHT[_OWNER]:
            known[name] = FactValue(word, _OWNER)
        elif name in since and word != over.value:
            known[name] = FactValue(over.value, over.source, told=word)
    return known


def facts_of_part(part: Part) -> dict[str, FactValue]:
    """Return what is known of a part, on a bike or off."""
    rows = PartDescription.objects.filter(part=part, event__corrected_by__isnull=True).order_by("pk")
    return settled(kind_row(part.kind), facts_known(part.start_facts, rows))


def facts_of_bike(bike: Bike) -> dict[str, Value]:
    """Return the facts of a bike by the names of the fit rules."""
    return flat_facts(build_of(bike))


def sprockets_behind(build: Build) -> int | None:
    """Return how many sprockets stand behind, or None where nobody knows."""
    return _count(build, "sprockets_behind")


def gears_of(build: Build) -> int | None:
    """Return how many gears are behind: in the hub or at the cranks, else sprockets."""
    return _count(build, "gears") or sprockets_behind(build)


def _count(build: Build, fact: str) -> int | None:
    values = [value for part in build.parts if isinstance(value := part.value(fact), int | float)]
    return int(values[0]) if values else None
