"""Figures and rules of ISO 4210 as an industry's adoption of it prints them page by page, and of texts that repeat them.

Read in public: the adoption of ISO 4210-2:2015 of 2018, clauses 4.6.1, 4.6.9.2 and 5; of part 1 (2.27), part 3 (4.2.2) and part 7 (4.1);
the same industry's texts for e-bikes (4.3.3.2, clause 6 q and r) and cargo bikes (4.2.2.3); ISO 4210-2:2014, 4.3.1 and 4.3.2, as a
seller of standards shows them; EN 14781, 4.10.2, as a forum quotes it; 16 CFR 1512.10. ISO 898-7:1992, least breaking torques: from
memory. Tolerance: none; where a text allows, we may be stricter.
"""

import pytest

from pinchbolt.engines.build import Build, PartOn, items_for
from pinchbolt.engines.wear import judge_plain
from pinchbolt.reference import tables
from pinchbolt.reference.rows.joints import JointRow
from pinchbolt.values import Interval, Verdict
from pinchbolt.workshop.questions.ask_tyre import TyreRequest, ask_tyre

HELD_PARTS = ("handlebar", "stem", "bar ends", "saddle", "seat post")
# Least torque that breaks a bolt, N·m, by thread and class: ISO 898-7:1992, from memory.
BREAKS_AT = {
    ("M5x0.8", "8.8"): 7.6, ("M5x0.8", "10.9"): 9.3, ("M6x1.0", "8.8"): 13.0, ("M6x1.0", "10.9"): 16.0,
    ("M8x1.25", "8.8"): 33.0, ("M8x1.25", "10.9"): 40.0,
}  # fmt: skip


def verdict(limit: str, shown: str | float) -> Verdict:
    """The verdict of one reading."""
    return judge_plain(tables().limits[limit], shown if isinstance(shown, str) else Interval(shown, shown))[0]


@pytest.mark.parametrize(
    "limit",
    [
        "disc-pad-lining-resin", "disc-pad-lining-sintered", "disc-pad-total", "rim-pad-groove", "rim-wall-thickness",
        "rim-track-hollow", "rotor-thickness-1.8", "rotor-thickness-2.0", "rotor-thickness-2.3",
    ],
)  # fmt: skip
def test_there_is_a_warning_before_the_end_of_pad_rim_and_rotor(limit: str) -> None:
    """4.6.1: there should be a warning before the end of the wear limit (pad, rim and rotor): ours lies before it, in use."""
    row = tables().limits[limit]
    assert row.warn is not None and isinstance(row.limit, float) and row.new is not None
    assert (row.warn - row.new) * (row.limit - row.warn) > 0, "new, warning and limit follow one another"
    assert Verdict.SOUND.rank < verdict(limit, row.warn).rank < verdict(limit, row.limit).rank


def test_a_lever_that_touches_the_grip_keeps_the_bike() -> None:
    """4.6.9.2: throughout the test the brake lever does not touch the handlebar grip."""
    assert verdict("brake-lever-fails", "yes") is Verdict.UNSAFE
    for limit in ("lever-free-travel-disc", "cable-brake-lever-gap"):
        assert verdict(limit, 0.0).rank >= Verdict.BEFORE_IT_LEAVES.rank
        assert isinstance(tables().limits[limit].limit, float) and tables().limits[limit].limit > 0  # type: ignore[operator]


def test_no_tyre_leaves_at_the_pressure_at_which_it_is_only_proved_to_stay_on() -> None:
    """16 CFR 1512.10: at 110 % of what is marked it stays on the rim in the test; in use the marking is the end."""
    assert verdict("tyre-pressure", 1.1).rank >= Verdict.BEFORE_IT_LEAVES.rank
    assert verdict("tyre-pressure", 1.01).rank >= Verdict.BEFORE_IT_LEAVES.rank
    assert verdict("tyre-pressure", 0.9) is Verdict.SOUND


@pytest.mark.parametrize(("tyre", "rim"), [(6.0, 4.5), (4.5, 6.0)])
def test_the_lower_of_two_greatest_pressures_is_the_greatest(tyre: float, rim: float) -> None:
    """Part 1, 2.27: where rim and tyre both say one, the greatest pressure is the lower of the two, whichever it is."""
    asked = TyreRequest(
        "37-622", rim_inner_mm=21.0, hooked=True, total_kg=95.0, tyre_max_bar=tyre, rim_max_bar=rim
    )
    guide = ask_tyre(asked).pressure
    alone = ask_tyre(
        TyreRequest(
            "37-622", rim_inner_mm=21.0, hooked=True, total_kg=95.0, tyre_max_bar=4.5, rim_max_bar=4.5
        )
    ).pressure
    assert guide is not None and alone is not None
    assert guide.ceiling == alone.ceiling == 4.5 and guide.start == alone.start and guide.start.high <= 4.5


