"""Are the tools still good?"""

from datetime import date

import pytest

from pinchbolt.engines.torque import (
    CalibrationPoint,
    KeyLimits,
    SocketLimits,
    TorqueToolRecord,
    bench_check,
    key_state,
    six_lobe_limits,
    socket_state,
    tool_state,
    weak_keys,
)
from pinchbolt.errors import InputRefused
from pinchbolt.reference import tables
from pinchbolt.values import Interval, Verdict

TODAY = date(2025, 6, 2)
HEX_5 = KeyLimits("hex-5", 4.95, 5.00, 4.92, 30.0, "ISO 2936")


def exactly(value: float) -> Interval:
    """A size without doubt."""
    return Interval(value, value)


@pytest.mark.parametrize(
    ("measured", "verdict"),
    [
        (exactly(4.98), Verdict.SOUND),
        (Interval(4.93, 4.99), Verdict.WATCH),  # caliper's 0.03: cannot tell
        (exactly(4.93), Verdict.WATCH),
        (Interval(4.90, 4.96), Verdict.NEXT_VISIT),  # may be worn
        (exactly(4.92), Verdict.BEFORE_IT_LEAVES),
    ],
)
def test_a_key_is_judged_with_the_doubt_of_the_caliper(measured: Interval, verdict: Verdict) -> None:
    """Good, cannot tell, under size, may be worn, worn; limits: ISO 2936 and the trade tool table."""
    assert key_state(HEX_5, measured).verdict is verdict


def test_another_size_is_asked_about() -> None:
    """A 4 mm key measured as the 5 mm one."""
    with pytest.raises(InputRefused, match="Is this another size"):
        key_state(HEX_5, exactly(3.98))


def test_a_six_lobe_key_is_judged_against_the_screw_it_turns() -> None:
    """T25, A = 4.50 (ISO 10664): 4.45 good, 4.35 under, 4.30 off the board (shares from memory)."""
    limits = six_lobe_limits("tx-25", 4.5, "ISO 10664")
    assert key_state(limits, exactly(4.45)).verdict is Verdict.SOUND
    assert key_state(limits, exactly(4.35)).verdict is Verdict.WATCH
    assert key_state(limits, exactly(4.30)).verdict is Verdict.BEFORE_IT_LEAVES
    assert "from memory" in key_state(limits, exactly(4.45)).reasons[0].source
    with pytest.raises(InputRefused, match="above 0"):
        six_lobe_limits("tx-25", 0.0, "")


def test_a_socket_that_may_be_rounded_is_looked_at_again() -> None:
    """5.12 to 5.18 straddles ISO 4762's 5.14."""
    limits = SocketLimits("hex-5", 5.02, 5.14, "ISO 4762")
    assert socket_state(limits, Interval(5.12, 5.18)).verdict is Verdict.NEXT_VISIT


def test_the_key_is_the_weak_part_in_five_joints_of_the_trade_table() -> None:
    """Trade page 3.3 names them: grip and battery rail (3 mm), hanger screws (2.5 mm), pivots (5 mm); and a belt's split
    in the frame at 12 N·m (4 mm: 0.7 x 16 = 11.2). A bleed screw takes 0.8 now.
    """
    keys = {
        name: KeyLimits(name, row.size_min, row.size_max, row.worn_at or 0.0, row.proof, row.source)
        for name, row in tables().tools.items()
        if row.size_min is not None and row.size_max is not None
    }
    weak = {row.id for row in tables().joints.values() if weak_keys(row.high, row.drive[:1], keys)}
    assert weak == {"lockon-grip", "battery-rail", "hanger-bolts", "pivot-bolt", "belt-split-bolt"}


def test_the_sentence_names_key_and_limit() -> None:
    """5 N·m on a 3 mm key: 0.7 x 6.6 = 4.62."""
    three = KeyLimits("hex-3", 2.96, 3.00, 2.94, 6.6, "ISO 2936")
    assert weak_keys(5.0, ["hex-3", "tx-25"], {"hex-3": three}) == (
        "The 3 mm hex key is the weak part: it may have to bear 5.0 N·m, and should bear at most 4.6. Use a new key of "
        "full size, and stop if it twists.",
    )
    assert weak_keys(4.6, ["hex-3"], {"hex-3": three}) == ()
    assert "ball end" in weak_keys(4.6, ["hex-3"], {"hex-3": three}, ball_end=True)[0]
    with pytest.raises(InputRefused, match="above 0"):
        weak_keys(0.0, ["hex-3"], {"hex-3": three})


