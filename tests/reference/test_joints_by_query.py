"""Joints go by what is on the bike: against the lists that the templates held before, and on bikes that no template has."""

import tomllib
from pathlib import Path

import pytest

from pinchbolt.engines.build import Build, JointOn, PartOn, clamped_by, joints_of
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.joints import JointRow
from pinchbolt.reference.rows.work import Operation
from tests.reference.templates_built import built, first_twelve, part_on

BEFORE = tomllib.loads((Path(__file__).parent / "templates-before.toml").read_text(encoding="utf-8"))[
    "template"
]
STEM_FACE = {"stem-face-4", "stem-face-4-carbon"}
# One row was two joints: the bike has the other one of them now.
NOW_CALLED = {"cargo-ebike": {"kickstand": "centre-stand"}}

# What a template did not list and the bike has, and why that is right.
BESIDES = {
    "city-hub-gear": {"brake-cable-pinch:rear": "the rear cable stood on the sheet without its pinch bolt"},
    "city-ebike": {
        "fork-foot-bolt": "the sprung fork stood on the sheet without the bolts of its legs",
        "fork-top-cap": "the same fork, its upper ends",
    },
    "child": {"jockey-bolt": "the derailleur stood on the sheet without its jockey bolts"},
}
# Rows that no list had, since nobody had written such a joint down; what brings each of them stands on the build sheet.
ROWS_SINCE = {
    "caliper-flat-plate": "a front flat mount has a plate between caliper and fork",
    "bleed-nipple": "one row was two joints: the caliper's nipple and the screw of the reservoir",
    "reservoir-cover": "the cover of a lever's reservoir",
    "dropper-collar": "a dropper's head",
    "dropper-cable-anchor": "a dropper's cable",
    "hub-gear-shift-box": "where the cable meets the gear hub",
    "charge-port": "a battery is charged somewhere",
    "speed-sensor-bolt": "the sensor beside the magnet",
    "light-bracket": "a lamp that is bolted on",
    "centre-stand": "a stand with two legs has two bolts of its own",
}
# What the child's bike with one sprocket has not: a hand brake behind, a derailleur, a screw-on freewheel.
CHILD_WITHOUT_GEARS = {
    "lever-clamp-flat:rear", "vbrake-arm:rear", "rim-pad-stud:rear", "brake-cable-pinch:rear", "freewheel", "rear-mech",
    "shifter-clamp-flat", "gear-cable-pinch:rear",
}  # fmt: skip
CARBON_BAR, CARBON_FORK = "handlebar.material", "fork.material"
BEARINGS = {"front wheel.bearing", "rear wheel.bearing"}
ADAPTERS = {"front brake.caliper_adapter", "rear brake.caliper_adapter"}
BODY, CLEATS, LAMP = "freehub body.body_hold", "pedals.cleats", "lights.lit_by"
# The facts that a template leaves open and that decide a joint: one tap each, once in the bike's life.
OPEN = {
    "road-disc": {CARBON_BAR, *BEARINGS, *ADAPTERS, BODY, CLEATS},
    "road-rim": {CARBON_BAR, CARBON_FORK, *BEARINGS, BODY, CLEATS},
    "gravel-1x": {CARBON_BAR, *BEARINGS, *ADAPTERS, BODY, CLEATS},
    "gravel-2x": {CARBON_BAR, *BEARINGS, *ADAPTERS, BODY, CLEATS},
    "hardtail": {CARBON_BAR, CARBON_FORK, *BEARINGS, *ADAPTERS, BODY, CLEATS},
    "full-suspension": {CARBON_BAR, CARBON_FORK, *BEARINGS, *ADAPTERS, BODY, CLEATS},
    "city-hub-gear": {*BEARINGS, LAMP, "hub gear.oil_kind"},
    "city-ebike": {*BEARINGS, *ADAPTERS, BODY, LAMP},
    "cargo-ebike": {*BEARINGS, *ADAPTERS, BODY, LAMP},
    "child": {*BEARINGS, LAMP},
    "track": {CARBON_BAR, CARBON_FORK, *BEARINGS, CLEATS},
    "tourer": {*BEARINGS, BODY, CLEATS, "shifters.shifter_hold"},
}
# Joints of which another part than before is asked for its marking.
ANOTHER_PART = {
    "pad-pin": "the pin is marked on the caliper, as the joints table always said; pads carry no torque",
    "spoke-magnet": "the screw sits in the magnet, which goes with the sensor",
    "thru-rear": "where the axle threads into the hanger the hanger's figure wins",
    "valve-nut": "the valve is a part of its own now",
    "spoke-nipple": "the rim stands apart on bikes with rim brakes, and its greatest tension wins",
    "fixed-sprocket-lockring": "the thread is the hub's: the wheel",
    "pivot-bolt": "the frame maker's sheet says, as the joints table always said",
}


