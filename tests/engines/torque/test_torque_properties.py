"""Properties at the worst corner: whatever the joint, markings and tool, no part gets more than it allows."""

from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.torque import (
    ConflictInJoint,
    Governs,
    JointSpec,
    JointWindow,
    NoSafeSetting,
    ToolSpec,
    TorqueMarking,
    TorqueRange,
    best_setting,
    delivered,
    deviation_on,
    extended_setting,
    finest_deviation,
    guard_upper,
    judge_done,
    settings,
    window,
)
from pinchbolt.errors import Unknown

TODAY = date(2025, 6, 2)
PARTS = ("stem", "handlebar", "steerer")

torques = st.integers(1, 600).map(lambda tenths: tenths / 10)
odd_torques = st.floats(0.05, 80.0)
some_torque = st.one_of(torques, odd_torques)


@st.composite
def tables(draw: st.DrawFn) -> TorqueRange:
    """A table row in order."""
    least, typical, greatest = sorted(draw(st.tuples(some_torque, some_torque, some_torque)))
    return TorqueRange(least, greatest, typical, "drawn")


@st.composite
def markings(draw: st.DrawFn) -> TorqueMarking:
    """A marking of a clamped part or of the bolt; alone or a range."""
    low, high = sorted(draw(st.tuples(some_torque, some_torque)))
    return TorqueMarking(draw(st.sampled_from([*PARTS, "bolt"])), high, draw(st.sampled_from([None, low])))


@st.composite
def joints(draw: st.DrawFn) -> JointSpec:
    """Any joint; often one without a shop row."""
    return JointSpec(
        "j",
        "Joint",
        draw(st.sampled_from([PARTS[:1], PARTS[:2], PARTS])),
        draw(tables()),
        draw(st.one_of(st.none(), tables())),
        tuple(draw(st.lists(markings(), max_size=4))),
        draw(st.booleans()),
    )


@st.composite
def windows(draw: st.DrawFn) -> JointWindow:
    """A window a tool might serve: up to half as wide again as its floor, with the aim anywhere inside."""
    floor = draw(st.one_of(st.integers(5, 500).map(lambda tenths: tenths / 10), st.floats(0.5, 50.0)))
    cap = floor * draw(st.floats(1.0, 1.6))
    aim = draw(st.floats(floor, cap))
    by = Governs(floor, "trade table", "the trade table")
    return JointWindow("j", floor, cap, aim, by, by, (floor, cap), ())


shop_tools = st.builds(
    ToolSpec,
    st.sampled_from("abcdef"),
    st.just("wrench"),
    st.sampled_from([0.5, 2.0, 4.3]),
    st.sampled_from([14.0, 25.0, 60.0]),
    st.sampled_from([0.01, 0.04, 0.06, 0.15]),
    st.sampled_from([0.05, 0.1, 0.25, 0.5, 1.0]),
    st.one_of(st.just(()), st.lists(some_torque, min_size=1, max_size=4).map(tuple)),
    st.sampled_from([None, TODAY - timedelta(1), TODAY + timedelta(99)]),
)


@st.composite
def tools(draw: st.DrawFn) -> ToolSpec:
    """Any tool, preset or adjustable, in date, due or late."""
    low, high = sorted(draw(st.tuples(some_torque, some_torque)))
    return ToolSpec(
        draw(st.sampled_from("abcdef")),
        "wrench",
        low,
        high,
        draw(st.sampled_from([0.0, 0.01, 0.04, 0.06, 0.15, 0.3])),
        draw(st.sampled_from([0.05, 0.1, 0.25, 0.5, 1.0])),
        tuple(draw(st.lists(some_torque, max_size=3))),
        draw(st.sampled_from([None, TODAY - timedelta(1), TODAY, TODAY + timedelta(99)])),
    )


def accepted(joint: JointSpec) -> JointWindow | None:
    """The window, or None where the engine refused, which is always safe."""
    try:
        return window(joint)
    except (ConflictInJoint, Unknown):
        return None


def lowest_greatest(joint: JointSpec) -> float:
    """Second way: the least of what each part bears, an unmarked part bearing what the table says."""
    table = joint.shop or joint.trade
    borne = [marking.greatest for marking in joint.markings]
    for part in joint.parts:
        own = [marking.greatest for marking in joint.markings if marking.part == part]
        if own:
            borne.append(min(own))
        elif not joint.table_is_no_default:
            borne.append(table.greatest)
    return min(borne)


def highest_least(joint: JointSpec, cap: float) -> float:
    """Second way: the greatest of the marked leasts; without one, the table's, or near under a lone mark."""
    leasts = [marking.least for marking in joint.markings if marking.least is not None]
    if leasts:
        return max(leasts)
    return 0.85 * cap if joint.table_is_no_default else (joint.shop or joint.trade).least


