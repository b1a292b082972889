"""The joints that a workshop is asked about first, as the sheet shows them: what they accept, what is said, what comes first."""

from typing import Any

import pytest

from pinchbolt.records.models import Bike, Owner
from pinchbolt.workshop.bikes.change_build import AddRequest, add_part
from pinchbolt.workshop.common.table_words import joint_name
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.torque.bolt_read import BoltRequest, read_bolt
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.torque_sheet import JointView, sheet_of
from tests.story import NOW, TODAY, Story

FACE = "stem-face-4-carbon"
# Parts with the facts that bring the joints asked about, and these joints.
PARTS: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("handlebar", "", {"material": "carbon"}),
    ("stem", "", {"face_bolts": 4, "stem_kind": "two bolts"}),
    ("headset", "", {"headset_kind": "top cap"}),
    ("fork", "", {"material": "carbon"}),
    ("seat post", "", {"seat_hold": "collar", "material": "carbon"}),
    ("crank", "", {"crank_hold": "pinch"}),
    ("pedals", "", {}),
    ("motor", "", {}),
    ("wheel", "rear", {"axle_hold": "thru"}),
    ("cassette", "", {}),
    ("rotor", "rear", {"rotor_kind": "six-bolt"}),
)
JOINTS = [
    "crank-pinch-2", "crank-preload-cap", FACE, "stem-steerer-2", "top-cap", "seat-collar", "pedal", "cassette-lockring",
    "rotor-6-bolt:rear", "motor-crank-bolt", "thru-rear:rear",
]  # fmt: skip


def words(caution: str) -> str:
    """The words of a caution."""
    return tables().cautions[caution].words


@pytest.fixture
def bike(arrived: Story) -> Bike:
    """A carbon bike with these joints, its bar and post marked 5 N·m, its stem 4 to 6, its lockring 40."""
    made = Bike.objects.create(
        tag="PB-900",
        owner=Owner.objects.first(),
        kind="gravel",
        words="gravel bike",
    )
    for kind, end, facts in PARTS:
        add_part(AddRequest(made.tag, kind, end, facts), by=arrived.first, key=arrived.key(), now=NOW)
    for joint, part, greatest, least in (
        (FACE, "stem", 6.0, 4.0),
        (FACE, "handlebar", 5.0, None),
        ("seat-collar", "seat post", 5.0, None),
        ("cassette-lockring", "cassette", 40.0, None),
    ):
        asked = MarkingRequest(made.tag, joint, part, greatest, least)
        read_marking(asked, by=arrived.first, key=arrived.key(), now=NOW)
    return made


@pytest.fixture
def sheet(bike: Bike) -> dict[str, JointView]:
    """The sheet by joint, in working order."""
    return {one.joint: one for one in sheet_of(bike, JOINTS, {}, TODAY).joints}


def test_every_setting_stays_inside_its_joint(sheet: dict[str, JointView]) -> None:
    """What the bolt may get, both ends, lies in the window."""
    settled = [one for one in sheet.values() if one.setting is not None]
    assert len(settled) >= 8
    for one in settled:
        assert one.window is not None and one.setting is not None
        assert one.window.floor <= one.setting.applies.low <= one.setting.applies.high <= one.window.cap


def test_a_stem_marked_four_to_six_on_a_bar_marked_five(sheet: dict[str, JointView]) -> None:
    """The lowest greatest value is the cap and is named; the caution on bars stands beside it."""
    face = sheet[FACE]
    assert face.window is not None and (face.window.floor, face.window.cap) == (4.0, 5.0)
    assert face.window.cap_by.named == "the handlebar's marking"
    assert words("bars") in face.cautions and words("carbon") in face.cautions


def test_a_carbon_post_is_kept_under_its_marking(sheet: dict[str, JointView]) -> None:
    """Marked 5: nothing may reach past it, and the caution on carbon is there."""
    post = sheet["seat-collar"]
    assert post.setting is not None and post.setting.applies.high <= 5.0
    assert words("carbon") in post.cautions


def test_a_cassette_lockring_marked_forty_is_kept_to_forty(sheet: dict[str, JointView]) -> None:
    """The lone value on the lockring is a greatest value; a large wrench stays under it."""
    ring = sheet["cassette-lockring"]
    assert ring.setting is not None and ring.window is not None
    assert ring.window.cap == 40.0 and ring.setting.applies.high <= 40.0
    assert "large click wrench" in ring.tool_name


