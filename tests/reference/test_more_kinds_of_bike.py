"""Nine kinds of bike by their templates: what a mechanic looks at, does to torque and signs for, written down by hand first.

Common practice, no source; the program was asked afterwards.
"""

from dataclasses import dataclass

import pytest

from pinchbolt.engines.build import items_for, joints_of, limits_on
from pinchbolt.reference import Tables
from tests.reference.templates_built import built


@dataclass(frozen=True)
class Expected:
    """What must be there and what would be silly: readings of the walk-round, joints, items of the list."""

    reads: set[str]
    never_reads: set[str]
    joints: set[str]
    never_joints: set[str]
    items: set[str]
    never_items: set[str]


BIKES = {
    "city-coaster": Expected(
        {"reaction-arm", "hub-gear-marks", "chain-elongation-1", "axle-closed", "mudguard-clip", "rim-pad-groove"},
        {"lever-free-travel-disc", "hanger-sight", "derailleur-spokes", "disc-pad-lining-resin"},
        {"reaction-arm:rear", "axle-nut-rear:rear", "axle-nut-front:front", "quill-wedge", "lever-clamp-flat:front"},
        {"lever-clamp-flat:rear", "brake-cable-pinch:rear", "rear-mech"},
        {"so-coaster", "so-hub-gear", "so-mudguards", "so-rim"},
        {"so-brake-rear", "so-limits", "so-hose", "so-drum"},
    ),
    "ebike-belt": Expected(
        {"belt-damage", "belt-tension-frequency", "hub-gear-marks", "battery-damage", "brake-lever-fails"},
        {"chain-elongation-1", "chain-stiff-link", "hanger-sight", "cassette-gauge", "rim-pad-groove"},
        {"axle-nut-rear:rear", "motor-crank-bolt", "caliper-post-mount:rear", "motor-mount"},
        {"rear-mech", "cassette-lockring", "bb-cartridge", "rim-pad-stud:front"},
        {"so-belt", "so-hub-gear", "so-ebike-battery", "so-ebike-assist"},
        {"so-chain", "so-limits", "so-rim"},
    ),
    "ebike-hub-motor": Expected(
        {"motor-axle", "battery-damage", "chain-elongation-5to8", "hanger-sight"},
        {"motor-mount", "rim-pad-groove", "cassette-gauge"},
        {"axle-nut-motor:rear", "freewheel", "crank-taper-bolt", "quick-release:front"},
        {"axle-nut-rear:rear", "motor-crank-bolt", "motor-mount", "cassette-lockring"},
        {"so-ebike-battery", "so-limits", "so-wheel-rear"},
        {"so-rim", "so-coaster"},
    ),
    "e-mtb": Expected(
        {"pivot-play", "battery-damage", "motor-mount", "brake-lever-fails", "stanchion-score"},
        {"rim-pad-groove", "bb-play", "lights"},
        {"pivot-bolt", "shock-bolt", "motor-crank-bolt", "thru-rear:rear"},
        {"bb-threaded-cup", "crank-pinch-2"},
        {"so-suspension", "so-ebike-battery", "so-tubeless"},
        {"so-lights", "so-mudguards", "so-rim"},
    ),
    "cargo-front-loader": Expected(
        {"steering-rod", "box-seats", "double-stand", "child-seat-carrier", "battery-damage"},
        {"rim-pad-groove", "hinge-closed"},
        {"cargo-steering-rod", "centre-stand", "cargo-box-bolt", "cargo-bench-bolt", "caliper-post-mount:front"},
        {"carrier-bolt:rear", "folding-hinge"},
        {"so-steering-linkage", "so-child", "so-ebike-assist"},
        {"so-rim", "so-hinge"},
    ),
    "hybrid-disc": Expected(
        {"cable-brake-lever-gap", "brake-housing", "brake-cable", "disc-pad-lining-resin", "hanger-sight"},
        {"brake-lever-fails", "brake-hose", "brake-fluid-age-mineral", "rim-pad-groove"},
        {"caliper-post-mount:front", "brake-cable-pinch:rear", "pad-pin:front", "rotor-6-bolt:rear"},
        {"hose-nut:front", "bleed-screw:rear", "rim-pad-stud:front"},
        {"so-cables", "so-pads", "so-rotor", "so-limits"},
        {"so-hose", "so-rim"},
    ),
    "child-small": Expected(
        {"child-reach", "stabilisers", "reaction-arm", "grips-ends", "chain-elongation-1"},
        {"shift-run", "hanger-sight", "lights", "brake-lever-fails", "insertion-dropper"},
        {"reaction-arm:rear", "quill-wedge", "axle-nut-rear:rear"},
        {"rear-mech", "shifter-clamp-flat", "lever-clamp-flat:rear"},
        {"so-child-bike", "so-coaster"},
        {"so-limits", "so-lights", "so-brake-rear"},
    ),
    "folding": Expected(
        {"hinge-closed", "insertion-post", "rim-pad-groove", "mudguard-clip"},
        {"disc-pad-lining-resin", "steering-rod"},
        {"folding-hinge", "freewheel", "vbrake-arm:front"},
        {"cassette-lockring", "rotor-6-bolt:front"},
        {"so-hinge", "so-limits", "so-rim", "so-mudguards"},
        {"so-hub-gear", "so-ebike-battery"},
    ),
    "tandem": Expected(
        {"tandem-timing", "spoke-broken", "brake-bite", "mudguard-clip"},
        {"hub-gear-marks", "battery-damage", "stabilisers"},
        {"bb-eccentric", "vbrake-arm:rear", "crank-taper-bolt"},
        {"motor-crank-bolt", "axle-nut-motor:rear"},
        {"so-tandem", "so-mudguards", "so-limits"},
        {"so-child-bike", "so-coaster", "so-hub-gear"},
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BIKES)
def test_a_kind_of_bike_is_looked_at_done_and_signed_for_as_a_mechanic_would(
    trade: Tables, name: str
) -> None:
    """At every count of sprockets that the template knows."""
    expected, row = BIKES[name], trade.templates[name]
    for speeds in row.speeds:
        build = built(trade, row, speeds)
        read = {one.row.id for part in build.parts for one in limits_on(build, part) if not one.deeper}
        joints = {one.name.removesuffix(":") for one in joints_of(build) if one.stands}
        items = {item.id for item in items_for(build)}
        assert (expected.reads - read, expected.never_reads & read) == (set(), set())
        assert (expected.joints - joints, expected.never_joints & joints) == (set(), set())
        assert (expected.items - items, expected.never_items & items) == (set(), set())
        assert len(read) >= 25


def test_every_template_has_a_brake_or_a_reason_at_each_end(trade: Tables) -> None:
    """A bike without a brake behind is the fixed wheel alone."""
    for name, row in trade.templates.items():
        build = built(trade, row, row.speeds[0])
        ends = {end for end in ("front", "rear") if list(build.of_kind("brake", end))}
        assert ends == ({"front"} if name == "track" else {"front", "rear"}), name