def truth_at_worst(shown: float, tool: ToolSpec, *, high: bool) -> Fraction:
    """Second way: the true torque t with (shown - t) / t = -d or +d, in exact fractions."""
    late = tool.due is not None and tool.due < TODAY
    deviation = Fraction(repr(max(tool.deviation, 0.15) if late else tool.deviation))
    return Fraction(repr(shown)) / (1 - deviation if high else 1 + deviation)


@given(joints())
def test_no_marking_and_no_table_of_an_unmarked_part_is_ever_passed(joint: JointSpec) -> None:
    """The cap is what the weakest part bears, no more and no less."""
    answer = accepted(joint)
    if answer is not None:
        assert answer.cap == lowest_greatest(joint)
        assert answer.floor == highest_least(joint, answer.cap)
        assert answer.floor <= answer.aim <= answer.cap


@given(joints(), st.lists(tools(), max_size=4, unique_by=lambda tool: tool.id))
def test_at_the_worst_of_the_tool_no_part_gets_more_than_it_bears(
    joint: JointSpec, board: list[ToolSpec]
) -> None:
    """At every safe setting, lowest, chosen and highest, the greatest torque is under the lowest greatest value."""
    answer = accepted(joint)
    if answer is None:
        return
    try:
        chosen = best_setting(answer, board, TODAY)
    except NoSafeSetting:
        return
    tool = next(tool for tool in board if tool.id == chosen.tool)
    assert chosen.lowest <= chosen.set <= chosen.highest
    for shown in (chosen.lowest, chosen.set, chosen.highest):
        assert truth_at_worst(shown, tool, high=True) <= Fraction(repr(lowest_greatest(joint)))
        assert truth_at_worst(shown, tool, high=False) >= Fraction(repr(answer.floor))
    assert judge_done(answer, tool, chosen.set, TODAY).inside


@given(windows(), shop_tools)
def test_the_next_setting_outward_is_not_safe(asked: JointWindow, tool: ToolSpec) -> None:
    """Rounding inward gives nothing away: one step further out, the joint or the tool is passed."""
    try:
        chosen = best_setting(asked, [tool], TODAY)
    except NoSafeSetting:
        return
    assert truth_at_worst(chosen.highest, tool, high=True) <= Fraction(repr(asked.cap))
    assert truth_at_worst(chosen.lowest, tool, high=False) >= Fraction(repr(asked.floor))
    if tool.steps:
        return
    up, down = chosen.highest + tool.step, chosen.lowest - tool.step
    assert up > tool.greatest - 1e-9 or float(truth_at_worst(up, tool, high=True)) > asked.cap - 1e-9
    lowest_tested = max(tool.least, tool.greatest / 5)
    assert down < lowest_tested + 1e-9 or float(truth_at_worst(down, tool, high=False)) < asked.floor + 1e-9


@given(windows(), st.lists(shop_tools, max_size=3, unique_by=lambda tool: tool.id))
def test_guarding_the_upper_limit_never_passes_it_and_never_hides_the_lower(
    asked: JointWindow, board: list[ToolSpec]
) -> None:
    """The cap holds; what may be short is exactly what is said, and a warning goes with it."""
    try:
        offered = guard_upper(asked, board, TODAY)
    except NoSafeSetting:
        return
    tool = next(tool for tool in board if tool.id == offered.tool)
    assert truth_at_worst(offered.set, tool, high=True) <= Fraction(repr(asked.cap))
    short = Fraction(repr(asked.floor)) - truth_at_worst(offered.set, tool, high=False)
    assert offered.may_fall_short_by == float(max(short, Fraction(0)))
    assert (offered.may_fall_short_by > 0) == any(
        "lower limit is not sure" in words for words in offered.warnings
    )


@given(windows(), shop_tools)
def test_where_one_tool_fits_the_finest_deviation_is_not_finer_than_it(
    asked: JointWindow, tool: ToolSpec
) -> None:
    """A tool that is sure to stay inside is never told to be too coarse."""
    try:
        settings(asked.floor, asked.cap, tool, TODAY)
    except NoSafeSetting as refused:
        assert refused.finest == finest_deviation(asked.floor, asked.cap)
    else:
        low, high = Fraction(repr(asked.floor)), Fraction(repr(asked.cap))
        assert Fraction(repr(deviation_on(tool, TODAY))) <= (high - low) / (high + low)


@given(odd_torques, st.floats(100, 600), st.floats(0, 90), st.floats(0, 180))
def test_an_adapter_there_and_back_is_nothing(
    torque: float, arm: float, extension: float, angle: float
) -> None:
    """What the extended setting delivers is the torque that was wanted."""
    setting = extended_setting(torque, arm, extension, angle)
    assert abs(delivered(setting, arm, extension, angle) - torque) <= 1e-12 * torque
