"""What an older record knew of a bike goes to the parts that own it, with how it is known."""

import pytest

from pinchbolt.records.migrations._facts_then import (
    OWNERS,
    BikeThen,
    PartThen,
    carried_over,
    marked_on,
    missing,
    specified,
)
from pinchbolt.records.migrations._joints_then import JOINTS
from pinchbolt.records.migrations._templates_then import METAL
from pinchbolt.workshop.common.trade_tables import tables

# Every name by which a fact could stand on a bike of the release before; what came since is on none.
NAMES = """
axle_diameter_front axle_diameter_rear axle_length_front axle_length_rear axle_pitch_front axle_pitch_rear axle_seat_front
axle_seat_rear axle_thread_front axle_thread_rear bar bar_grip bar_material battery bb bb_part bb_part_widths bb_shell
bb_shell_width body brake_drop_front brake_drop_rear brake_fluid brake_fluid_front brake_fluid_rear brake_pull
brake_pull_front brake_pull_rear caliper caliper_bolt_front caliper_bolt_rear caliper_front caliper_hole_front
caliper_hole_rear caliper_rear caliper_set_for_front caliper_set_for_rear caliper_shape caliper_shape_front
caliper_shape_rear caliper_stack_front caliper_stack_rear capacity cassette chain chain_line_front chain_line_rear
chain_pitches chainstay_mm charger crank_mount crank_pedal crown_race derailleur_family derailleur_mount derailleur_ratio
derailleur_system drive drive_kind drive_part ears_sold fluid frame_diameter_front frame_diameter_rear frame_front
frame_length_front frame_length_rear frame_pitch_front frame_pitch_rear frame_rear frame_seat_front frame_seat_rear
frame_thread_front frame_thread_rear frame_tyre_most frame_tyre_most_front frame_tyre_most_rear front_hub front_mech_mount
front_mech_tube hanger hanger_link head_tube_lower head_tube_stack head_tube_upper headset_lower headset_upper hook
hook_front hook_rear hub_rotor_mount_front hub_rotor_mount_rear lever_clamp lever_pull lever_pull_front lever_pull_rear
max_big max_difference max_ring max_rotor_front max_rotor_rear max_spacers min_big min_ring min_small motor mount_front
mount_kind_front mount_kind_rear mount_rear native_front native_rear nipple_thread opening opening_front opening_rear
pad_shape pad_shape_front pad_shape_rear pads pads_front pads_rear pedal post_clamp post_frame_least post_length post_mark
post_shown pressure_bar pressure_bar_front pressure_bar_rear quill_inserted quill_mark racing reach_least reach_least_front
reach_least_rear reach_most reach_most_front reach_most_rear rear_hub rim_bsd rim_bsd_front rim_bsd_rear rim_depth
rim_depth_front rim_depth_rear rim_inner rim_inner_front rim_inner_rear rim_max_bar rim_max_bar_front rim_max_bar_rear
rim_tyre_least rim_tyre_least_front rim_tyre_least_rear rim_tyre_most rim_tyre_most_front rim_tyre_most_rear ring_big
ring_mount ring_small ring_teeth rings rotor_front rotor_kind rotor_kind_front rotor_kind_rear rotor_marking
rotor_marking_front rotor_marking_rear rotor_mount rotor_rear saddle_rail seat_post seat_tube shift shifter shifter_pull
shifter_system spacers speeds_bike speeds_cassette speeds_shifter spindle spoke_length_computed spoke_length_stock
spoke_thread sprocket_big sprocket_pitch sprocket_small sprockets steerer steerer_bore steerer_diameter steerer_length stem
stem_bar_clamp stem_height tyre tyre_allowed_hookless tyre_allowed_hookless_front tyre_allowed_hookless_rear tyre_front
tyre_max_bar tyre_max_bar_front tyre_max_bar_rear tyre_rear valve valve_front valve_hole valve_hole_front valve_hole_rear
valve_length valve_length_front valve_length_rear valve_rear
""".split()
# The same count as the shifter's own under another rule's name, of no part by itself.
OF_NO_PART = {"speeds_bike"}
_KINDS = (
    "frame", "fork", "headset", "stem", "handlebar", "grips", "saddle", "seat post", "chain", "cassette", "freehub", "chainring",
    "crank", "bottom bracket", "pedals", "rear derailleur", "front derailleur", "hanger", "shifters", "motor", "battery",
)  # fmt: skip
_AT_BOTH_ENDS = ("wheel", "tyre", "tube", "rotor", "pads", "brake", "brake fluid")
WHOLE = (
    *(PartThen(number, kind) for number, kind in enumerate(_KINDS, start=1)),
    *(
        PartThen(100 + 10 * number + at, kind, end)
        for number, kind in enumerate(_AT_BOTH_ENDS)
        for at, end in enumerate(("front", "rear"))
    ),
)


