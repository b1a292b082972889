"""Working order: what must come first does, every joint stays safe, and no order needs fewer settings."""

import random
import tomllib
from collections.abc import Sequence
from datetime import date
from itertools import permutations
from pathlib import Path

import pytest

from pinchbolt.engines.torque import (
    Before,
    Governs,
    JointSpec,
    JointWindow,
    OnSheet,
    SheetOrder,
    ToolSpec,
    TorqueRange,
    best_setting,
    settings,
    sheet_order,
    window,
)
from pinchbolt.engines.torque.fewest_runs import Runs, bits, fewest_runs, undominated
from pinchbolt.errors import InputRefused, NoSafeAnswer
from pinchbolt.reference import tables

TODAY = date(2025, 6, 2)
NEXT_YEAR = date(2026, 6, 2)
# Trade tool table; deviations ISO 6789-1:2017.
BOARD = [
    ToolSpec("tq-2-14", "small click wrench", 2.0, 14.0, 0.06, 0.1, due=NEXT_YEAR),
    ToolSpec("tq-5-25", "middle click wrench", 5.0, 25.0, 0.04, 0.25, due=NEXT_YEAR),
    ToolSpec("tq-10-60", "large click wrench", 10.0, 60.0, 0.04, 0.5, due=NEXT_YEAR),
]
ORDER_FILE = "joint-order.toml"
REFERENCE = Path(__file__).parents[3] / "src" / "pinchbolt" / "reference"


def rules() -> list[Before]:
    """The table of order, read plainly."""
    path = REFERENCE / "tables" / ORDER_FILE
    return [
        Before(
            row["id"],
            tuple(row["first"]),
            tuple(row["then"]),
            row["words"],
            row["source"],
            row.get("end", ""),
        )
        for row in tomllib.loads(path.read_text(encoding="utf-8"))["order"]
    ]


def accepts(floor: float, cap: float, aim: float | None = None, joint: str = "j") -> JointWindow:
    """A window with only its figures."""
    by = Governs(floor, "trade table", "the trade table")
    return JointWindow(joint, floor, cap, (floor + cap) / 2 if aim is None else aim, by, by, (floor, cap), ())


def from_table(*ids: str, end: str = "") -> list[OnSheet]:
    """Joints as the trade table has them, without markings."""
    found = []
    for name in ids:
        row = tables().joints[name]
        table = TorqueRange(row.low, row.high, row.typical, row.source)
        answer = None if row.drive[0] == "hand" else window(JointSpec(row.id, row.name, row.parts, table))
        found.append(OnSheet(row.id + end, answer, row.id, end, row.drive[0]))
    return found


def places(order: SheetOrder) -> dict[str, int]:
    """Line number of each joint."""
    return {line.joint: number for number, line in enumerate(order.lines)}


def shortest_by_trying(labels: Sequence[int], before: Sequence[int], free: int) -> int:
    """Second way: every order of the joints, each cut into runs as long as one label reaches."""
    least = len(before)
    for order in permutations(range(len(before))):
        if any(before[j] & ~sum(1 << k for k in order[:at]) for at, j in enumerate(order)):
            continue
        runs, bearing = 0, 0
        for joint in order:
            if free >> joint & 1:
                continue
            mine = sum(1 << number for number, label in enumerate(labels) if label >> joint & 1)
            if bearing & mine:
                bearing &= mine
            else:
                runs, bearing = runs + 1, mine
        least = min(least, runs)
    return least


@pytest.mark.parametrize("seed", range(60))
def test_no_order_of_up_to_six_joints_needs_fewer_runs(seed: int) -> None:
    """Against every order there is, on random labels and rules; seeds fixed."""
    draw = random.Random(seed)
    joints = draw.randint(1, 6)
    labels = [draw.getrandbits(joints) for _ in range(draw.randint(1, 5))]
    borne = 0
    for label in labels:
        borne |= label
    before = [draw.getrandbits(j) & draw.getrandbits(j) if j else 0 for j in range(joints)]
    free = (1 << joints) - 1 & ~borne
    found = fewest_runs(labels, before, free, 10_000)
    assert found.proven
    assert (
        sum(label >= 0 for label in found.labels)
        == found.at_least
        == shortest_by_trying(labels, before, free)
    )
    assert sum(found.taken) == (1 << joints) - 1


