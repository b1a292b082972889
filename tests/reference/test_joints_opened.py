"""What work opens goes on the torque sheet: a wheel that comes out brings its axle, a service its joints.

Each expected list was written down first, as a careful mechanic would (common practice, no source).
"""

import pytest

from pinchbolt.engines.build import Build, joints_of, joints_opened
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.work import Operation
from tests.reference.templates_built import built, part_on

WHEEL_OUT = [
    "pads-disc", "rotor", "bleed", "tyre-tube", "tyre-tubeless", "tubeless-setup", "wheel-true", "spoke-replace",
    "hub-service", "wheel-build", "hub-brake-service", "hub-motor-wheel-tube",
]  # fmt: skip
AXLE = {
    ("road-disc", "front"): "thru-front:front",
    ("road-disc", "rear"): "thru-rear:rear",
    ("road-rim", "front"): "quick-release:front",
    ("road-rim", "rear"): "quick-release:rear",
    ("city-hub-gear", "rear"): "axle-nut-rear:rear",
}


def opened(build: Build, operation: Operation, place: str = "") -> list[str]:
    """The names of the joints that work opens and that the bike has."""
    return [one.name for one in joints_opened(build, operation, place) if one.stands]


@pytest.fixture
def bikes(trade: Tables) -> dict[str, Build]:
    """The bikes of the templates with their usual count of sprockets."""
    return {name: built(trade, row, row.speeds[0]) for name, row in trade.templates.items()}


@pytest.mark.parametrize("operation", WHEEL_OUT)
def test_a_wheel_that_comes_out_brings_its_axle(
    trade: Tables, bikes: dict[str, Build], operation: str
) -> None:
    """The axle of that wheel and not of the other."""
    for (bike, end), axle in AXLE.items():
        names = opened(bikes[bike], trade.operations[operation], end)
        assert axle in names, (bike, end)
        assert [
            name for other, name in AXLE.items() if other[0] == bike and name != axle and name in names
        ] == []


@pytest.mark.parametrize("operation", WHEEL_OUT)
def test_where_nobody_said_which_wheel_both_axles_are_tried(
    trade: Tables, bikes: dict[str, Build], operation: str
) -> None:
    """On the owner's wish, without a finding: a tick too many, never one too few."""
    assert {"thru-front:front", "thru-rear:rear"} <= set(
        opened(bikes["road-disc"], trade.operations[operation])
    )


def test_a_wheel_with_a_reaction_arm_is_fixed_to_the_frame_again(
    trade: Tables, bikes: dict[str, Build]
) -> None:
    """A roller brake whose arm was left loose turns itself round the axle at the first stop."""
    names = opened(bikes["city-hub-gear"], trade.operations["tyre-tube"], "rear")
    assert {"axle-nut-rear:rear", "reaction-arm:rear"} <= set(names)


def test_front_pads_of_a_road_bike(trade: Tables, bikes: dict[str, Build]) -> None:
    """Pin, caliper and axle of that end, nothing else."""
    names = opened(bikes["road-disc"], trade.operations["pads-disc"], "front")
    assert set(names) == {"pad-pin:front", "caliper-flat-mount:front", "thru-front:front"}


@pytest.mark.parametrize(
    "operation", ["bleed", "caliper-pistons", "brake-hose", "cables-headset", "cables-internal"]
)
def test_a_brake_that_is_bled_brings_pin_and_axle(
    trade: Tables, bikes: dict[str, Build], operation: str
) -> None:
    """Wheel and pads are out and a block is in, whatever the brake was opened for."""
    names = set(opened(bikes["road-disc"], trade.operations[operation], "rear"))
    assert {"thru-rear:rear", "pad-pin:rear"} <= names
    assert {"bleed-nipple:rear", "bleed-screw:rear"} & names


def test_a_fork_that_comes_out_brings_stem_cap_axle_and_caliper(
    trade: Tables, bikes: dict[str, Build]
) -> None:
    """What is undone to pull the fork."""
    for operation in ("headset-replace", "cables-headset"):
        names = set(opened(bikes["road-disc"], trade.operations[operation]))
        assert {
            "stem-steerer-2", "top-cap", "expander-plug", "thru-front:front", "caliper-flat-mount:front"
        } <= names  # fmt: skip
    parts = {"stem": {"stem_kind": "quill"}, "headset": {"headset_kind": "locknut"}}
    old = tuple(
        part_on(trade, words, dict(facts), n) for n, (words, facts) in enumerate(parts.items(), start=1)
    )
    names = set(opened(Build(trade, "city", old), trade.operations["headset-replace"]))
    assert names == {"quill-wedge", "headset-locknut"}


