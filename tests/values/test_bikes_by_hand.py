"""21 kinds of bike: walk-round, bolts and safety list are those that were written by hand before, no row more and none less."""

import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest

from pinchbolt.engines.build import Build, items_for, joints_of, limits_on
from pinchbolt.reference import Tables, tables
from tests.reference.templates_built import built

BY_HAND = tomllib.loads((Path(__file__).parent / "bikes_by_hand.toml").read_text(encoding="utf-8"))
BIKES: dict[str, dict[str, Any]] = {bike["of"]: bike for bike in BY_HAND["bike"]}


def written(name: str, what: str) -> set[str]:
    """What the hand wrote of one bike: looks, bolts or signs."""
    bike = BIKES[name]
    rows = [*(BY_HAND["group"][group] for group in bike["groups"])]
    named = {one for row in rows for one in row.get(what, ())} | set(bike.get(f"also_{what}", ()))
    return set(_at_ends(named)) - set(bike.get(f"no_{what}", ()))


def _at_ends(names: Iterable[str]) -> Iterator[str]:
    for name in names:
        yield from (name.replace("@", f":{end}") for end in ("front", "rear")) if "@" in name else (name,)


def looked_at(build: Build) -> set[str]:
    """What the program reads on the walk-round: the limit with its end, or with its kind of part where that is a further one."""
    found = set()
    for part in build.parts:
        for one in limits_on(build, part):
            further = not part.end and one.row.on[0] not in build.stands_for(part)
            at = part.end or (part.kind.id if further else "")
            if not one.deeper:
                found.add(f"{one.row.id}:{at}" if at else one.row.id)
    return found


def sheet(trade: Tables, name: str) -> Build:
    """The bike as its template tells it, at the most usual count of sprockets."""
    row = trade.templates[name]
    return built(trade, row, row.speeds[0])


def test_every_template_was_written_by_hand() -> None:
    """Twenty-one kinds and no template without."""
    assert len(BIKES) == 21
    assert set(BIKES) == set(tables().templates)


@pytest.mark.parametrize("name", BIKES)
def test_the_walk_round_is_that_of_the_hand(name: str) -> None:
    """No look that a mechanic would leave out, none that is missing."""
    assert looked_at(sheet(tables(), name)) == written(name, "looks")


@pytest.mark.parametrize("name", BIKES)
def test_the_bolts_are_those_of_the_hand(name: str) -> None:
    """Those that stand; what waits for a fact is asked and not counted."""
    there = {one.name.removesuffix(":") for one in joints_of(sheet(tables(), name)) if one.stands}
    assert there == written(name, "bolts")


@pytest.mark.parametrize("name", BIKES)
def test_the_safety_list_is_that_of_the_hand(name: str) -> None:
    """The whole list; what is declined is signed at handover, on every bike."""
    asked = {item.id for item in items_for(sheet(tables(), name))}
    assert asked == written(name, "signs") | {"so-declined"}