def test_a_search_cut_short_still_does_every_joint_and_says_what_cannot_be_beaten() -> None:
    """One look only: the order is whole, not proved, and its lower bound holds against the full search."""
    draw = random.Random(7)
    joints = 24
    labels = [draw.getrandbits(joints) & draw.getrandbits(joints) for _ in range(16)]
    borne = 0
    for label in labels:
        borne |= label
    free = (1 << joints) - 1 & ~borne
    before = [
        draw.getrandbits(j) & draw.getrandbits(j) & draw.getrandbits(j) if j else 0 for j in range(joints)
    ]
    cut: Runs = fewest_runs(labels, before, free, 1)
    full = fewest_runs(labels, before, free, 100_000)
    assert sum(cut.taken) == (1 << joints) - 1
    assert full.proven
    assert cut.at_least <= full.at_least <= sum(label >= 0 for label in cut.labels)


@pytest.mark.parametrize(("free", "labels"), [(0, (0,)), (0b1000, (-1, 0))])
def test_a_search_cut_short_is_proved_where_nothing_can_be_shorter(
    free: int, labels: tuple[int, ...]
) -> None:
    """One setting bears all three joints that need a tool: one run, with or without a joint that is done by hand first."""
    before = [free, 0, 0, 0] if free else [0, 0, 0]
    cut = fewest_runs([0b111], before, free, 0)
    assert (cut.labels, cut.at_least, cut.proven) == (labels, 1, True)


def test_labels_inside_others_are_left_out() -> None:
    """A setting that serves only joints another setting serves too is never needed."""
    assert undominated([0b011, 0b001, 0b110, 0b011, 0]) == [0, 2]
    assert list(bits(0b1101)) == [0, 2, 3]


ROAD_BIKE = (
    "top-cap", "stem-steerer-2", "stem-face-4", "lever-clamp-drop", "seat-collar", "saddle-clamp-2", "thru-front",
    "thru-rear", "rotor-centre-lock", "cassette-lockring", "caliper-flat-mount", "bb-threaded-cup", "crank-preload-cap",
    "crank-pinch-2", "pedal", "hanger-bolts", "rear-mech", "front-mech-clamp", "gear-cable-pinch", "bottle-boss",
)  # fmt: skip


def test_a_whole_road_bike_is_in_working_order() -> None:
    """Every rule of the table holds, every setting is inside its joint's safe range, and the count is proved."""
    joints = from_table(*ROAD_BIKE)
    order = sheet_order(joints, rules(), BOARD, TODAY)
    at = places(order)
    assert sorted(at) == sorted(ROAD_BIKE)
    for rule in rules():
        for first in rule.first:
            for then in rule.then:
                if first in at and then in at:
                    assert at[first] < at[then], rule.id
    windows = {joint.id: joint.window for joint in joints}
    board = {tool.id: tool for tool in BOARD}
    for line in order.lines:
        accepted = windows[line.joint]
        assert accepted is not None
        if line.setting is not None:
            lowest, highest = settings(accepted.floor, accepted.cap, board[line.setting.tool], TODAY)
            assert lowest <= line.setting.set <= highest
        else:
            assert line.refused
    assert order.proven
    assert order.settings == order.at_least


def test_every_joint_has_the_setting_that_it_has_by_itself() -> None:
    """The same joint with the same tools has one answer, on whatever sheet it stands; the changes are counted and proved."""
    joints = from_table(*ROAD_BIKE)
    order = sheet_order(joints, rules(), BOARD, TODAY)
    alone = {}
    for joint in joints:
        try:
            alone[joint.id] = best_setting(joint.window, BOARD, TODAY) if joint.window else None
        except NoSafeAnswer:
            alone[joint.id] = None
    assert {line.joint: line.setting for line in order.lines} == alone
    assert sum(line.new_setting for line in order.lines) == order.settings
    # As many changes as there are different settings, unless an order of work comes between two alike.
    different = {(one.tool, one.set) for one in alone.values() if one}
    assert len(different) <= order.settings < sum(one is not None for one in alone.values())
    assert "fewer are not possible" in order.reasons[0].words


def test_what_sharing_would_save_is_said_and_nothing_is_moved() -> None:
    """10 and 10.4 could be done at 10.2; a joint that can throw the rider (may not move) stays out of it."""
    near, other = accepts(8, 12, 10.0), accepts(8, 13, 10.4)
    told = sheet_order(
        [OnSheet("a", near, may_move=True), OnSheet("b", other, may_move=True)], [], BOARD, TODAY
    )
    assert {line.setting.set for line in told.lines if line.setting} == {10.0, 10.4}
    assert any(
        "1 settings would do" in reason.words and "none is moved" in reason.words for reason in told.reasons
    )
    fixed = sheet_order([OnSheet("a", near), OnSheet("b", other)], [], BOARD, TODAY)
    assert not any("would do" in reason.words for reason in fixed.reasons)


