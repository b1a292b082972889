"""A kit for the van or the road: what it must turn, what it must keep to a torque, and what leaving one tool out costs."""

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Tool, Workshop
from pinchbolt.reference import tables
from pinchbolt.workshop.torque.choose_kit import (
    KitRequest,
    KitView,
    bikes_to_pack,
    choices,
    kit_for_bikes,
    kit_from_files,
)
from tests import story
from tests.story import TODAY, Story

JOINTS = [
    {"id": "face", "name": "stem face, marked 5", "drive": ["hex-4"], "floor_n_m": 4, "cap_n_m": 5},
    {"id": "cage", "name": "bottle cage", "drive": ["hex-4", "tx-25"]},
    {"id": "mech", "name": "mech hanger", "drive": ["hex-5"]},
]
TOOLS = [
    {"id": "four", "name": "4 mm key", "grams": 24, "price": "3.50", "drive": ["hex-4"]},
    {"id": "t25", "name": "T25 key", "grams": 26, "price": "5.00", "drive": ["tx-25"]},
    {"id": "fold", "name": "folding tool", "grams": 150, "price": "30.00", "drive": ["hex-4", "hex-5", "tx-25"]},
    {"id": "five", "name": "5 mm key", "grams": 40, "price": "4.00", "drive": ["hex-5"]},
    {"id": "click", "name": "click wrench", "grams": 480, "price": "95", "least_n_m": 2, "greatest_n_m": 14, "deviation_percent": 4},
]  # fmt: skip
Kit = Callable[..., KitView]


@pytest.fixture
def kit(tmp_path: Path) -> Kit:
    """The kit of these joints and tools, or of others."""

    def chosen(
        least: str = "count", without: str = "", joints: object = JOINTS, tools: object = TOOLS
    ) -> KitView:
        for name, rows in (("joints", joints), ("tools", tools)):
            (tmp_path / f"{name}.json").write_text(json.dumps(rows), encoding="utf-8")
        return kit_from_files(tmp_path / "joints.json", tmp_path / "tools.json", least, without, TODAY)

    return chosen


@pytest.mark.parametrize(
    ("least", "ids", "count", "grams"),
    [
        ("count", {"fold", "click"}, 2, 630.0),
        ("mass", {"four", "five", "click"}, 3, 544.0),
        ("price", {"four", "five", "click"}, 3, 544.0),
    ],
)
def test_the_least_is_what_was_asked_to_be_least(
    kit: Kit, least: str, ids: set[str], count: int, grams: float
) -> None:
    """By hand: two tools are fewest; two keys and the wrench are lightest (24 + 40 + 480 g) and cheapest."""
    found = kit(least)
    assert ({tool.id for tool in found.tools}, found.count, found.grams) == (ids, count, grams)
    assert found.proven and (found.torque_needed, found.torque_kept) == (1, 1)
    assert found.missing == found.cannot_tell == ()


def test_leaving_a_tool_out_says_what_would_take_its_place(kit: Kit) -> None:
    """Without the folding tool: two keys and the wrench."""
    dropped = kit(without="fold").without
    assert dropped is not None and dropped.tool == "fold"
    assert dropped.instead == "Others can take its place: 3 tools, 544 g, a price of 102.50 in all."
    assert any("mech hanger" in words for words in dropped.loses)


def test_leaving_the_only_wrench_out_says_that_nothing_else_keeps_the_torque(kit: Kit) -> None:
    """One need is lost and it is named; nothing is counted on top of it."""
    dropped = kit(without="click").without
    assert dropped is not None
    assert (
        dropped.instead.startswith("No other tool at hand can ") and "stem face, marked 5" in dropped.instead
    )
    assert "more" not in dropped.instead


def test_two_needs_that_go_with_a_tool_are_one_named_and_one_counted(kit: Kit) -> None:
    """The folding tool alone turns both."""
    dropped = kit(
        without="fold", tools=[one for one in TOOLS if one["id"] not in ("four", "t25", "five")]
    ).without
    assert dropped is not None and ", and 2 more." in dropped.instead