def bike(parts: tuple[PartThen, ...] = WHOLE, **said: object) -> BikeThen:
    """An older record, of which only what is given is known."""
    known: dict[str, object] = {"words": "", "speeds": None, "facts": {}, "joints": (), **said}
    return BikeThen(parts=parts, **known)  # type: ignore[arg-type]


def of(
    found: dict[int, dict[str, tuple[object, str]]], kind: str, end: str = ""
) -> dict[str, tuple[object, str]]:
    """What the one part of this kind starts with."""
    return found[next(part.id for part in WHOLE if (part.kind, part.place) == (kind, end))]


def test_every_fact_that_could_be_typed_has_an_owner() -> None:
    """Nothing that a rule looked at is without a part, but for what is of none."""
    assert set(NAMES) - set(OWNERS) - {"opening", "frame_tyre_most"} == OF_NO_PART


def test_no_two_names_mean_the_same_place_but_for_old_other_names() -> None:
    """A second name for one place would let one value push out another."""
    twice: dict[tuple[object, ...], list[str]] = {}
    for name, owner in OWNERS.items():
        twice.setdefault((owner.kinds, owner.end, owner.fact), []).append(name)
    assert sorted(names for names in twice.values() if len(names) > 1) == [
        ["brake_fluid", "fluid"],
        ["hub_rotor_mount", "rotor_mount"],
    ]


@pytest.mark.parametrize("name", NAMES)
def test_one_fact_by_itself_is_kept_whatever_the_bike_has(name: str) -> None:
    """On a whole bike, and on one with nothing but a frame, the value is found again with some part."""
    for parts in (WHOLE, (PartThen(1, "frame"),)):
        found = carried_over(bike(parts, facts={name: "x"}))
        assert [value for facts in found.values() for value, _ in facts.values()].count("x") >= 1


def test_one_end_is_heard_before_both() -> None:
    """Pads sintered in front, resin at both: the front ones are sintered."""
    found = carried_over(bike(facts={"pads": "resin", "pads_front": "sintered"}))
    assert (of(found, "pads", "front")["pads"][0], of(found, "pads", "rear")["pads"][0]) == (
        "sintered",
        "resin",
    )


def test_a_fact_says_how_it_is_known() -> None:
    """Read by a hand, equal to the template's, or neither; the fluid of a bottle is no reading of the brake."""
    found = carried_over(
        bike(
            facts={"rotor_front": 180, "rotor_rear": 160, "seat_post": "27.2", "fluid": "mineral"},
            read={"rotor_front": 180, "fluid": "mineral"},
            usual={"rotor_front": (180,), "rotor_rear": (160,)},
        )
    )
    assert of(found, "rotor", "front")["rotor"] == (180, "read off the part")
    assert of(found, "rotor", "rear")["rotor"] == (160, "template")
    assert of(found, "seat post")["seat_post"] == ("27.2", "records")
    assert of(found, "brake fluid", "front")["fluid"] == ("mineral", "records")


