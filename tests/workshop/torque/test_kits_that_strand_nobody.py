"""Kits by what is known of the bolts: every usual head where nobody looked, bits for the torque tool, what holds the other side."""

from pathlib import Path

import pytest

from pinchbolt.engines.kits import CoverJoint, CoverTool, choose_kit
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.torque.bolt_read import BoltRequest, read_bolt
from pinchbolt.workshop.torque.choose_kit import KitRequest, KitView, heads_of, kit_for_bikes, kit_from_files
from tests import story
from tests.story import NOW, TODAY, Story

HEX4, HEX5, TX25 = "hex-4", "hex-5", "tx-25"


def by_hand_tools() -> list[CoverTool]:
    """Three keys, a torque screwdriver and a set of bits."""
    return [
        CoverTool(HEX4, "4 mm key", 20, frozenset({HEX4})),
        CoverTool(HEX5, "5 mm key", 30, frozenset({HEX5})),
        CoverTool(TX25, "T25 key", 26, frozenset({TX25})),
        CoverTool("driver", "torque screwdriver", 300, keeps=frozenset({"face"})),
        CoverTool("bits", "bits", 110, bits=frozenset({HEX4, HEX5, TX25})),
    ]


def test_a_head_that_nobody_read_is_covered_whichever_it_is() -> None:
    """Hex-4 alone strands a rider with a T25."""
    face = CoverJoint("face", "stem face", (HEX4, TX25, HEX5), False, ((HEX4,), (TX25,), (HEX5,)))
    assert set(choose_kit([face], by_hand_tools()).tools) == {HEX4, TX25, HEX5}
    read = CoverJoint("face", "stem face", (TX25,), False, ((TX25,),))
    assert choose_kit([read], by_hand_tools()).tools == (TX25,)


def test_a_torque_tool_without_a_bit_keeps_no_torque() -> None:
    """An L-shaped key fits no torque screwdriver."""
    face = CoverJoint("face", "stem face", (HEX4,), True, ((HEX4,),), ((HEX4,),))
    assert set(choose_kit([face], by_hand_tools()).tools) == {HEX4, "driver", "bits"}
    without = choose_kit([face], by_hand_tools()[:-1])
    assert [need.words for need in without.missing] == ["turn stem face with a torque tool (4 mm hex key)"]


def test_a_head_that_no_tool_here_turns_is_left_out_while_another_is_covered() -> None:
    """Hex-8 or hex-10: with an 8 alone at hand the kit holds it; with neither the need stays open."""
    arm = CoverJoint("arm", "crank arm", ("hex-8", "hex-10"), False, (("hex-8",), ("hex-10",)))
    eight = CoverTool("hex-8", "8 mm key", 120, frozenset({"hex-8"}))
    assert choose_kit([arm], [eight]).tools == ("hex-8",) and not choose_kit([arm], [eight]).missing
    assert [need.words for need in choose_kit([arm], by_hand_tools()).missing] == [
        "turn crank arm (8 or 10 mm hex key)"
    ]


def test_what_holds_the_other_side_is_in_the_kit() -> None:
    """A cone turns with its locknut unless a second spanner holds it."""
    hub = CoverJoint("hub", "cone locknut", ("spanner-17",), False, held=("cone-spanner-15",))
    tools = [
        CoverTool("s17", "17 mm spanner", 120, frozenset({"spanner-17"})),
        CoverTool("cones", "cone spanners", 250, frozenset({"cone-spanner-13", "cone-spanner-15"})),
    ]
    assert set(choose_kit([hub], tools).tools) == {"s17", "cones"}


def test_spanners_of_one_size_take_hold_of_one_head() -> None:
    """A crow-foot and a spanner of 8 mm are no two heads; a 13 and a 14 are."""
    assert heads_of(("spanner-8", "crowfoot-8")) == (("spanner-8", "crowfoot-8"),)
    assert heads_of(("spanner-13", "spanner-14")) == (("spanner-13",), ("spanner-14",))
    assert heads_of(("pedal-spanner-15", "hex-8", "hex-6")) == (("pedal-spanner-15",), ("hex-8",), ("hex-6",))


@pytest.fixture
def mountain() -> Story:
    """A hardtail."""
    return story.checked_in("hardtail")


def packed(at: Story, **more: str) -> KitView:
    """Its kit for the roadside, out of all tools of the trade."""
    return kit_for_bikes(KitRequest((at.tag,), "roadside", tools="table", **more), TODAY)


@pytest.mark.django_db
def test_a_roadside_kit_strands_nobody_whose_stem_has_another_head(mountain: Story) -> None:
    """Hex-4, hex-5, hex-6 and T25 are all met on such bikes: all are there, and the unread bolts are named."""
    found = packed(mountain)
    tools = {one.id for one in found.tools}
    assert {"hex-4", "hex-5", "hex-6", "tx-25", "bits-quarter"} <= tools
    assert any("stem" in words and "hex-4" in words for words in found.not_read)
    assert {"tyre-levers", "pump-gauge", "chain-tool", "link-pliers"} <= tools
    assert found.torque_kept == found.torque_needed


@pytest.mark.django_db
def test_a_kit_gets_smaller_as_heads_are_read(mountain: Story) -> None:
    """Every bolt of the bike is a T25 where it may be one: the other keys stay at home where nothing else needs them."""
    before = packed(mountain)
    for joint in story.joints_on(mountain.tag):
        asked = BoltRequest(mountain.tag, joint, drive="tx-25")
        read_bolt(asked, by=mountain.first, key=mountain.key(), now=NOW)
    after = packed(mountain)
    assert after.count < before.count and after.not_read == ()


def test_a_torque_tool_of_a_file_is_asked_about_where_a_share_was_typed(tmp_path: Path) -> None:
    """0.06 for 6 %, 100 % and a step of nought: each named by its row."""
    joints = tmp_path / "joints.json"
    joints.write_text('[{"id": "a", "drive": "hex-5", "floor_n_m": 4, "cap_n_m": 6}]')
    for field, said in (
        ('"deviation_percent": 0.06', "6 for 6 %"),
        ('"deviation_percent": 100', "6 for 6 %"),
        ('"deviation_percent": 6, "step_n_m": 0', "step_n_m is above 0"),
    ):
        tools = tmp_path / "tools.json"
        tools.write_text(f'[{{"id": "w", "grams": 300, "least_n_m": 2, "greatest_n_m": 14, {field}}}]')
        with pytest.raises(InputRefused, match=said):
            kit_from_files(joints, tools, "count", "", TODAY)
    tools.write_text(
        '[{"id": "w", "grams": 300, "drive": "hex-5", "least_n_m": 0, "greatest_n_m": 14, "deviation_percent": 6}]'
    )
    assert kit_from_files(joints, tools, "count", "", TODAY).torque_kept == 1