def test_overlapping_windows_share_one_setting_where_that_is_asked_for() -> None:
    """Aims 5, 5.5 and 6.5: one setting within a quarter of all three; alone they are three."""
    joints = [
        OnSheet("a", accepts(4, 6), may_move=True),
        OnSheet("b", accepts(4, 7), may_move=True),
        OnSheet("c", accepts(5, 8), may_move=True),
    ]
    assert sheet_order(joints, [], BOARD[:1], TODAY).settings == 3
    order = sheet_order(joints, [], BOARD[:1], TODAY, from_aim=0.25)
    assert order.settings == 1
    assert {line.setting.set for line in order.lines if line.setting} <= {5.3, 5.4, 5.5, 5.6}


def test_a_joint_that_may_not_move_keeps_its_own_setting_whatever_is_shared() -> None:
    """The others come to it; it never goes to them."""
    joints = [OnSheet("fixed", accepts(4, 6, 5.0)), OnSheet("b", accepts(4, 7, 5.4), may_move=True)]
    order = sheet_order(joints, [], BOARD[:1], TODAY, from_aim=1.0)
    assert order.settings == 1
    assert {line.joint: line.setting.set for line in order.lines if line.setting} == {"fixed": 5.0, "b": 5.0}


def test_a_shared_setting_stays_near_the_aim_of_each_joint() -> None:
    """11 to 15 aimed at 13 and 8 to 15 aimed at 9.5 could share 11.7; at 15 % of each aim they may not."""
    joints = [
        OnSheet("pinch", accepts(11, 15, 13), may_move=True),
        OnSheet("axle", accepts(8, 15, 9.5), may_move=True),
    ]
    assert sheet_order(joints, [], BOARD, TODAY, from_aim=0.15).settings == 2
    assert sheet_order(joints, [], BOARD, TODAY, from_aim=1.0).settings == 1
    with pytest.raises(InputRefused, match=r"Write 5 % as 0\.05"):
        sheet_order(joints, [], BOARD, TODAY, from_aim=15)


def test_where_no_tool_comes_near_the_aim_any_safe_setting_will_do() -> None:
    """A preset of 4 in a window of 3.5 to 8 aimed at 6 is safe, so it is used rather than nothing."""
    preset = ToolSpec("p", "preset", 4.0, 4.0, 0.06, steps=(4.0,), due=NEXT_YEAR)
    line = sheet_order([OnSheet("a", accepts(3.5, 8, 6))], [], [preset], TODAY).lines[0]
    assert line.setting is not None
    assert line.setting.set == 4.0


def test_a_rule_may_cost_a_setting() -> None:
    """Low, high, low in that order takes three settings where two would do without the rule."""
    joints = [
        OnSheet("low", accepts(4, 5)),
        OnSheet("high", accepts(10, 12)),
        OnSheet("again", accepts(4, 5)),
    ]
    chain = [Before("r1", ("low",), ("high",), "w", "s"), Before("r2", ("high",), ("again",), "w", "s")]
    assert sheet_order(joints, [], BOARD, TODAY).settings == 2
    bound = sheet_order(joints, chain, BOARD, TODAY)
    assert bound.settings == 3
    assert [line.joint for line in bound.lines] == ["low", "high", "again"]


def test_rules_hold_at_the_same_end_only() -> None:
    """A front axle says nothing about a rear caliper; a rule for the rear says nothing at the front."""
    joints = [
        OnSheet("caliper, rear", accepts(5, 8), "caliper-flat-mount", "rear"),
        OnSheet("axle, front", accepts(8, 15), "thru-front", "front"),
        OnSheet("caliper, front", accepts(5, 8), "caliper-flat-mount", "front"),
        OnSheet("axle, rear", accepts(10, 18), "thru-rear", "rear"),
    ]
    order = sheet_order(joints, rules(), BOARD, TODAY)
    at = places(order)
    assert at["axle, front"] < at["caliper, front"]
    assert at["axle, rear"] < at["caliper, rear"]
    # Read across the ends this rule would close a circle with the table's: rear calipers before front axles.
    elsewhere = Before("x", ("caliper-flat-mount",), ("thru-front",), "w", "s", "rear")
    assert places(sheet_order(joints, [*rules(), elsewhere], BOARD, TODAY)).keys() == at.keys()