def listed_before(name: str) -> set[str]:
    """The joints that a template listed, by the names that they have now."""
    return {NOW_CALLED.get(name, {}).get(joint, joint) for joint in BEFORE[name]["joints"]}


def names(found: tuple[JointOn, ...]) -> set[str]:
    """The joints that a bike has; those that wait for a fact are left out."""
    return {one.name for one in found if not one.asks}


def waiting(found: tuple[JointOn, ...]) -> dict[str, set[str]]:
    """The joints that wait, each with the facts that would settle it."""
    return {one.name: {f"{ask.part.words}.{ask.fact.id}" for ask in one.asks} for one in found if one.asks}


def every_bike(trade: Tables) -> list[tuple[str, int, Build]]:
    """Each template at each count of sprockets that it knows."""
    return [
        (name, speeds, built(trade, row, speeds))
        for name, row in first_twelve(trade, BEFORE).items()
        for speeds in row.speeds
    ]


def test_the_query_gives_the_joints_that_the_templates_listed_but_for_reasoned_differences(
    trade: Tables,
) -> None:
    """Nothing is lost, and what comes besides was a gap of the list."""
    for name, speeds, build in every_bike(trade):
        before, found = listed_before(name), joints_of(build)
        has, waits = (
            {joint for joint in names(found) if joint in before or joint.partition(":")[0] not in ROWS_SINCE},
            set(waiting(found)),
        )
        if (name, speeds) == ("child", 1):
            assert before - has - waits == CHILD_WITHOUT_GEARS
            assert has - before == {"reaction-arm:rear"}, "its coaster brake is held by an arm"
            continue
        assert before - has <= STEM_FACE & waits, (name, speeds)
        assert has - before == set(BESIDES.get(name, {})), (name, speeds)


def test_of_378_joints_371_are_settled_and_seven_wait_for_what_the_bar_is_made_of(trade: Tables) -> None:
    """The twelve templates with their usual count of sprockets; bikes whose bar is metal as a rule need no answer."""
    listed = settled = 0
    waits = []
    for name, row in first_twelve(trade, BEFORE).items():
        found = joints_of(built(trade, row, row.speeds[0]))
        listed += len(BEFORE[name]["joints"])
        settled += len(names(found) & listed_before(name))
        waits += [name] if waiting(found).get("stem-face-4") == {CARBON_BAR} else []
    assert (listed, settled, len(waits)) == (378, 371, 7)


def test_a_template_leaves_few_questions_open_and_each_is_one_that_only_the_bike_can_answer(
    trade: Tables,
) -> None:
    """Pinned by bike: a row or a fact that opens another question is seen here."""
    for name, row in first_twelve(trade, BEFORE).items():
        found = waiting(joints_of(built(trade, row, row.speeds[0])))
        assert set().union(*found.values()) == OPEN[name], name


def test_a_joint_clamps_the_parts_that_the_templates_listed_but_for_reasoned_differences(
    trade: Tables,
) -> None:
    """A front caliper clamps the fork, a rear one the frame; hub, rim and spokes are the wheel where they stand in it."""
    moved = set()
    for name, row in first_twelve(trade, BEFORE).items():
        build = built(trade, row, row.speeds[0])
        for one in joints_of(build):
            now = {f"{part.kind.id} {part.end}".strip() for part in clamped_by(build, one)}
            before = BEFORE[name]["joints"].get(one.name)
            assert now, (name, one.name)
            if before is not None and set(before) != now:
                moved.add(one.row.id)
    assert moved == set(ANOTHER_PART)


