"""Eight bikes that are built from nothing get exactly the list that a mechanic wrote down before: signoff_of_bikes.toml."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from pinchbolt.workshop.trade_tables import tables
from tests.workshop.build_story import Story, add, confirm, describe, fault, from_nothing, items_of, part_on

TOLD = tomllib.loads(Path(__file__).with_name("signoff_of_bikes.toml").read_text(encoding="utf-8"))
BIKES: dict[str, dict[str, Any]] = {bike["id"]: bike for bike in TOLD["bike"]}
AT_HANDOVER = "so-declined"
every_bike = pytest.mark.parametrize("name", BIKES)


def built(name: str) -> Story:
    """The bike with its parts, put on the sheet one by one; what it is begun with is only described."""
    there = from_nothing(BIKES[name]["kind"])
    for part in BIKES[name]["part"]:
        if part["kind"] == "frame":
            describe(there, part_on(there, "frame"), **part["facts"])
        else:
            add(there, part["kind"], part.get("end", ""), part.get("facts", {}))
    return there


def asked(name: str) -> set[str]:
    """What a mechanic asks of it."""
    return {*TOLD["always"], *BIKES[name]["asks"]}


@every_bike
def test_each_item_of_the_table_was_thought_of_for_each_bike(name: str) -> None:
    """Asked or not asked, with a reason each, and never both: an item that is new to the table is decided for all eight."""
    bike = BIKES[name]
    left = set(bike["leaves"])
    assert asked(name) & left == set()
    assert asked(name) | left == (set(tables().signoff) | set(TOLD["new"])) - {AT_HANDOVER}
    assert all(reason.strip() for reason in (*bike["asks"].values(), *bike["leaves"].values()))


def test_the_new_items_stand_in_the_table() -> None:
    """Each with words, a verdict where it fails, and a condition, so that it stays off other bikes."""
    for item in TOLD["new"]:
        row = tables().signoff[item]
        assert row.words and row.applies, item
    unsafe = {item for item in TOLD["new"] if tables().signoff[item].if_not == "unsafe to ride"}
    assert unsafe >= {"so-steering-linkage", "so-tandem", "so-fixed", "so-coaster", "so-drum"}


@fault("a bike can't be begun from nothing, and parts can't be added")
@pytest.mark.django_db
@every_bike
def test_a_bike_from_nothing_gets_the_list_that_a_mechanic_asks(name: str) -> None:
    """No item more and none less, before a corner was confirmed and after the whole bike was."""
    there = built(name)
    assert items_of(there) == asked(name)
    confirm(there)
    assert items_of(there) == asked(name)


@fault("a bike can't be begun from nothing, and parts can't be added")
@pytest.mark.django_db
@every_bike
def test_each_part_answers_for_its_items_only(name: str) -> None:
    """The order in which the parts come means nothing: built from behind, the list is the same."""
    there = from_nothing(BIKES[name]["kind"])
    for part in reversed(BIKES[name]["part"]):
        if part["kind"] == "frame":
            describe(there, part_on(there, "frame"), **part["facts"])
        else:
            add(there, part["kind"], part.get("end", ""), part.get("facts", {}))
    assert items_of(there) == asked(name)


@fault("a bike can't be begun from nothing, and parts can't be added")
@pytest.mark.django_db
def test_a_tandem_takes_the_stokers_parts_and_a_third_brake() -> None:
    """Two bars, two cranks, two chains, two brakes behind: none is refused as a slip, and each brake brings its items."""
    name = "tandem with drum brakes"
    there = built(name)
    for part in BIKES[name]["also"]:
        add(there, part["kind"], part["end"], part.get("facts", {}))
    assert items_of(there) == asked(name) | set(BIKES[name]["also_asks"])


@pytest.mark.django_db
def test_what_is_not_known_is_asked_rather_than_left_out() -> None:
    """A fork of which nobody said whether it is sprung, a bar of which nobody said what it is made of: both items are asked."""
    there = from_nothing("city")
    fork, bar = add(there, "fork"), add(there, "handlebar")
    assert {"so-suspension", "so-carbon"} <= items_of(there)
    describe(there, fork, springing="none", material="steel")
    describe(there, bar, material="aluminium")
    describe(there, part_on(there, "frame"), material="steel")
    assert not items_of(there) & {"so-suspension", "so-carbon"}