def test_a_joint_without_an_end_belongs_to_both() -> None:
    """Where the sheet names no end, the rule holds: the careful reading."""
    joints = [
        OnSheet("c", accepts(5, 8), "caliper-flat-mount"),
        OnSheet("a", accepts(8, 15), "thru-front", "front"),
    ]
    assert [line.joint for line in sheet_order(joints, rules(), BOARD, TODAY).lines] == ["a", "c"]


def test_hand_work_keeps_its_place_and_costs_no_setting() -> None:
    """A quick release is closed before the caliper is set, with no tool."""
    joints = [
        OnSheet("caliper", accepts(5, 8), "caliper-flat-mount", "front"),
        OnSheet("release", None, "quick-release", "front"),
    ]
    order = sheet_order(joints, rules(), BOARD, TODAY)
    assert [line.joint for line in order.lines] == ["release", "caliper"]
    assert order.lines[0].setting is None
    assert not order.lines[0].new_setting
    assert order.settings == 1


def test_a_joint_no_tool_can_do_stays_on_the_sheet_with_its_sentence() -> None:
    """Nothing drops off the sheet in silence."""
    order = sheet_order([OnSheet("a", accepts(4.9, 5.0)), OnSheet("b", accepts(4, 6))], [], BOARD, TODAY)
    narrow = next(line for line in order.lines if line.joint == "a")
    assert narrow.setting is None
    assert narrow.refused.startswith("No safe setting at both ends")


def test_joints_go_to_the_run_nearer_their_aim() -> None:
    """With two settings needed anyway, a joint both could do is done at the nearer one."""
    joints = [
        OnSheet("low", accepts(4, 5)),
        OnSheet("wide", accepts(4, 12, 10)),
        OnSheet("high", accepts(9, 11, 10)),
    ]
    order = sheet_order(joints, [], BOARD, TODAY)
    at = {line.joint: line.setting for line in order.lines}
    assert order.settings == 2
    assert at["wide"] is not None
    assert at["high"] is not None
    assert at["wide"].set == at["high"].set


def test_bits_are_put_together_within_a_setting() -> None:
    """Same setting, drives 4, 5, 4: the two 4 mm joints are done one after the other."""
    joints = [
        OnSheet(name, accepts(4, 6), drive=drive)
        for name, drive in (("a", "hex-4"), ("b", "hex-5"), ("c", "hex-4"))
    ]
    assert [line.joint for line in sheet_order(joints, [], BOARD, TODAY).lines] == ["a", "c", "b"]


def test_rules_that_go_in_a_circle_are_refused() -> None:
    """The table is wrong, and the sentence says where."""
    joints = [OnSheet("a", accepts(4, 6)), OnSheet("b", accepts(4, 6))]
    circle = [Before("1", ("a",), ("b",), "w", "s"), Before("2", ("b",), ("a",), "w", "s")]
    with pytest.raises(InputRefused, match="go in a circle through a, b"):
        sheet_order(joints, circle, BOARD, TODAY)


def test_two_joints_of_one_id_are_refused() -> None:
    """Front and rear need names of their own."""
    with pytest.raises(InputRefused, match="same id"):
        sheet_order([OnSheet("a", None), OnSheet("a", None)], [], BOARD, TODAY)


def test_an_empty_sheet_is_in_order() -> None:
    """Nothing to do takes no setting."""
    order = sheet_order([], rules(), BOARD, TODAY)
    assert (order.lines, order.settings, order.proven) == ((), 0, True)


def test_forty_joints_are_proved() -> None:
    """Every joint of the trade table that a wrench can do, up to forty, in order and proved fewest."""
    ids = [row.id for row in tables().joints.values() if row.drive[0] != "hand"]
    joints = []
    for joint in from_table(*ids):
        assert joint.window is not None
        try:
            settings(joint.window.floor, joint.window.cap, BOARD[0], TODAY)
        except NoSafeAnswer:
            continue
        joints.append(joint)
    order = sheet_order(joints[:40], rules(), BOARD, TODAY)
    assert len(order.lines) == 40
    assert order.proven


def test_every_row_of_the_order_table_names_joints_that_exist_and_says_why() -> None:
    """Ids are in the joints table, words and source are there, ids are unique, and the rules hold together."""
    known = set(tables().joints)
    found = rules()
    assert len({rule.id for rule in found}) == len(found) == 26
    for rule in found:
        assert {*rule.first, *rule.then} <= known, rule.id
        assert rule.words.endswith(".")
        assert rule.source in {"common practice, no source", "from memory"}
    everything = [OnSheet(name, None, name) for name in known]
    assert len(sheet_order(everything, found, [], TODAY).lines) == len(known)
