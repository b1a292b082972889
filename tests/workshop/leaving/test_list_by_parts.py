"""Sign-off items, cautions and home checks follow from the parts that are on the bike, never from typed words."""

import pytest

from pinchbolt.records.models import Part
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from tests.story import NOW
from tests.workshop.build_story import (
    add,
    bike,
    build,
    confirm,
    describe,
    from_nothing,
    items_of,
    part_on,
    take_off,
)

pytestmark = pytest.mark.django_db

TYPED = "Red Longtail 2021"
DISC = ["road-disc", "gravel-1x", "gravel-2x", "hardtail", "full-suspension", "city-ebike", "cargo-ebike"]
RIM = ["road-rim", "city-hub-gear", "child", "track", "tourer"]
E_BIKE = {"so-ebike-battery", "so-ebike-assist"}


def test_a_motor_brings_both_items_whatever_the_bike_is_called() -> None:
    """A cargo e-bike that is called by its colour has motor and battery on its build sheet."""
    assert items_of(bike("cargo-ebike", bike_words=TYPED)) >= E_BIKE


def test_a_motor_brings_the_caution_whatever_the_bike_is_called() -> None:
    """Battery out first: that is said of every bike with a battery."""
    assert tables().cautions["battery"].words in cautions(bike("cargo-ebike", bike_words=TYPED).record.bike)


def test_the_owner_is_told_to_look_at_the_battery_whatever_the_bike_is_called() -> None:
    """The monthly check on the handover sheet has its e-bike line."""
    told = handover_sheet(bike("cargo-ebike", bike_words=TYPED).record, NOW)
    assert [check for check in told.home_checks if "battery" in check.words]


def test_words_alone_make_no_e_bike() -> None:
    """A bare bike built up from an e-bike's frame has no battery that could be looked at."""
    there = bike("road-disc", bike_words="frame of an e-bike, drive taken out by its maker")
    assert not items_of(there) & E_BIKE
    assert tables().cautions["battery"].words not in cautions(there.record.bike)


def test_words_alone_make_no_carbon_and_its_part_does() -> None:
    """'Carbon black' is a colour; a bar of carbon brings the item.

    The build of such a bike leaves open what its parts are made of, and then the item is asked; here somebody has looked.
    """
    there = bike("road-rim", bike_words="carbon black steel frame")
    for part in build(there).parts:
        if "material" in part.kind.facts:
            describe(there, Part.objects.get(pk=part.id), material="steel")
    assert "so-carbon" not in items_of(there)
    take_off(there, part_on(there, "handlebar"))
    add(there, "handlebar", facts={"material": "carbon"})
    assert "so-carbon" in items_of(there)


@pytest.mark.parametrize("template", ["hardtail", "city-ebike", "full-suspension"])
def test_a_sprung_fork_is_looked_after(template: str) -> None:
    """The fork alone is suspension: pressures, sag and lockout are put back."""
    there = bike(template)
    for shock in Part.objects.filter(kind="rear shock"):
        take_off(there, shock)
    assert "so-suspension" in items_of(there)


@pytest.mark.parametrize("template", ["road-disc", "road-rim", "gravel-1x", "track", "child", "tourer"])
def test_a_rigid_fork_is_not_asked_for_its_pressure(template: str) -> None:
    """Neither known nor asked: these builds have a rigid fork."""
    assert "so-suspension" not in items_of(bike(template))


@pytest.mark.parametrize("template", ["tourer", "city-hub-gear", "city-ebike", "cargo-ebike"])
def test_mudguards_and_carrier_are_looked_at_where_they_are(template: str) -> None:
    """A guard that comes loose stops the front wheel."""
    assert "so-mudguards" in items_of(bike(template))


@pytest.mark.parametrize("template", ["road-disc", "hardtail", "track", "child"])
def test_no_mudguards_are_no_item(template: str) -> None:
    """These builds have neither guard nor carrier."""
    assert "so-mudguards" not in items_of(bike(template))