def test_no_joint_clamps_parts_of_both_ends(trade: Tables) -> None:
    """Of fork and frame, and of the two wheels, the one at the joint's own end; the frame goes from end to end."""
    for name, _, build in every_bike(trade):
        for one in joints_of(build):
            if one.part.side:
                ends = {part.side for part in clamped_by(build, one) if part.end or part.kind.id == "fork"}
                assert ends <= {one.part.side}, (name, one.name)
                whole = {part.kind.id for part in clamped_by(build, one)}
                assert not {"fork", "frame"} <= whole, (name, one.name)


def sheet(trade: Tables, parts: dict[str, dict[str, str | float | bool]], kind: str = "city") -> Build:
    """A bike with its frame and these parts."""
    on: list[PartOn] = [part_on(trade, "frame", {}, 1)]
    on += [part_on(trade, words, facts, n) for n, (words, facts) in enumerate(parts.items(), start=2)]
    return Build(trade, kind, tuple(on))


# What a mechanic expects, written down first: parts, joints that the bike has, joints that it must not have.
ODD_BIKES: dict[str, tuple[dict[str, dict[str, str | float | bool]], set[str], set[str]]] = {
    "a motor in the rear hub has its own axle nuts, with another torque": (
        {
            "wheel rear": {"axle_hold": "nuts", "bearing": "cartridge"}, "hub motor rear": {},
            "wheel front": {"axle_hold": "nuts", "bearing": "cones"},
        },
        {"axle-nut-motor:rear", "axle-nut-front:front", "hub-cone-locknut:front"},
        {"axle-nut-rear:rear", "axle-nut-motor:front"},
    ),
    "a coaster brake has an arm and no lever": (
        {"coaster brake rear": {}, "brake front": {"stops_on": "rim", "brake_line": "cable", "arm_kind": "bosses", "lever_clamp": "flat 22.2"}},
        {"reaction-arm:rear", "lever-clamp-flat:front", "vbrake-arm:front"},
        {"lever-clamp-flat:rear", "lever-clamp-drop:rear", "bleed-screw:rear", "caliper-post-mount:rear"},
    ),
    "drum brakes at both ends, as on a tandem, have arms and levers": (
        {end: {"stops_on": "drum", "brake_line": "cable", "lever_clamp": "drop 23.8"} for end in ("brake front", "brake rear")},
        {"reaction-arm:front", "reaction-arm:rear", "lever-clamp-drop:front", "lever-clamp-drop:rear"},
        {"rim-caliper-pivot:front", "caliper-flat-mount:front", "hose-nut:rear"},
    ),
    "a bar and stem in one piece has no face plate and is pinched on the steerer": (
        {"one-piece bar": {"stem_kind": "two bolts", "material": "carbon"}},
        {"stem-steerer-2"},
        STEM_FACE | {"stem-face-2", "stem-face-1", "quill-wedge", "stem-adjust"},
    ),
    "an adjustable stem has its angle bolt and what holds it on the steerer": (
        {"stem": {"stem_kind": "adjustable", "face_bolts": 2}},
        {"stem-adjust", "stem-steerer-2", "stem-face-2"},
        {"quill-wedge", "stem-steerer-m6"},
    ),
    "an adjustable stem on a quill has the wedge": (
        {"stem": {"stem_kind": "adjustable quill", "face_bolts": 2}},
        {"stem-adjust", "quill-wedge"},
        {"stem-steerer-2", "stem-steerer-m6"},
    ),
    "a carbon bar takes the row for carbon": (
        {"stem": {"stem_kind": "two bolts", "face_bolts": 4}, "handlebar": {"material": "carbon"}},
        {"stem-face-4-carbon"},
        {"stem-face-4"},
    ),
    "an aluminium bar takes the other": (
        {"stem": {"stem_kind": "two bolts", "face_bolts": 4}, "handlebar": {"material": "aluminium"}},
        {"stem-face-4"},
        {"stem-face-4-carbon"},
    ),
    "an eccentric shell is pinched round the cartridge that sits in it": (
        {"bottom bracket": {"bb_hold": "cartridge in an eccentric"}},
        {"bb-eccentric", "bb-cartridge"},
        {"bb-threaded-cup", "bb-press-screwed"},
    ),
    "a gearbox at the cranks has no bottom bracket": (
        {"gearbox": {}},
        set(),
        {"bb-eccentric", "bb-cartridge", "bb-threaded-cup", "bb-press-screwed"},
    ),
    "a derailleur clamped on the axle has no hanger bolt": (
        {"rear derailleur": {"derailleur_mount": "full-mount", "shift_line": "radio"}},
        {"rear-mech-full-mount", "jockey-bolt"},
        {"rear-mech", "gear-cable-pinch:rear", "hanger-bolts", "hanger-universal"},
    ),
    "a fork with two crowns and pinched axle has all its bolts": (
        {"fork": {"springing": "air", "crowns": 2, "axle_pinch": True}, "wheel front": {"axle_hold": "thru", "bearing": "cartridge"}},
        {"fork-crown-steerer-clamp-dual", "fork-foot-bolt", "fork-top-cap", "thru-pinch", "thru-front:front"},
        {"thru-rear:rear", "quick-release:front"},
    ),
    "a front loader, folding, with a child seat, carrier, stand, bottle cage and aero bars": (
        {
            "steering linkage": {}, "hinge": {}, "child seat": {}, "carrier": {}, "kickstand": {"two_legs": False}, "bottle cage": {},
            "aero extensions": {}, "bar ends": {}, "bell": {},
        },
        {
            "cargo-steering-rod", "folding-hinge", "child-seat-block", "carrier-bolt", "kickstand", "bottle-boss",
            "aero-extension", "bar-end", "bell-mount",
        },
        set(),
    ),
    "a tricycle has a joint at each of its front wheels": (
        {f"rotor front {side}": {"rotor_kind": "six-bolt"} for side in ("left", "right")},
        {"rotor-6-bolt:front left", "rotor-6-bolt:front right"},
        {"rotor-centre-lock:front left"},
    ),
    "a frame alone asks nothing": ({}, set(), set()),
}  # fmt: skip


