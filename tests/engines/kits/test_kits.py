"""The smallest, lightest or cheapest kit: against trying every set, and on the trade's own tools."""

import random
from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import combinations

import pytest

from pinchbolt.engines.kits import Aim, CoverJoint, CoverTool, choose_kit, lost_without, needs_of
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.reference import tables


def covers(tools: Sequence[CoverTool], joints: Sequence[CoverJoint], all_tools: Sequence[CoverTool]) -> bool:
    """Second way: each joint turned and kept by one of these tools, as far as any tool at hand can."""
    for joint in joints:
        turned = [tool for tool in all_tools if tool.drives & set(joint.drives)]
        if turned and not any(tool in tools for tool in turned):
            return False
        kept = [tool for tool in all_tools if joint.id in tool.keeps]
        if joint.needs_torque and kept and not any(tool in tools for tool in kept):
            return False
    return True


def every_set(tools: Sequence[CoverTool]) -> Iterator[tuple[CoverTool, ...]]:
    """All sets of the tools."""
    for size in range(len(tools) + 1):
        yield from combinations(tools, size)


def figures(tools: Sequence[CoverTool], aim: Aim) -> tuple[float | Decimal, float]:
    """What is least first, then what decides between equals."""
    grams, count = sum(tool.grams for tool in tools), len(tools)
    if aim == "count":
        return count, grams
    if aim == "grams":
        return grams, count
    return sum((tool.price or Decimal(0) for tool in tools), Decimal(0)), count


def drawn(seed: int) -> tuple[list[CoverJoint], list[CoverTool]]:
    """Random joints and up to nine tools; some joints that nothing covers."""
    draw = random.Random(seed)
    drives = [f"d{n}" for n in range(6)]
    joints = [
        CoverJoint(f"j{n}", f"joint {n}", tuple(draw.sample(drives, draw.randint(1, 2))), draw.random() < 0.6)
        for n in range(draw.randint(1, 8))
    ]
    tools = [
        CoverTool(
            f"t{n}",
            f"tool {n}",
            float(draw.choice([10, 10, 20, 35.5, 80])),
            frozenset(draw.sample(drives, draw.randint(0, 3))),
            frozenset(joint.id for joint in joints if draw.random() < 0.3),
            Decimal(draw.choice(["1.50", "2.00", "9.99"])),
        )
        for n in range(draw.randint(1, 9))
    ]
    return joints, tools


@pytest.mark.parametrize("aim", ["count", "grams", "price"])
@pytest.mark.parametrize("seed", range(25))
def test_no_set_of_tools_does_better(seed: int, aim: Aim) -> None:
    """Against every set there is, up to nine tools, seeds fixed; and the sets as good are really as good, and all."""
    joints, tools = drawn(seed)
    kit = choose_kit(joints, tools, aim)
    chosen = [tool for tool in tools if tool.id in kit.tools]
    assert covers(chosen, joints, tools)
    able = [found for found in every_set(tools) if covers(found, joints, tools)]
    best = min(figures(found, aim) for found in able)
    assert (
        figures(chosen, aim) == pytest.approx(best, rel=1e-12)
        if aim != "price"
        else figures(chosen, aim) == best
    )
    assert kit.proven
    ties = {frozenset(tool.id for tool in found) for found in able if figures(found, aim) == best}
    named = {(frozenset(kit.tools) - set(swap.leaves)) | set(swap.comes) for swap in kit.as_good}
    assert named <= ties - {frozenset(kit.tools)}
    assert len(named) == min(3, len(ties) - 1)
    assert kit.more_as_good == (len(ties) - 1 > 3)


@pytest.mark.parametrize("seed", range(25))
def test_every_tool_of_a_smallest_kit_is_there_for_something(seed: int) -> None:
    """Leaving one out loses a need, and what is lost is what no other tool of the kit does."""
    joints, tools = drawn(seed)
    kit = choose_kit(joints, tools)
    for tool in kit.tools:
        lost = lost_without(kit.tools, tool, joints, tools)
        assert lost
        left = [one for one in tools if one.id in kit.tools and one.id != tool]
        assert not covers(left, joints, tools)


def test_a_preset_covers_a_joint_only_if_it_is_sure_of_it() -> None:
    """Seat post marked 5: the preset of 5 N·m turns its bolt and does not keep it, so the click wrench comes too."""
    face = CoverJoint("face", "stem face", ("hex-4",), True)
    post = CoverJoint("post", "seat collar", ("hex-4",), True)
    tools = [
        CoverTool("hex-4", "4 mm key", 24, frozenset({"hex-4"})),
        CoverTool("preset", "preset keys", 180, keeps=frozenset({"face"})),
        CoverTool("click", "click wrench", 480, keeps=frozenset({"face", "post"})),
    ]
    assert choose_kit([face], tools).tools == ("hex-4", "preset")
    assert choose_kit([face, post], tools).tools == ("hex-4", "click")