@pytest.mark.parametrize(
    ("kind", "end", "facts", "item"),
    [
        ("hinge", "", {}, "so-hinge"),
        ("child seat", "rear", {}, "so-child"),
        ("hitch", "", {}, "so-child"),
        ("cargo box", "", {"belts": "yes"}, "so-child"),
        ("mudguards", "", {}, "so-mudguards"),
        ("carrier", "rear", {}, "so-mudguards"),
        ("battery", "", {}, "so-ebike-battery"),
        ("hub motor", "front", {}, "so-ebike-assist"),
        ("steering linkage", "", {}, "so-steering-linkage"),
        ("hub gear", "", {"gears": 8}, "so-hub-gear"),
        ("sealant", "rear", {}, "so-tubeless"),
        ("belt", "", {}, "so-belt"),
    ],
)
def test_what_is_added_brings_its_item_and_takes_it_along(
    kind: str, end: str, facts: dict[str, object], item: str
) -> None:
    """On a plain road bike: not there before, there with the part, gone again when the part is taken off."""
    there = bike("road-rim")
    assert item not in items_of(there)
    part = add(there, kind, end, facts)
    assert item in items_of(there)
    take_off(there, part, "never there")
    assert item not in items_of(there)


@pytest.mark.parametrize("template", DISC)
def test_a_disc_bike_is_not_asked_for_the_wear_mark_of_its_rims(template: str) -> None:
    """No brake rubs on them; that they are whole is read on the wheel. The brake caution stays."""
    there = bike(template)
    assert "so-rim" not in items_of(there)
    assert {"so-rotor", "so-pads"} <= items_of(there)
    assert tables().cautions["brakes"].words in cautions(there.record.bike)


@pytest.mark.parametrize("template", RIM)
def test_a_rim_brake_bike_is_asked_for_its_rims(template: str) -> None:
    """The rim is part of the brake: its wall, its mark."""
    there = bike(template)
    assert {"so-rim", "so-pads"} <= items_of(there)
    assert "so-rotor" not in items_of(there)


def test_where_nothing_is_led_along_the_bike_neither_hose_nor_cable_is_asked() -> None:
    """A coaster brake alone and one gear: neither; a front cable brings the cables' item, a hose beside it that of hoses.

    The list has an item for each now: a hose is looked at for leaks with the lever held, a cable for broken strands.
    """
    there = from_nothing("city")
    add(there, "coaster brake", "rear")
    assert not items_of(there) & {"so-hose", "so-cables"}
    add(there, "brake cable", "front")
    assert items_of(there) & {"so-hose", "so-cables"} == {"so-cables"}
    add(there, "brake", "rear", {"stops_on": "rim", "brake_line": "hose"})
    assert {"so-hose", "so-cables"} <= items_of(there)


def test_a_fixed_wheel_is_not_asked_for_a_rear_brake() -> None:
    """The front brake and the legs stop it; lockring and chain are what is looked at."""
    items = items_of(bike("track"))
    assert not items & {"so-brake-rear", "so-freewheel", "so-limits"}
    assert {"so-brake-front", "so-fixed", "so-chain"} <= items


def test_a_bike_without_its_brakes_is_not_let_go_in_silence() -> None:
    """With no brake there is no brake item: then the list says that a brake is missing, before anybody signs."""
    there = bike("road-rim")
    before = set(sign_off_list(there.record, NOW).stops)
    take_off(there, part_on(there, "brake", "front"))
    assert "so-brake-front" not in items_of(there)
    said = set(sign_off_list(there.record, NOW).stops) - before
    assert [stop for stop in said if "brake" in stop.lower()]


def test_what_nobody_looked_for_stops_the_sign_off_until_one_tap() -> None:
    """No child seat by the template is not 'no child seat': the corners of unsafe items are confirmed once."""
    there = bike("road-rim")
    before = set(sign_off_list(there.record, NOW).stops)
    confirm(there)
    assert before - set(sign_off_list(there.record, NOW).stops)
