"""One torque question by itself: never past the joint, through any adapter and on any scale; there and back in any unit."""

from datetime import date

import pytest
from hypothesis import assume, given
from hypothesis import settings as fewer
from hypothesis import strategies as st

from pinchbolt.engines.torque import TorqueMarking, parse_torque, torque_in
from pinchbolt.errors import InputRefused, NoSafeAnswer
from pinchbolt.workshop.questions.ask_setting import SettingRequest, SettingView, tool_setting
from pinchbolt.workshop.questions.ask_torque import as_printed

TODAY = date(2026, 11, 25)
UNITS = ("N·m", "lbf·in", "lbf·ft", "kgf·cm")
# Two roundings of a product and one of a quotient, relative.
DUST = 1e-12


@st.composite
def questions(draw: st.DrawFn) -> SettingRequest:
    """Any window and tool of a workshop, on any scale, with any adapter that can be."""
    unit = draw(st.sampled_from(UNITS))
    per_n_m = torque_in(1.0, unit)
    floor = draw(st.integers(20, 400)) / 10
    cap = floor * draw(st.integers(100, 200)) / 100
    least, greatest = draw(st.sampled_from([(2.0, 14.0), (5.0, 25.0), (10.0, 60.0), (4.0, 200.0)]))
    adapter = draw(st.sampled_from([0.0, 0.0, 25.0, 60.0]))
    return SettingRequest(
        round(floor * per_n_m, 1), round(cap * per_n_m, 1), least * per_n_m, greatest * per_n_m,
        draw(st.sampled_from([0.0, 1.0, 4.0, 6.0])), max(0.011, draw(st.sampled_from([0.1, 0.25, 0.5]))) * per_n_m,
        unit=unit, adapter_mm=adapter, arm_mm=250.0, angle_deg=draw(st.sampled_from([0.0, 45.0, 90.0, 180.0])),
    )  # fmt: skip


@fewer(max_examples=300, deadline=None)
@given(questions())
def test_at_the_worst_of_the_tool_the_bolt_gets_no_more_than_the_joint_accepts(asked: SettingRequest) -> None:
    """Worked from the definition: shown = true x (1 - d), the bolt gets true x (L + E cos a) / L."""
    try:
        found: SettingView | None = tool_setting(asked, TODAY)
    except (NoSafeAnswer, InputRefused):
        found = None
    assume(found is not None)
    assert found is not None
    n_m = 1 / torque_in(1.0, asked.unit)
    cosine = {0.0: 1.0, 45.0: 2**-0.5, 90.0: 0.0, 180.0: -1.0}[asked.angle_deg]
    gain = (250.0 + asked.adapter_mm * cosine) / 250.0
    d = asked.deviation_percent / 100
    assert found.set / (1 - d) * gain <= asked.cap * n_m * (1 + DUST)
    assert found.set / (1 + d) * gain >= asked.floor * n_m * (1 - DUST)
    for end in (found.lowest, found.highest):
        assert end / (1 - d) * gain <= asked.cap * n_m * (1 + DUST)
        assert end / (1 + d) * gain >= asked.floor * n_m * (1 - DUST)
    assert found.bolt_greatest == pytest.approx(found.set / (1 - d) * gain, rel=1e-12)


@fewer(max_examples=200, deadline=None)
@given(st.floats(0.1, 400), st.sampled_from(UNITS))
def test_a_torque_there_and_back_in_any_unit_is_the_same(torque: float, unit: str) -> None:
    """Own arithmetic; and what is typed with its unit is read back as the same torque."""
    shown = torque_in(torque, unit)
    assert shown / torque_in(1.0, unit) == pytest.approx(torque, rel=1e-12)
    assert parse_torque(f"{shown:.6f} {unit}") == pytest.approx(torque, abs=2e-6)


def test_what_is_printed_is_read_in_its_own_unit() -> None:
    """Source: NIST SP 811, B.8: 44 lbf·in are 4.971332 N·m; a range keeps both ends."""
    assert as_printed("stem", "4-6") == TorqueMarking("stem", 6.0, 4.0)
    read = as_printed("stem", "max 44 lbf in")
    assert read.greatest == pytest.approx(4.971332, abs=5e-7) and read.least is None


def test_another_unit_is_refused_with_those_that_are_known() -> None:
    """Before anything is worked."""
    with pytest.raises(InputRefused, match="it is N·m, lbf·in, lbf·ft, kgf·cm"):
        tool_setting(SettingRequest(4, 5, 2, 14, 6, unit="stone"), TODAY)