def test_what_no_tool_turns_is_said_and_not_hidden(kit: Kit) -> None:
    """A joint with a drive that nobody has."""
    found = kit(joints=[*JOINTS, {"id": "lock", "name": "lockring", "drive": ["splined"]}])
    assert len(found.missing) == 1 and "lockring" in found.missing[0]


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ({"id": "x", "drive": ["hex-4"]}, '"x" has no grams'),
        ({"id": "x", "grams": 10}, '"x" does nothing'),
        ({"id": "x", "grams": 10, "drive": ["hex-4"], "colour": "red"}, '"colour" is not known'),
        ({"id": "x", "grams": 10, "tool": "no such"}, 'tool is "no such"'),
    ],
)
def test_a_tool_that_is_half_told_is_refused_by_its_number(
    kit: Kit, row: dict[str, object], sentence: str
) -> None:
    """And nothing is chosen out of the rest."""
    with pytest.raises(InputRefused) as refused:
        kit(tools=[*TOOLS, row])
    assert f"tool {len(TOOLS) + 1}: {sentence}" in refused.value.sentence


@pytest.mark.parametrize(
    "ends", [{"floor_n_m": 5, "cap_n_m": 4}, {"floor_n_m": 4}, {"cap_n_m": 4}, {"floor_n_m": 0, "cap_n_m": 4}]
)
def test_a_window_of_a_joint_has_two_ends_in_order(kit: Kit, ends: dict[str, float]) -> None:
    """From 4 to nothing is no window, nor from 5 to 4, nor from nought."""
    with pytest.raises(InputRefused, match="floor_n_m and cap_n_m stand together, above 0"):
        kit(joints=[{"id": "face", "drive": ["hex-4"], **ends}])


def test_a_row_of_our_tables_brings_what_the_file_leaves_out(kit: Kit) -> None:
    """Only its name is written: mass, price and drives are those of the table."""
    row = tables().tools["hex-5"]
    found = kit(joints=[JOINTS[2]], tools=[{"id": "mine", "tool": "hex-5"}])
    (tool,) = found.tools
    assert (tool.id, tool.name, tool.grams) == ("mine", row.name, float(row.grams))
    assert tool.price == tables().tool_prices["hex-5"].price


def test_a_torque_tool_of_the_table_keeps_what_its_class_promises(kit: Kit) -> None:
    """The table's wrench is taken at the deviation of its class, so it keeps 4 to 5 N·m."""
    row, *_ = [one for one in tables().torque_tools.values() if one.range[0] <= 4 and one.range[1] >= 10]
    found = kit(joints=JOINTS[:1], tools=[TOOLS[0], {"id": row.id}])
    assert {tool.id for tool in found.tools} == {"four", row.id}
    assert found.torque_kept == 1


def hang_keys() -> None:
    """Every hand tool of the table on the board."""
    for row in tables().tools.values():
        Tool.objects.create(table_id=row.id, name=row.name)


def test_a_joint_of_an_end_says_which_end(arrived: Story) -> None:
    """Two callipers on a bike: the kit names front and rear, and a joint that stands once has no comma after it."""
    hang_keys()
    found = kit_for_bikes(KitRequest((arrived.tag,), torque="none"), TODAY)
    turned = {words for tool in found.tools for words in tool.turns}
    assert all(words.startswith(f"{arrived.tag}: ") for words in turned)
    ends = {words.rsplit(", ", 1)[-1] for words in turned if words.endswith((", front", ", rear"))}
    assert ends == {"front", "rear"}
    assert not any(words.endswith((", ", ",")) for words in turned)


@pytest.mark.parametrize(("torque", "needs"), [("none", False), ("critical", True), ("every", True)])
def test_what_is_kept_to_a_torque_is_what_was_asked(arrived: Story, torque: str, needs: bool) -> None:
    """None, those that can throw the rider, or every joint: each more than the one before."""
    hang_keys()
    found = kit_for_bikes(KitRequest((arrived.tag,), torque=torque), TODAY)
    assert (found.torque_needed > 0) is needs
    if torque == "every":
        critical = kit_for_bikes(KitRequest((arrived.tag,)), TODAY)
        assert found.torque_needed > critical.torque_needed


