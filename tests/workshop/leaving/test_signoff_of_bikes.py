"""Eight bikes that are built from nothing get exactly the list that a mechanic wrote down before: signoff_of_bikes.toml."""

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Marking
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.torque_sheet import joint_view
from tests.kept_stages import kept
from tests.story import NOW, TODAY, joints_on
from tests.workshop.bikes_told import AT_HANDOVER, BIKES, TOLD, asked
from tests.workshop.build_story import Story, add, confirm, describe, from_nothing, items_of, part_on

every_bike = pytest.mark.parametrize("name", BIKES)


@kept
def built(name: str) -> Story:
    """The bike with its parts, put on the sheet one by one; what it is begun with is only described."""
    there = from_nothing(BIKES[name]["kind"])
    for part in BIKES[name]["part"]:
        if part["kind"] == "frame":
            describe(there, part_on(there, "frame"), **part["facts"])
        else:
            add(there, part["kind"], part.get("end", ""), part.get("facts", {}))
    return there


@every_bike
def test_each_item_of_the_table_was_thought_of_for_each_bike(name: str) -> None:
    """Asked or not asked, with a reason each, and never both: an item that is new to the table is decided for all eight."""
    bike = BIKES[name]
    left = set(bike["leaves"])
    assert asked(name) & left == set()
    assert asked(name) | left == set(tables().signoff) - {AT_HANDOVER}
    reasons = (*TOLD["always"].values(), *bike["asks"].values(), *bike["leaves"].values())
    assert all(reason.strip() for reason in reasons)


def test_what_can_throw_a_rider_is_unsafe_where_it_fails() -> None:
    """Steering rod, tandem, fixed wheel, coaster, drum, a brake that is not there: each with a condition of its own."""
    rows = [
        tables().signoff[item]
        for item in (
            "so-steering-linkage",
            "so-tandem",
            "so-fixed",
            "so-coaster",
            "so-drum",
            "so-no-front-brake",
            "so-no-rear-brake",
        )
    ]
    assert [row.id for row in rows if row.if_not != "unsafe to ride" or not row.applies] == []


@pytest.mark.django_db
@every_bike
def test_a_bike_from_nothing_gets_the_list_that_a_mechanic_asks(name: str) -> None:
    """No item more and none less, before a corner was confirmed and after the whole bike was."""
    there = built(name)
    assert items_of(there) == asked(name)
    confirm(there)
    assert items_of(there) == asked(name)


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


@pytest.mark.django_db
def test_a_tandem_takes_the_stokers_parts_and_a_third_brake() -> None:
    """Two bars, two cranks, two chains, two brakes behind: none is refused as a slip, and each brake brings its items."""
    name = "tandem with drum brakes"
    there = built(name)
    for part in BIKES[name]["also"]:
        add(there, part["kind"], part["end"], part.get("facts", {}))
    assert items_of(there) == asked(name) | set(BIKES[name]["also_asks"])
    joints = joints_on(there.tag)
    # Each of the two bars has its clamps, each under a name of its own; the stoker's stem sits on the captain's post.
    assert {"stem-face-4", "stem-face-2:stoker", "stem-steerer-2", "stem-seat-post:stoker"} <= set(joints)
    assert {"crank-taper-bolt", "crank-taper-bolt:stoker", "pedal", "pedal:stoker"} <= set(joints)
    assert {"reaction-arm:front", "reaction-arm:rear"} <= set(joints)
    assert "reaction-arm:rear second" not in joints and "rim-pad-stud:rear second" in joints


@pytest.mark.django_db
def test_a_marking_on_the_stokers_stem_says_nothing_of_the_captains() -> None:
    """4 N·m on the one, 6 on the other; what the captain's seat post bears caps the stoker's stem, which is clamped round it."""
    name = "tandem with drum brakes"
    there = built(name)
    for part in BIKES[name]["also"]:
        add(there, part["kind"], part["end"], {"face_bolts": 4} if part["kind"] == "stem" else {})
    describe(there, part_on(there, "stem", "stoker"), stem_kind="round a seat post")
    for joint, part, most in (
        ("stem-face-4", "stem", 6.0),
        ("stem-face-4:stoker", "stem", 4.0),
        ("stem-seat-post:stoker", "seat post", 4.5),
    ):
        asked_of = MarkingRequest(there.tag, joint, part, most)
        read_marking(asked_of, by=there.first, key=there.key(), now=NOW)
    told = {
        joint: joint_view(joint, there.record.bike, None, TODAY).markings
        for joint in ("stem-face-4", "stem-face-4:stoker", "stem-seat-post:stoker")
    }
    assert told == {
        "stem-face-4": ("stem marked 6 N·m max",),
        "stem-face-4:stoker": ("stem marked 4 N·m max",),
        "stem-seat-post:stoker": ("seat post marked 4.5 N·m max",),
    }
    captains = next(
        part for part in parts_on(there.record.bike) if (part.kind, part.place) == ("seat post", "")
    )
    assert Marking.objects.get(part="seat post").on_part == captains


@pytest.mark.django_db
def test_a_second_chain_is_a_slip_on_a_bike_for_one_and_a_place_on_a_tandem() -> None:
    """The sentence for two says where the second one stands; no place but those of the table is taken."""
    tandem, solo = from_nothing("tandem"), from_nothing("city")
    for there in (tandem, solo):
        add(there, "chain")
    with pytest.raises(NotPossibleNow, match=r"another one\? Say that it is at stoker"):
        add(tandem, "chain")
    with pytest.raises(NotPossibleNow, match=r"take it off first\.$"):
        add(solo, "chain")
    add(tandem, "chain", "stoker")
    for there, place in ((solo, "stoker"), (tandem, "rear"), (tandem, "stoker second")):
        with pytest.raises(InputRefused, match="no end is said of it"):
            add(there, "saddle", place)


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