def test_what_nothing_covers_is_left_open_and_said() -> None:
    """No tool for the lockring: the kit is still made, and the need is named."""
    joints = [
        CoverJoint("ring", "lockring", ("cassette-tool",), True),
        CoverJoint("face", "stem face", ("hex-4",), False),
    ]
    kit = choose_kit(joints, [CoverTool("hex-4", "4 mm key", 24, frozenset({"hex-4"}))])
    assert kit.tools == ("hex-4",)
    assert [need.words for need in kit.missing] == [
        "turn lockring (cassette tool)",
        "keep the torque of lockring",
    ]
    assert any("Nothing at hand can turn lockring" in reason.words for reason in kit.reasons)


def test_every_kit_says_what_each_tool_is_for() -> None:
    """One reason a tool."""
    joints = [CoverJoint("a", "stem face", ("hex-4",), False), CoverJoint("b", "saddle", ("hex-4",), False)]
    kit = choose_kit(joints, [CoverTool("hex-4", "4 mm key", 24, frozenset({"hex-4"}))])
    assert kit.reasons[1].words == "4 mm key alone can turn stem face (4 mm hex key) and 1 more."


def test_the_least_price_needs_all_prices() -> None:
    """A missing price is a missing fact."""
    with pytest.raises(Unknown, match="No price is known for key"):
        choose_kit(
            [CoverJoint("a", "a", ("d",), False)], [CoverTool("k", "key", 1, frozenset({"d"}))], "price"
        )


def test_no_joints_take_no_tools() -> None:
    """An empty bag covers nothing to do."""
    assert choose_kit([], [CoverTool("k", "key", 1)]).tools == ()
    assert choose_kit([], []).tools == ()


def test_input_that_cannot_be_is_refused() -> None:
    """Two tools of one id, a mass under nought, a joint without a drive, a tool that is not in the kit."""
    key = CoverTool("k", "key", 1, frozenset({"d"}))
    joint = CoverJoint("a", "a", ("d",), False)
    with pytest.raises(InputRefused, match="same id"):
        choose_kit([joint], [key, key])
    with pytest.raises(InputRefused, match="weighs -1 g"):
        choose_kit([joint], [CoverTool("k", "key", -1)])
    with pytest.raises(InputRefused, match="costs -1"):
        choose_kit([joint], [CoverTool("k", "key", 1, price=Decimal(-1))])
    with pytest.raises(InputRefused, match="has no drive"):
        needs_of([CoverJoint("a", "a", (), False)], [key])
    with pytest.raises(InputRefused, match="is not in the kit"):
        lost_without(["k"], "x", [joint], [key])


def test_the_trade_tables_travel_kit_covers_101_of_its_118_joints_by_drive() -> None:
    """Trade page, section 5: 'counted by drive'. Counted here through the needs."""
    travel = set(tables().kits["travel"].tools)
    rows = list(tables().joints.values())
    joints = [CoverJoint(row.id, row.name, row.drive, False) for row in rows if row.drive != ("hand",)]
    tools = [
        CoverTool(name, row.name, row.grams or 0.0, frozenset(row.covers))
        for name, row in tables().tools.items()
    ]
    by_hand = len(rows) - len(joints)
    met = sum(not need.by.isdisjoint(travel) for need in needs_of(joints, tools))
    assert (len(rows), by_hand + met) == (118, 101)


def test_a_lightest_kit_is_never_heavier_than_the_travel_kit() -> None:
    """For the joints the travel kit covers by drive, the computed set weighs no more than its keys and drivers."""
    travel = set(tables().kits["travel"].tools)
    tools = [
        CoverTool(name, row.name, row.grams or 0.0, frozenset(row.covers))
        for name, row in tables().tools.items()
    ]
    packed = [tool for tool in tools if tool.id in travel]
    joints = [
        CoverJoint(row.id, row.name, row.drive, False)
        for row in tables().joints.values()
        if any(set(row.drive) & tool.drives for tool in packed)
    ]
    kit = choose_kit(joints, tools, "grams")
    assert kit.proven
    assert not kit.missing
    assert kit.grams <= sum(tool.grams for tool in packed)