def test_a_tyre_has_the_room_that_the_racing_standard_asks() -> None:
    """EN 14781, 4.10.2: not less than 4 mm between tyre or rim and frame, fork or a mudguard and its bolts."""
    row = tables().limits["wheel-clearance"]
    assert isinstance(row.limit, float) and row.limit >= 4.0 and "mudguard" in row.quantity
    assert verdict("wheel-clearance", 3.9).rank >= Verdict.BEFORE_IT_LEAVES.rank


def test_run_out_is_the_whole_swing_of_the_rim() -> None:
    """Part 7, 4.1: the full reading of an indicator over one turn; half of it would let twice as much pass."""
    rows = [row for row in tables().limits.values() if row.id.startswith("runout-")]
    assert len(rows) == 4
    assert [row.id for row in rows if "peak to peak" not in row.quantity] == []


def _strong(row: JointRow) -> list[str]:
    """The classes for which a bolt breaks only at half as much again as the usual torque."""
    return [
        class_
        for (thread, class_), breaks in BREAKS_AT.items()
        if row.thread.startswith(thread) and breaks >= 1.5 * row.typical
    ]


def test_what_holds_bar_and_saddle_fails_only_at_half_as_much_again() -> None:
    """4.3.2: joints of bars, stems, bar ends, saddles and posts fail at 150 % of the recommended torque at least.

    So the usual torque of each such joint is one that a bolt of class 8.8 bears half as much again of, or the row names the class
    that does: a mechanic who finds a weaker bolt there is told.
    """
    asked = 0
    for row in tables().joints.values():
        held = {"handlebar", "stem", "bar ends", "saddle", "seat post"} & set(row.parts)
        threads = {thread for thread, _ in BREAKS_AT}
        if (
            not held
            or row.critical != "A"
            or row.makers_figure_only
            or not row.thread.startswith(tuple(threads))
        ):
            continue
        asked += 1
        takes = row.bolt_class or "8.8"
        assert takes in _strong(row), (row.id, row.typical, takes, _strong(row))
    assert asked >= 12


@pytest.mark.parametrize("part", [*HELD_PARTS, "wheel"])
def test_a_torque_is_known_for_what_the_makers_must_name_one_for(part: str) -> None:
    """Clause 5 (e-bikes: 6 q): tightening of bar, stem, saddle, post and wheels, with torque values for threaded fasteners."""
    rows = [row for row in tables().joints.values() if part in row.parts and row.closed_by == "torque"]
    assert any(row.critical == "A" for row in rows), part
    assert all(row.low <= row.typical <= row.high for row in rows)


def test_a_quick_release_is_closed_by_its_print_and_by_no_wrench() -> None:
    """Clause 6 r, 16 CFR 1512.12: right when its closing leaves a print (in the fork ends, unless of fibre); a nut has no say in it."""
    row = tables().joints["quick-release"]
    assert row.closed_by == "hand" and "print when closed" in row.pattern and row.critical == "A"


@pytest.mark.parametrize("operation", ["brake-cable", "gear-cables", "cables-internal"])
def test_a_new_cable_gets_a_cap_on_its_end(operation: str) -> None:
    """Cargo bikes, 4.2.2.3 (16 CFR 1512.4 alike, from memory): the cable's end has a cap or is else kept from fraying."""
    row = tables().operations[operation]
    assert any("cap" in words for words in (*row.supplies, *row.steps)), operation


@pytest.mark.parametrize("joint", ["pivot-bolt", "shock-bolt", "rotor-6-bolt", "caliper-post-mount", "caliper-flat-mount",
    "caliper-is-mount", "vbrake-arm", "carrier-bolt", "light-bracket", "reaction-arm"])  # fmt: skip
def test_what_may_not_come_undone_is_locked(joint: str) -> None:
    """4.3.1: screws of suspension, brakes, lamps' brackets and mudguards have a lock: compound, washer, or a stiff nut."""
    row = tables().joints[joint]
    locked = row.prep.startswith(("threadlock", "pre-coated"))
    assert locked or any(word in row.pattern for word in ("locking washer", "self-locking")), row.prep


def test_a_mudguard_that_can_stop_the_wheel_keeps_the_bike() -> None:
    """Part 3, 4.2.2: pressed on, a front mudguard neither rolls up with the wheel nor stops it."""
    row = tables().limits["mudguard-clip"]
    assert "can touch the tyre" in row.quantity
    assert verdict("mudguard-clip", "yes").rank >= Verdict.BEFORE_IT_LEAVES.rank


def test_two_brakes_stop_by_themselves_and_let_go_again() -> None:
    """4.6.1: two systems that work by themselves, one at each wheel, without binding."""
    kind = tables().kinds["brake"]
    build = Build(tables(), "city", (PartOn(1, kind, "front"), PartOn(2, kind, "rear")))
    asked = {row.id: row for row in items_for(build)}
    for end in ("front", "rear"):
        words = asked[f"so-brake-{end}"].words
        assert "releases" in words and asked[f"so-brake-{end}"].if_not is Verdict.UNSAFE