def test_a_joint_settles_its_own_end_and_never_what_was_known() -> None:
    """A post mount behind is a disc brake behind; a caliper that was told stays as told."""
    found = carried_over(
        bike(
            facts={"caliper_rear": "is"},
            joints=("caliper-post-mount:rear", "stem-face-2", "vbrake-arm:front"),
        )
    )
    assert of(found, "brake", "rear") == {"caliper": ("is", "records"), "stops_on": ("disc", "records")}
    assert of(found, "brake", "front")["stops_on"] == ("rim", "records")
    assert of(found, "stem") == {"face_bolts": (2, "records")}


def test_the_joints_that_settle_something_are_joints() -> None:
    """A slip of the pen in the list would settle nothing without a word."""
    assert {name.partition(":")[0] for name in JOINTS} <= set(tables().joints)


def test_speeds_are_of_the_sprockets_or_of_the_hub() -> None:
    """Eleven behind are eleven sprockets; seven with a hub gear are gears of the hub, and one sprocket."""
    assert of(carried_over(bike(speeds=11)), "cassette")["sprockets_behind"] == (11, "records")
    hub = (PartThen(1, "hub gear"), PartThen(2, "sprocket"))
    held = {"sprocket_hold": ("snap ring", "guess")}
    assert carried_over(bike(hub, speeds=7)) == {1: {"gears": (7, "records")}, 2: held}
    assert carried_over(bike(hub, speeds=1)) == {1: {}, 2: {"sprockets_behind": (1, "records"), **held}}


def test_no_bike_loses_a_caution_that_its_words_brought() -> None:
    """Words that said carbon or e-bike made the lists ask: now a guess about the frame, and a battery to be looked for."""
    found = carried_over(bike(words="Carbon racer"))
    assert of(found, "frame")["material"] == ("carbon", "guess")
    assert of(carried_over(bike(facts={"bar": "31.8 carbon"})), "handlebar")["material"] == (
        "carbon",
        "records",
    )
    plain = tuple(part for part in WHOLE if part.kind not in ("motor", "battery"))
    assert missing(bike(plain, words="Red city e-bike")) == [("battery", "")]
    assert missing(bike(plain, kind="ebike")) == [("battery", "")]
    assert missing(bike(words="Red city e-bike")) == []


def test_a_sprung_fork_is_known_to_be_sprung_by_what_was_read_on_it() -> None:
    """That it is sprung is on record, by what is a guess; one on which nothing of the kind was read is taken for rigid."""
    fork = PartThen(1, "fork", limits=("fork-bush-play", "stanchion-score"))
    assert carried_over(bike((fork,)))[1]["springing"] == ("coil", "guess")
    assert carried_over(bike((PartThen(1, "fork"),)))[1] == {"springing": ("none", "guess")}
    of_a_template = bike((PartThen(1, "fork"),), usual={"bar": (31.8,)})
    assert carried_over(of_a_template)[1] == {"springing": ("none", "template")}


def test_two_joints_together_say_more_than_each() -> None:
    """An adjustable stem on a quill, cups in an eccentric."""
    found = carried_over(bike(joints=("stem-adjust", "quill-wedge", "bb-eccentric", "bb-cartridge")))
    assert of(found, "stem")["stem_kind"] == ("adjustable quill", "records")
    assert of(found, "bottom bracket")["bb_hold"] == ("cartridge in an eccentric", "records")


def test_a_valve_nut_brings_its_valve() -> None:
    """The joint stays on the sheet, so the part that has it is added."""
    assert missing(bike(joints=("valve-nut:front",))) == [("valve", "front")]


def test_who_carries_children_keeps_the_seat() -> None:
    """Two seats in the bike's words, or a torque read off a seat's block: the seat stood on no build sheet, and is added."""
    assert missing(bike(words="longtail, two child seats")) == [("child seat", "")]
    assert missing(bike(marked=("child-seat-block",))) == [("child seat", "")]
    assert missing(bike(facts={"note": "trailer coupling on the axle"})) == [("hitch", "")]
    seated = (*WHOLE, PartThen(999, "child seat"))
    assert missing(bike(seated, words="longtail, two child seats")) == []
    assert missing(bike(words="child's bike, seat lowered")) == []