@pytest.mark.parametrize("bike", ODD_BIKES)
def test_a_bike_that_no_template_has_gets_the_joints_that_a_mechanic_expects(
    trade: Tables, bike: str
) -> None:
    """Those it has are settled; those it has not are not even asked for."""
    parts, wanted, never = ODD_BIKES[bike]
    found = joints_of(sheet(trade, parts))
    assert wanted <= names(found)
    assert never.isdisjoint({one.name for one in found})
    if not parts:
        assert found == ()


def test_where_nobody_knows_what_the_bar_is_made_of_one_question_stands_for_both_rows(trade: Tables) -> None:
    """The two rows wait for the same fact, so that one tap settles both, and neither is silently taken."""
    found = waiting(
        joints_of(sheet(trade, {"stem": {"stem_kind": "two bolts", "face_bolts": 4}, "handlebar": {}}))
    )
    assert found == {"stem-face-4": {CARBON_BAR}, "stem-face-4-carbon": {CARBON_BAR}}


def test_every_joint_with_an_end_is_brought_by_a_kind_that_may_stand_there(trade: Tables) -> None:
    """`end` on a joint of a part that stands once would never be looked at."""
    for row in trade.joints.values():
        if row.end:
            assert {trade.kinds[kind].ends for kind in row.on} == {"each"}, row.id


def test_every_part_that_a_joint_clamps_can_be_on_a_bike(trade: Tables) -> None:
    """Markings are of a part: a joint that names a supply could never be marked."""
    for row in trade.joints.values():
        assert row.parts, row.id
        assert [kind for kind in row.parts if trade.kinds[kind].fitted_to == "supply"] == [], row.id