def test_six_rotor_bolts_have_their_pattern_and_the_brakes_their_caution(sheet: dict[str, JointView]) -> None:
    """Six bolts, 4 to 6.2 N·m (joints table), star-wise in passes; no oil on rotors."""
    rotor = sheet["rotor-6-bolt:rear"]
    assert rotor.count == 6 and rotor.setting is not None and rotor.setting.applies.high <= 6.2
    assert "star" in rotor.pattern and words("brakes") in rotor.cautions


def test_the_left_pedal_is_said_to_be_left_handed(sheet: dict[str, JointView]) -> None:
    """On the same line as the torque."""
    assert "left pedal left" in sheet["pedal"].hand


def test_bearing_preload_comes_before_what_pinches_it(sheet: dict[str, JointView]) -> None:
    """Crank cap before its pinch bolts, top cap before the stem's; the cap is done by hand or at its few N·m."""
    order = list(sheet)
    assert order.index("crank-preload-cap") < order.index("crank-pinch-2")
    assert order.index("top-cap") < order.index("stem-steerer-2")


def test_the_working_order_carries_its_proof(bike: Bike) -> None:
    """Fewer settings are not possible, and each rule that was kept says why."""
    order = sheet_of(bike, JOINTS, {}, TODAY).order
    assert order.proven and order.settings == order.at_least < len(JOINTS)
    assert "fewer are not possible" in order.words
    assert any("once the stem is clamped the cap sets nothing" in reason.words for reason in order.reasons)


def test_a_motor_brings_its_caution(sheet: dict[str, JointView]) -> None:
    """Battery out first."""
    assert words("battery") in sheet["motor-crank-bolt"].cautions
    assert words("battery") not in sheet[FACE].cautions


def test_a_bolt_found_dry_where_grease_is_meant_shows_both_preloads(arrived: Story, bike: Bike) -> None:
    """The setting stays; what differs is said with both ranges, and the class gives the share of proof."""
    before = {one.joint: one for one in sheet_of(bike, JOINTS, {}, TODAY).joints}["stem-steerer-2"]
    assert before.bolt is not None and before.bolt.share is None and before.bolt.preload_as_found is None
    assert "the class cannot be read off the head" in " ".join(before.bolt.words)
    asked = BoltRequest(bike.tag, "stem-steerer-2", "8.8", "dry")
    read_bolt(asked, by=arrived.first, key=arrived.key(), now=NOW)
    after = {one.joint: one for one in sheet_of(bike, JOINTS, {}, TODAY).joints}["stem-steerer-2"]
    assert after.setting == before.setting and after.bolt is not None
    assert after.bolt.share is not None and after.bolt.preload_as_found is not None
    assert "was meant grease and is dry" in " ".join(after.bolt.warnings)


def test_a_target_moves_the_aim_and_a_target_past_a_marking_is_a_conflict(arrived: Story, bike: Bike) -> None:
    """The stem's maker names 4.5; then 5.5, which the bar does not bear: both are named, and no setting is shown."""

    def named(target: float) -> JointView:
        asked = MarkingRequest(bike.tag, FACE, "stem", 6.0, 4.0, target)
        return read_marking(asked, by=arrived.first, key=arrived.key(), now=NOW)

    first = named(4.5)
    assert first.window is not None and first.window.aim == 4.5
    assert "4.5 N·m is the value to use" in " ".join(first.markings)
    second = named(5.5)
    assert (
        second.setting is None and "the stem names 5.5 N·m" in second.refused and "4 to 5" in second.refused
    )


def test_a_floor_above_a_cap_is_refused_with_both_sources_named(arrived: Story, bike: Bike) -> None:
    """A bar that bears 3 under a stem that asks for 4: a person decides."""
    asked = MarkingRequest(bike.tag, FACE, "handlebar", 3.0)
    seen = read_marking(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert seen.window is None and seen.setting is None
    assert "the stem's marking asks for at least 4 N·m" in seen.refused
    assert "the handlebar's marking allows at most 3 N·m" in seen.refused


def test_a_joint_of_one_end_says_it_once() -> None:
    """The row of the rear axle names its end; that of a rotor's bolts stands at both."""
    assert joint_name("thru-rear:rear") == "rear thru axle, tool type"
    assert joint_name("rotor-6-bolt:rear").endswith(", rear")
