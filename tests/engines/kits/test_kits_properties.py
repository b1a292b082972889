"""Properties of every kit: it covers what can be covered, and no set of the tools is smaller."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.engines.kits import Aim, CoverJoint, CoverTool, choose_kit, lost_without, needs_of

DRIVES = [f"d{n}" for n in range(5)]
JOINTS = st.lists(
    st.tuples(st.lists(st.sampled_from(DRIVES), min_size=1, max_size=2, unique=True), st.booleans()),
    min_size=1,
    max_size=8,
)
TOOLS = st.lists(
    st.tuples(
        st.frozensets(st.sampled_from(DRIVES), max_size=3),
        st.frozensets(st.integers(0, 7), max_size=4),
        st.sampled_from([5.0, 10.0, 10.0, 22.5, 80.0]),
    ),
    min_size=1,
    max_size=8,
)
DRAWN = {"joints": JOINTS, "tools": TOOLS}


def made(
    joints: list[tuple[list[str], bool]], tools: list[tuple[frozenset[str], frozenset[int], float]]
) -> tuple[list[CoverJoint], list[CoverTool]]:
    """The engine's own kinds."""
    wanted = [
        CoverJoint(f"j{n}", f"joint {n}", tuple(drives), torque) for n, (drives, torque) in enumerate(joints)
    ]
    able = [
        CoverTool(f"t{n}", f"tool {n}", grams, drives, frozenset(f"j{at}" for at in keeps))
        for n, (drives, keeps, grams) in enumerate(tools)
    ]
    return wanted, able


@settings(max_examples=60, deadline=None)
@given(**DRAWN, aim=st.sampled_from(["count", "grams"]))
def test_a_kit_covers_every_joint_that_any_tool_can(joints, tools, aim: Aim) -> None:
    """Each need is met by a tool of the kit, or said to be met by none."""
    wanted, able = made(joints, tools)
    kit = choose_kit(wanted, able, aim)
    for joint in wanted:
        turn = {tool.id for tool in able if tool.drives & set(joint.drives)}
        keep = {tool.id for tool in able if joint.id in tool.keeps} if joint.needs_torque else None
        missing = [need.words.split()[0] for need in kit.missing if need.joint == joint.id]
        assert bool(turn & set(kit.tools)) != ("turn" in missing)
        assert keep is None or bool(keep & set(kit.tools)) != ("keep" in missing)


@settings(max_examples=60, deadline=None)
@given(**DRAWN)
def test_no_smaller_set_of_the_tools_covers_as_much(joints, tools) -> None:
    """Every set with one tool less leaves a need open that the kit meets: tried one by one."""
    wanted, able = made(joints, tools)
    kit = choose_kit(wanted, able)
    needs = [need.by for need in needs_of(wanted, able) if need.by]
    assert kit.proven and kit.at_least <= kit.count
    smaller = combinations([tool.id for tool in able], kit.count - 1) if kit.count else ()
    for chosen in smaller:
        assert any(by.isdisjoint(chosen) for by in needs)


@settings(max_examples=40, deadline=None)
@given(**DRAWN)
def test_what_dropping_a_tool_loses_is_what_no_other_of_the_kit_does(joints, tools) -> None:
    """The needs lost are met by that tool and by none that stays; in a smallest kit every tool loses something."""
    wanted, able = made(joints, tools)
    kit = choose_kit(wanted, able)
    for tool in kit.tools:
        lost = lost_without(kit.tools, tool, wanted, able)
        assert lost
        assert all(need.by & set(kit.tools) == {tool} for need in lost)