def test_a_journey_asks_for_fewer_joints_than_the_whole_bike(arrived: Story) -> None:
    """Pedals, post, stem, bars and axles; all of them are joints of the bike."""
    counts = {
        row: kit_for_bikes(KitRequest((arrived.tag,), choose=row, tools="table"), TODAY).joints
        for row, _ in choices()
    }
    assert 0 < counts["travel"] < counts["roadside"] <= counts["all"]


def test_a_bike_named_twice_is_packed_once(arrived: Story) -> None:
    """And two bikes need what both need."""
    other = story.checked_in("child")
    once = kit_for_bikes(KitRequest((arrived.tag,), tools="table"), TODAY)
    twice = kit_for_bikes(KitRequest((arrived.tag, arrived.tag), tools="table"), TODAY)
    both = kit_for_bikes(KitRequest((arrived.tag, other.tag), tools="table"), TODAY)
    alone = kit_for_bikes(KitRequest((other.tag,), tools="table"), TODAY)
    assert twice == once
    assert both.joints == once.joints + alone.joints
    assert max(once.count, alone.count) <= both.count <= once.count + alone.count


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ({"choose": "picnic"}, "choose"),
        ({"torque": "some"}, "torque"),
        ({"tools": "neighbour"}, "tools"),
        ({"least": "noise"}, "least"),
        ({"bikes": ()}, "bikes"),
        ({"bikes": tuple(f"PB-{n}" for n in range(41))}, "bikes"),
    ],
)
def test_a_word_that_is_not_offered_is_refused_by_its_field(
    arrived: Story, asked: dict[str, object], field: str
) -> None:
    """Each with what there is to choose from."""
    with pytest.raises(InputRefused) as refused:
        kit_for_bikes(KitRequest(**{"bikes": (arrived.tag,), **asked}), TODAY)  # type: ignore[arg-type]
    assert list(refused.value.errors) == [field]


def test_a_kit_for_bikes_counts_in_the_shops_money(arrived: Story) -> None:
    """What it costs, and what would take a tool's place; a file names no currency."""
    Workshop.objects.update(currency="EUR", country="DE")
    asked = KitRequest((arrived.tag,), least="price", tools="table")
    found = kit_for_bikes(asked, TODAY)
    assert "\N{NO-BREAK SPACE}€" in found.proof
    dropped = kit_for_bikes(replace(asked, without=found.tools[0].id), TODAY).without
    assert dropped is not None and (
        "€ in all." in dropped.instead or dropped.instead.startswith("No other tool")
    )


def test_a_bike_that_is_not_known_is_not_packed(arrived: Story) -> None:
    """By its tag."""
    with pytest.raises(NotFound):
        kit_for_bikes(KitRequest(("PB-999",)), TODAY)


def test_bikes_to_pack_are_those_here_and_those_chosen_already(asked_for: Story) -> None:
    """A bike that left is offered only where it was chosen before, and is said to be away."""
    gone = story.handed_over(story.signed_off(story.worked(story.answered(asked_for))))
    here = story.checked_in("child")
    assert [one.tag for one in bikes_to_pack([])] == [here.tag]
    assert {one.tag: one.is_here for one in bikes_to_pack([gone.tag])} == {gone.tag: False, here.tag: True}


def test_a_kit_says_its_proof_and_what_stays_open(kit: Kit) -> None:
    """Proved, in the unit of what was to be least; a need that nothing meets is counted."""
    assert kit().proof == "No set of these 5 tools does better than 2 tools."
    assert kit("mass").proof == "No set of these 5 tools does better than 544 g."
    assert kit("price").proof == "No set of these 5 tools does better than a price of 102.50."
    lacking = kit(joints=[*JOINTS, {"id": "odd", "drive": ["hex-9"]}])
    assert lacking.proven and lacking.proof.endswith(" No tool at hand does the rest: 1.")
    one = kit(joints=JOINTS[2:], tools=TOOLS[3:4])
    assert one.proof.startswith("No set of these 1 tools does better than 1 tool.")