def test_cranks_that_come_off_bring_the_bolts_that_hold_them(trade: Tables, bikes: dict[str, Build]) -> None:
    """Pinch bolts and cap, or the bolt of a taper, or a motor's own."""
    expected = {"road-disc": "crank-pinch-2", "city-ebike": "motor-crank-bolt"}
    for bike, joint in expected.items():
        for operation in ("chainrings", "bottom-bracket", "crank-bolts", "full-service"):
            assert joint in opened(bikes[bike], trade.operations[operation]), (bike, operation)


def test_a_safety_check_brings_the_joints_that_can_hurt(trade: Tables, bikes: dict[str, Build]) -> None:
    """Stem, bar, levers, seat, axles, brakes, cranks and pedals of a road bike; nothing that must be opened to be tried."""
    for operation in ("safety-check", "small-service", "first-check"):
        assert set(opened(bikes["road-rim"], trade.operations[operation])) == {
            "stem-face-4-carbon", "stem-steerer-2", "lever-clamp-drop:front", "lever-clamp-drop:rear", "saddle-clamp-2",
            "quick-release:front", "quick-release:rear", "rim-caliper-pivot:front", "rim-caliper-pivot:rear",
            "rim-pad-stud:front", "rim-pad-stud:rear", "brake-cable-pinch:front", "brake-cable-pinch:rear",
            "pedal", "crank-pinch-2",
        }  # fmt: skip


def test_a_safety_check_waits_for_no_makers_sheet(trade: Tables, bikes: dict[str, Build]) -> None:
    """Pivots have no figure but their maker's: felt at a safety check, done to the sheet in a full service."""
    bike = bikes["full-suspension"]
    assert not {"pivot-bolt", "shock-bolt"} & set(opened(bike, trade.operations["safety-check"]))
    assert {"pivot-bolt", "shock-bolt"} <= set(opened(bike, trade.operations["full-service"]))


def test_a_new_bike_and_a_full_service_take_every_joint(trade: Tables, bikes: dict[str, Build]) -> None:
    """All that the bike has, but for what is set by play or by feel."""
    for bike in bikes.values():
        has = {one.name for one in joints_of(bike) if one.stands and one.row.tried_again}
        for operation in ("full-service", "new-bike-build"):
            assert has <= set(opened(bike, trade.operations[operation]))


def test_what_is_packed_for_a_journey_is_to_be_put_right_after_it(
    trade: Tables, bikes: dict[str, Build]
) -> None:
    """Pedals, post, stem, bar, axles: the joints that the travel kit is chosen for."""
    assert {"pedal", "stem-steerer-2", "thru-front:front"} <= set(
        opened(bikes["road-disc"], trade.operations["bike-pack"])
    )


def test_a_look_after_a_crash_closes_what_it_opened(trade: Tables, bikes: dict[str, Build]) -> None:
    """The steerer comes out, the tape comes off, both wheels are looked at."""
    names = set(opened(bikes["road-disc"], trade.operations["crash-look"]))
    assert {
        "stem-steerer-2", "stem-face-4-carbon", "top-cap", "thru-front:front", "thru-rear:rear"
    } <= names  # fmt: skip


def test_no_operation_opens_what_the_bike_has_not(trade: Tables, bikes: dict[str, Build]) -> None:
    """Every joint is one of the bike's own, once."""
    for bike in bikes.values():
        there = {one.name for one in joints_of(bike)}
        for operation in trade.operations.values():
            for place in ("", "front", "rear"):
                names = opened(bike, operation, place)
                assert set(names) <= there
                assert len(set(names)) == len(names)


def test_a_front_hub_opens_no_sprockets(trade: Tables, bikes: dict[str, Build]) -> None:
    """The lockring names no end, but it stands behind: work on the front wheel leaves it alone."""
    for name in ("hub-service", "spoke-replace", "wheel-build"):
        work = trade.operations[name]
        assert "cassette-lockring" not in opened(bikes["road-disc"], work, "front")
        assert "cassette-lockring" in opened(bikes["road-disc"], work, "rear")