def wrench(
    calibrated: date | None = date(2024, 9, 1),
    cycles: int | None = 100,
    overloaded: bool = False,
    then: tuple[CalibrationPoint, ...] = (),
    now: tuple[CalibrationPoint, ...] = (),
) -> TorqueToolRecord:
    """A 6 % click wrench."""
    return TorqueToolRecord("small click wrench", 0.06, calibrated, cycles, overloaded, then, now)


def test_a_tool_in_date_is_trusted_and_says_until_when() -> None:
    """Twelve months from the certificate."""
    state = tool_state(wrench(), TODAY)
    assert (state.verdict, state.due, state.deviation) == (Verdict.SOUND, date(2025, 9, 1), 0.06)


@pytest.mark.parametrize(
    ("tool", "words"),
    [
        (wrench(date(2024, 6, 1)), "the date was 2025-06-01"),
        (wrench(cycles=5000), "5000 cycles are done"),
        (wrench(overloaded=True), "it was overloaded or fell"),
        (wrench(calibrated=None), "no calibration is on record"),
    ],
)
def test_a_tool_that_is_due_counts_as_15_percent_out(tool: TorqueToolRecord, words: str) -> None:
    """12 months or 5000 cycles, whichever first, and after an overload (ISO 6789)."""
    state = tool_state(tool, TODAY)
    assert words in state.words
    assert (state.verdict, state.deviation) == (Verdict.NEXT_VISIT, 0.15)


def test_4999_cycles_are_not_yet_5000() -> None:
    """The edge of the standard's default."""
    assert tool_state(wrench(cycles=4999), TODAY).verdict is Verdict.SOUND


def test_on_the_day_itself_the_tool_is_due_and_still_good() -> None:
    """As the setting engine reckons: the day counts."""
    state = tool_state(wrench(date(2024, 6, 2)), TODAY)
    assert (state.verdict, state.deviation) == (Verdict.NEXT_VISIT, 0.06)


def test_a_leap_day_certificate_is_due_on_28_february() -> None:
    """There is no 29 February the year after."""
    assert tool_state(wrench(date(2024, 2, 29)), date(2024, 3, 1)).due == date(2025, 2, 28)


def test_a_tool_out_of_its_class_comes_off_the_board() -> None:
    """Shown 5.0 at a true 4.7: 6.4 % out of 6 (deviation relative to the true torque)."""
    state = tool_state(wrench(now=(CalibrationPoint(5.0, 4.7),)), TODAY)
    assert state.verdict is Verdict.BEFORE_IT_LEAVES
    assert state.deviation == pytest.approx(0.3 / 4.7, rel=1e-12)
    assert "6.4 % out: 6.0 % is permitted" in state.words


def test_drift_since_the_certificate_is_told() -> None:
    """5.0 shown was 5.0 true, now 4.8 true: moved by 4.2 %, over half of 6."""
    state = tool_state(wrench(then=(CalibrationPoint(5.0, 5.0),), now=(CalibrationPoint(5.0, 4.8),)), TODAY)
    assert state.drift == pytest.approx(0.2 / 4.8, rel=1e-12)
    assert state.verdict is Verdict.WATCH
    assert tool_state(wrench(now=(CalibrationPoint(5.0, 4.8),)), TODAY).drift is None


def test_a_record_that_cannot_be_is_refused() -> None:
    """A certificate from tomorrow, a deviation of 4, a point of nought."""
    with pytest.raises(InputRefused, match="after today"):
        tool_state(wrench(date(2025, 6, 3)), TODAY)
    with pytest.raises(InputRefused, match=r"write 4 % as 0\.04"):
        tool_state(TorqueToolRecord("w", 4.0, TODAY), TODAY)
    with pytest.raises(InputRefused, match="not above 0"):
        tool_state(wrench(now=(CalibrationPoint(5.0, 0.0),)), TODAY)


def test_a_known_weight_on_a_measured_arm_checks_a_wrench() -> None:
    """2.5 kg at 200 mm are 4.9 N·m and 5 kg at 500 mm 24.5 (trade tool table); 8 % is the edge for a 6 % tool."""
    assert bench_check(2.5, 200.0, 4.9, 0.06)[0] == pytest.approx(4.9, abs=0.05)
    torque, believed = bench_check(5.0, 500.0, 24.5, 0.04)
    assert torque == pytest.approx(24.5, abs=0.05)
    assert believed
    assert bench_check(2.5, 200.0, 5.29, 0.06)[1]
    assert not bench_check(2.5, 200.0, 5.31, 0.06)[1]
    with pytest.raises(InputRefused, match="Measure again"):
        bench_check(0.0, 200.0, 5.0, 0.06)