def test_a_hub_gear_in_words_alone_is_put_on_the_sheet() -> None:
    """A belt bike that was checked in by a build with a derailleur: its hub gear is asked for, and its number of gears is of it."""
    assert missing(bike(words="belt, 5-speed hub gear")) == [("hub gear", "")]
    assert missing(bike((PartThen(1, "hub gear"),), words="5-speed hub gear")) == []


def test_gear_cables_say_how_it_is_shifted_and_a_hub_gear_that_it_coasts() -> None:
    """So that nobody is asked for the charge of a cable shifter's battery, nor for the lockring of a sprocket in a wire ring."""
    parts = tuple(PartThen(n, kind) for n, kind in enumerate(("shifters", "hub gear", "sprocket"), start=1))
    known = carried_over(bike((*parts, PartThen(4, "gear cables")), usual={"bar": (31.8,)}))
    assert known[1] == {"shift_line": ("cable", "template")} == known[2]
    assert known[3] == {"sprocket_hold": ("snap ring", "template")}
    assert carried_over(bike(parts[:1]))[1] == {}
    fixed = (PartThen(1, "sprocket"),)
    assert carried_over(bike(fixed, joints=("fixed-sprocket-lockring",)))[1]["sprocket_hold"][0] == "fixed"
    assert carried_over(bike(fixed))[1] == {}


def test_a_build_of_metal_is_of_metal_until_somebody_has_looked() -> None:
    """As such a bike is begun with today; what is on record, or in its words, goes before."""
    found = carried_over(
        bike(metal=METAL["tourer"], words="tourer, carbon frame", facts={"bar": "25.4 steel"})
    )
    assert of(found, "frame")["material"] == ("carbon", "guess")
    assert of(found, "handlebar")["material"] == ("steel", "records")
    assert of(found, "stem")["material"] == ("aluminium", "template")
    assert "material" not in of(carried_over(bike()), "stem")


def test_typed_fields_of_a_part_are_facts() -> None:
    """Each under the name that all others use; what is marked stays marked."""
    assert specified("rotor", {"diameter_mm": 160, "marked_minimum_mm": 1.5}) == {
        "rotor": (160, "records"),
        "marked_minimum_mm": (1.5, "records"),
    }
    assert specified("tyre", {"width_mm": 40, "bead_mm": 622})["tyre"] == ("40-622", "records")


@pytest.mark.parametrize(
    ("word", "joint", "kind", "end"),
    [
        ("steerer", "stem-steerer-2", "fork", ""),
        ("caliper", "caliper-flat-mount:rear", "brake", "rear"),
        ("rotor", "rotor-6-bolt:front", "rotor", "front"),
        ("axle", "thru-rear", "frame", ""),
        ("axle", "thru-front", "fork", ""),
        ("boss", "vbrake-arm:rear", "frame", ""),
        ("spindle", "crank-taper-bolt", "bottom bracket", ""),
        ("spindle", "crank-pinch-2", "crank", ""),
        ("hub", "rotor-6-bolt:rear", "wheel", "rear"),
        ("derailleur", "gear-cable-pinch:front", "front derailleur", ""),
    ],
)
def test_a_marking_names_its_part_by_the_word_of_the_joint(
    word: str, joint: str, kind: str, end: str
) -> None:
    """The word and the end of the joint point to one part."""
    part = marked_on(word, joint, WHOLE)
    assert part is not None
    assert (part.kind, part.place) == (kind, end)


def test_a_marking_that_may_be_of_two_parts_stays_with_the_joint() -> None:
    """Two stems were on the bike that day: the marking governs whichever is there, as the careful reading."""
    stems = (PartThen(1, "stem"), PartThen(2, "stem"))
    assert marked_on("stem", "stem-face-4", stems) is None
    assert marked_on("rotor", "rotor-6-bolt", WHOLE) is None