# What an operation does not open though it opens another joint that the same fact tells apart, with the reason.
NOT_OPENED = {
    ("cables-headset", "stem-adjust"): "the stem's own joint stays as it is",
    ("cables-headset", "stem-seat-post"): "the captain's headset",
    ("headset-adjust", "quill-wedge"): "a threaded headset is set with its quill in place",
    ("headset-adjust", "stem-adjust"): "the stem's own joint stays as it is",
    ("headset-adjust", "stem-seat-post"): "the captain's headset",
    ("headset-adjust", "expander-plug"): "the plug stays: the cap pulls on it",
    ("headset-replace", "stem-adjust"): "the stem's own joint stays as it is",
    ("headset-replace", "stem-seat-post"): "the captain's headset",
    ("bars-stem", "expander-plug"): "the plug stays: the cap pulls on it",
    ("bars-stem", "headset-locknut"): "a quill comes out with the headset as it is",
    ("belt", "bb-cartridge"): "the eccentric alone is turned",
    ("belt", "bb-threaded-cup"): "the eccentric alone is turned",
    ("belt", "bb-press-screwed"): "the eccentric alone is turned",
    ("belt-tension", "bb-cartridge"): "the eccentric alone is turned",
    ("belt-tension", "bb-threaded-cup"): "the eccentric alone is turned",
    ("belt-tension", "bb-press-screwed"): "the eccentric alone is turned",
    ("bar-set", "expander-plug"): "the plug stays: the cap pulls on it",
    ("bar-set", "headset-locknut"): "a quill is turned with the headset as it is",
    ("bike-pack", "expander-plug"): "the plug stays: the cap pulls on it",
    ("bike-pack", "headset-locknut"): "a quill comes out with the headset as it is",
    ("bike-pack", "stem-adjust"): "the stem comes off in one piece",
    ("bike-pack", "stem-seat-post"): "a tandem goes in no case with its stoker's bar on",
    ("chain-tension", "bb-cartridge"): "the eccentric alone is turned",
    ("chain-tension", "bb-threaded-cup"): "the eccentric alone is turned",
    ("chain-tension", "bb-press-screwed"): "the eccentric alone is turned",
    ("child-fit", "seat-wedge"): "a child's post is held by a collar",
    ("child-fit", "stem-adjust"): "the quill is drawn out, its angle stays",
    ("child-fit", "stem-seat-post"): "no child's bike has a stoker",
    ("child-fit", "stem-steerer-2"): "a stem that is clamped round the steerer goes no higher",
    ("child-fit", "stem-steerer-m6"): "a stem that is clamped round the steerer goes no higher",
    ("crash-look", "stem-adjust"): "the stem comes off in one piece",
    ("crash-look", "stem-seat-post"): "the captain's headset",
    ("fork-damper", "stem-adjust"): "the stem comes off in one piece",
    ("fork-damper", "stem-seat-post"): "the captain's headset",
    ("post-set", "stem-adjust"): "the quill's depth alone is put right",
    ("post-set", "stem-seat-post"): "the quill's depth alone is put right",
    ("post-set", "stem-steerer-2"): "the quill's depth alone is put right",
    ("post-set", "stem-steerer-m6"): "the quill's depth alone is put right",
    ("tandem-timing", "bb-cartridge"): "the eccentric alone is turned",
    ("tandem-timing", "bb-press-screwed"): "the eccentric alone is turned",
    ("tandem-timing", "bb-threaded-cup"): "the eccentric alone is turned",
    **{
        (name, "caliper-flat-plate"): "the caliper stays on its plate"
        for name in (
            "brake-adjust", "cables-headset", "caliper-pistons", "crash-look", "fork-damper", "fork-lower-service",
            "headset-replace", "pads-disc", "rotor", "rotor-true",
        )
    },
}  # fmt: skip
# Facts of which each answer is another joint in the same place; of a hub's axle the block "wheel out" names them.
TOLD_APART = {
    "face_bolts",
    "stem_kind",
    "headset_kind",
    "seat_hold",
    "saddle_clamp",
    "crank_hold",
    "bb_hold",
    "ring_hold",
    "rotor_kind",
    "caliper",
    "hose_end",
    "arm_kind",
    "derailleur_mount",
    "hanger",
}


def test_work_opens_whichever_joint_is_there(trade: Tables) -> None:
    """An operation that opens a stem face of four bolts opens one of two as well: no bolt is opened and left off the sheet."""

    def facts(joint: JointRow) -> set[str]:
        return {one.fact for one in joint.when if one.what == "" and not one.negated} & TOLD_APART

    def opened(operation: Operation) -> set[str]:
        blocks = (trade.blocks[name] for name in operation.blocks_at(""))
        return {*operation.joints, *(name for block in blocks for name in block.joints)}

    left_out = {
        (operation.id, other.id)
        for operation in trade.operations.values()
        for joint in (trade.joints[name] for name in opened(operation))
        for other in trade.joints.values()
        if other.id not in opened(operation) and set(other.on) & set(joint.on) and facts(other) & facts(joint)
    }
    assert left_out == set(NOT_OPENED)
