"""From a build sheet and the tables to what the choice of looks takes; asks no record."""

from collections.abc import Iterable, Mapping

from pinchbolt.engines.build import Build, LookOn, is_such_a_bike, looks_on
from pinchbolt.engines.look import Causes, Look, LookFault, LookSheet, LookStation, Opening, Split, UsePast
from pinchbolt.reference.rows.looks import AccessRow, ComplaintRow, LookFaultRow

NOTHING_KNOWN = UsePast()
Forecasts = Mapping[tuple[str, str], tuple[float, str]]
"""Chance of being past its limit now, and what tells it, by limit row and end."""


def look_sheet(
    build: Build,
    *,
    complaints: Iterable[str] = (),
    past: UsePast = NOTHING_KNOWN,
    forecasts: Forecasts | None = None,
) -> LookSheet:
    """Return what may be looked at on a bike, by the tables that it is judged by."""
    tables, on = build.tables, looks_on(build)
    order = {name: number for number, name in enumerate(tables.stations)}
    on = tuple(sorted(on, key=lambda one: order.get(one.station, len(order))))
    faults = _faults(build, on, forecasts or {})
    told = [tables.complaints[name] for name in complaints if name in tables.complaints]
    return LookSheet(
        tuple(LookStation(row.id, row.words, row.stand) for row in tables.stations.values()),
        tuple(_look(one, on, faults) for one in on),
        tuple(faults.values()),
        tuple(_opening(build, row) for row in tables.access.values()),
        tuple(_causes(row) for row in told),
        past,
    )


def _seen_at(one: LookOn, name: str, faults: Mapping[str, LookFault]) -> tuple[str, ...]:
    """The faults of this bike that a look at it sees: at its own end, or wherever they are."""
    if one.side and f"{name}:{one.side}" in faults:
        return (f"{name}:{one.side}",)
    both = tuple(at for end in ("front", "rear") if (at := f"{name}:{end}") in faults)
    return both or ((name,) if name in faults else ())


def _look(one: LookOn, on: tuple[LookOn, ...], faults: Mapping[str, LookFault]) -> Look:
    row = one.row
    before = {other.id for other in on if other.row.id in row.after}
    return Look(
        one.id,
        one.words,
        one.station,
        row.seconds,
        {at: chance for name, chance in row.sees.items() for at in _seen_at(one, name, faults)},
        row.false_alarm,
        tuple(one.at_end(name) for name in row.access),
        row.always,
        row.figure,
        tuple(sorted(before)),
    )


def _faults(build: Build, on: tuple[LookOn, ...], forecasts: Forecasts) -> dict[str, LookFault]:
    """The faults that the looks of this bike see: one at each end where a look for one end shows it."""
    ends: dict[str, set[str]] = {}
    for one in on:
        for name in one.row.sees:
            ends.setdefault(name, set()).add(one.side)
    places = {name: sorted(sides - {""}) or [""] for name, sides in ends.items()}
    found: dict[str, LookFault] = {}
    for row in build.tables.look_faults.values():
        for side in places.get(row.id, ()):
            fault = _fault(build, row, side, places, forecasts)
            found[fault.id] = fault
    return found


def _fault(
    build: Build, row: LookFaultRow, side: str, places: Mapping[str, list[str]], forecasts: Forecasts
) -> LookFault:
    chance = next((one.chance for one in row.where if is_such_a_bike(build, one.kinds, one.when)), row.chance)
    if side == "rear" and row.chance_rear is not None:
        odds = chance / (1 - chance) * _odds(row.chance_rear) / _odds(row.chance)
        chance = odds / (1 + odds)
    own = next((told for name in row.forecast if (told := forecasts.get((name, side))) is not None), None)
    parents = places.get(row.goes_with, [])
    parent = row.goes_with if parents == [""] else f"{row.goes_with}:{side}" if side in parents else ""
    return LookFault(
        f"{row.id}:{side}" if side else row.id,
        f"{side} {row.words}" if side else row.words,
        chance,
        row.harm,
        row.money,
        row.leans,
        parent,
        row.goes_with_log_odds if parent else 0.0,
        own[0] if own else None,
        own[1] if own else "",
    )


def _odds(chance: float) -> float:
    return chance / (1 - chance)


def _opening(build: Build, row: AccessRow) -> Opening:
    seconds = next(
        (one.seconds for one in row.where if is_such_a_bike(build, one.kinds, one.when)), row.seconds
    )
    return Opening(row.id, row.words, seconds, row.after)


def _causes(row: ComplaintRow) -> Causes:
    splits = tuple(Split(one.id, one.ask, one.yes, one.no, one.after) for one in row.splits)
    return Causes(row.id, row.words, row.shares, row.nothing_found, row.first, splits)
