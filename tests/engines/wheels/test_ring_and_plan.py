"""The wheel as ring and spokes, and its plan: never past the mark, mirrored with the wheel, the same again, and bent is said."""

from dataclasses import replace

import numpy as np
import pytest

from pinchbolt.engines.wheels import (
    QUARTER,
    USUAL_RIM,
    Limits,
    Noise,
    RoundPlan,
    State,
    WheelRound,
    WheelShape,
    alternating,
    influence,
    plan_round,
    trueness,
)
from pinchbolt.errors import InputRefused, NoSafeAnswer
from ratios.wheel_bench import DrawnWheel, by_plan, read, turned, wheel

FRONT = WheelShape(0.301, (0.0225, 0.0225), (0.035, 0.035), (3, 3), alternating(32))
REAR = replace(FRONT, flange_offset=(0.035, 0.0175))


def turns_of(plan: RoundPlan, count: int) -> np.ndarray:
    """Quarters by spoke."""
    found = np.zeros(count, dtype=np.int64)
    for one in plan.turns:
        found[one.spoke - 1] = one.quarters
    return found


def test_even_turns_on_all_spokes_do_not_move_the_rim_sideways() -> None:
    """A wheel with two equal sides: every nipple the same, only smaller and tighter."""
    found = influence(FRONT, USUAL_RIM, np.full(32, 900.0))
    side, up, tension = (one.sum(axis=1) * QUARTER for one in (found.side, found.up, found.tension))
    # A front spoke's own quarter turn moves its place by more than a tenth of a millimetre.
    assert abs(float(side.mean())) < 1e-9 and np.abs(side).max() < 2e-6
    assert (up < 0).all() and (tension > 0).all()


def test_tightening_pulls_the_rim_to_the_spokes_own_side() -> None:
    """A left spoke to the left, inwards, and its own tension up."""
    found = influence(REAR, USUAL_RIM, np.full(32, 800.0))
    assert found.side[8, 8] < 0 < found.side[9, 9]
    assert found.up[8, 8] < 0 and found.tension[8, 8] > 0


def test_side_influence_answers_both_ways() -> None:
    """Maxwell and Betti: what spoke i does to the tension of j, j does to that of i, by their own stiffness."""
    found = influence(FRONT, USUAL_RIM, np.full(32, 900.0))
    assert np.abs(found.tension - found.tension.T).max() < 1e-6 * np.abs(found.tension).max()


def test_tension_makes_a_wheel_softer_sideways_until_it_folds() -> None:
    """The rim's pressure works against its bending; past what it bears no plan is made."""
    soft, hard = (influence(FRONT, USUAL_RIM, np.full(32, pull)).side[0, 0] for pull in (1500.0, 200.0))
    assert abs(soft) > abs(hard)
    with pytest.raises(InputRefused, match="folds"):
        influence(FRONT, USUAL_RIM.times(0.1, 0.1), np.full(32, 3900.0))


@pytest.mark.parametrize("rear", [False, True])
def test_a_mirrored_wheel_gets_the_mirrored_plan(rear: bool) -> None:
    """Left for right, side for side: the same turns on the same spokes."""
    rng = np.random.default_rng(21)
    drawn = wheel(rng, rear=rear)
    seen = read(rng, drawn.state, Noise())
    shape = drawn.shape
    mirrored = replace(
        shape,
        flange_offset=shape.flange_offset[::-1],
        thickness=shape.thickness[::-1],
        right=tuple(not one for one in shape.right),
    )
    there = State(-seen.side, seen.up, seen.tension)
    one = plan_round(shape, [WheelRound(seen)], drawn.limits)
    other = plan_round(mirrored, [WheelRound(there)], drawn.limits)
    assert one.turns and list(turns_of(one, 32)) == list(turns_of(other, 32))


def test_a_plan_never_brings_a_spoke_over_the_marked_tension() -> None:
    """Sixteen random wheels, many spokes over it already: none is foreseen above the mark that was not, none is raised over it."""
    rng = np.random.default_rng(22)
    drawn = [wheel(rng, rear=rear, count=count) for rear in (False, True) for count in (24, 32)]
    tight = 0
    for number in range(16):
        base = drawn[number % 4]
        count = base.shape.count
        pull = np.maximum(
            rng.uniform(0.6, 1.3) * base.state.tension * np.exp(rng.normal(0, 0.2, count)), 30.0
        )
        state = State(rng.normal(0, 0.0008, count), rng.normal(0, 0.0004, count), pull)
        limit = base.limits.greatest or 0.0
        tight += bool((pull > limit).any())
        plan = plan_round(base.shape, [WheelRound(state)], base.limits)
        model = influence(base.shape, USUAL_RIM, pull)
        moved = turned(DrawnWheel(base.shape, state, model, model, base.limits), turns_of(plan, count)).state
        assert (moved.tension <= np.maximum(limit, pull) + 1e-6).all()
        assert max(abs(one.quarters) for one in plan.turns) <= 2
    assert tight > 4


def test_without_a_mark_no_spoke_is_brought_above_the_tightest() -> None:
    """And the plan says that the mark is missing."""
    rng = np.random.default_rng(23)
    drawn = wheel(rng, rear=True)
    limits = replace(drawn.limits, greatest=None)
    plan = plan_round(drawn.shape, [WheelRound(drawn.state)], limits)
    moved = turned(replace(drawn, true=drawn.usual), turns_of(plan, 32)).state
    assert moved.tension.max() <= drawn.state.tension.max() + 1e-6
    assert "No greatest tension was given" in plan.cautions[0]


def test_the_same_readings_give_the_same_plan() -> None:
    """Steps are counted, not seconds."""
    rng = np.random.default_rng(24)
    drawn = wheel(rng, rear=False)
    seen = [WheelRound(read(rng, drawn.state, Noise()))]
    assert plan_round(drawn.shape, seen, drawn.limits) == plan_round(drawn.shape, seen, drawn.limits)


def test_three_rounds_true_most_wheels() -> None:
    """Six drawn wheels of hidden stiffness, tension read twice: five at least end inside (`make score-wheels` has 200)."""
    inside = 0
    for number in range(6):
        rng = np.random.default_rng([25, number])
        inside += by_plan(rng, wheel(rng, rear=number % 2 == 1), Noise(tension=32.0)).inside
    assert inside >= 5


def test_a_true_wheel_is_left_alone() -> None:
    """Nothing to turn."""
    state = State(np.zeros(32), np.zeros(32), np.full(32, 900.0))
    plan = plan_round(FRONT, [WheelRound(state)], Limits(greatest=1200))
    assert plan.done and not plan.turns and "nothing to turn" in plan.words


def test_a_straight_wheel_over_the_rims_mark_is_not_done_and_not_bent() -> None:
    """1,250 N all round where 1,200 are marked: nothing to true, and tension to let down. At the mark itself it is true."""
    state = State(np.zeros(32), np.zeros(32), np.full(32, 1250.0))
    plan = plan_round(FRONT, [WheelRound(state)], Limits(greatest=1200))
    assert not plan.done and not plan.bent and not plan.turns
    assert plan.words.startswith("Straight, but over the mark: let tension down. A spoke has 1250 N")
    assert plan_round(FRONT, [WheelRound(state)], Limits(greatest=1250)).done
    untrue = replace(state, side=0.0006 * np.sin(4 * np.pi * np.arange(32) / 32))
    assert not plan_round(FRONT, [WheelRound(untrue)], Limits(greatest=1200)).bent


def test_a_rim_is_not_called_bent_where_more_turns_might_do_it() -> None:
    """A wave of 12 mm twice round the wheel: two turns a spoke are not enough, and that is what is said."""
    wave = 0.012 * np.sin(4 * np.pi * np.arange(32) / 32)
    state = State(wave, np.zeros(32), np.full(32, 900.0))
    plan = plan_round(FRONT, [WheelRound(state)], Limits(greatest=2000))
    assert not plan.bent and not plan.done and plan.words.startswith("Not inside within two turns a spoke")


def test_a_bent_rim_is_called_bent() -> None:
    """A kink of 4 mm over three spokes of an evenly tensioned wheel: no nipple takes that out."""
    side = np.zeros(32)
    side[[7, 8, 9]] = [0.002, 0.004, 0.002]
    plan = plan_round(
        FRONT, [WheelRound(State(side, np.zeros(32), np.full(32, 900.0)))], Limits(greatest=1100)
    )
    assert plan.bent and "The rim is bent" in plan.words


def test_dish_is_brought_to_the_middle_where_it_was_read() -> None:
    """1.2 mm to the right: the plan brings the rim left."""
    state = State(np.full(32, 0.0012), np.zeros(32), np.full(32, 900.0), dished=True)
    plan = plan_round(FRONT, [WheelRound(state)], Limits(greatest=1300))
    assert plan.now.dish == pytest.approx(0.0012)
    assert plan.at_the_end.dish is not None and abs(plan.at_the_end.dish) < 0.0006
    assert sum(one.quarters for one in plan.turns if not FRONT.right[one.spoke - 1]) > 0


def test_what_a_round_did_teaches_the_wheels_stiffness() -> None:
    """A rim half as stiff sideways as was taken: after two rounds that is believed, and not before."""
    rng = np.random.default_rng(26)
    true = influence(FRONT, USUAL_RIM.times(0.55, 1.0), np.full(32, 950.0))
    drawn = replace(wheel(rng, rear=False), shape=FRONT, true=true)
    noise, done = Noise(), []
    for _ in range(2):
        seen = read(rng, drawn.state, noise)
        plan = plan_round(FRONT, [*done, WheelRound(seen)], drawn.limits, noise=noise)
        quarters = turns_of(plan, 32)
        done.append(WheelRound(seen, quarters))
        drawn = turned(drawn, quarters)
    words = (
        plan_round(FRONT, [*done, WheelRound(read(rng, drawn.state, noise))], drawn.limits, noise=noise)
        .reasons[-1]
        .words
    )
    told = float(words.split("this rim is ")[1].split(" times")[0])
    assert told == pytest.approx(0.55, rel=0.25)


def test_readings_that_do_not_fit_together_are_refused() -> None:
    """Too few, no figure, slack, or rounds without their turns."""
    fine = State(np.zeros(32), np.zeros(32), np.full(32, 900.0))
    with pytest.raises(InputRefused, match="31 figures for 32 spokes"):
        plan_round(FRONT, [WheelRound(replace(fine, side=np.zeros(31)))], Limits())
    with pytest.raises(InputRefused, match="tension at spoke 1"):
        plan_round(FRONT, [WheelRound(replace(fine, tension=np.full(32, np.nan)))], Limits())
    with pytest.raises(NoSafeAnswer, match="too slack"):
        plan_round(FRONT, [WheelRound(replace(fine, tension=np.full(32, 20.0)))], Limits())
    with pytest.raises(InputRefused, match="what was turned after it"):
        plan_round(FRONT, [WheelRound(fine), WheelRound(fine)], Limits())


@pytest.mark.parametrize("row", ["side", "up", "tension"])
def test_of_two_rounds_the_one_with_the_gap_is_named(row: str) -> None:
    """Both were read spoke by spoke; the second lacks a spoke, and that is where to read again."""
    fine = State(np.zeros(32), np.zeros(32), np.full(32, 900.0))
    short = replace(fine, **{row: getattr(fine, row)[:-1]})
    with pytest.raises(InputRefused, match=f"{row} of round 2: 31 figures for 32 spokes"):
        plan_round(FRONT, [WheelRound(fine, np.zeros(32, dtype=np.int64)), WheelRound(short)], Limits())
    with pytest.raises(InputRefused, match=f"^{row}: 31 figures for 32 spokes"):
        plan_round(FRONT, [WheelRound(short)], Limits())


def test_trueness_is_read_as_the_trade_reads_it() -> None:
    """Peak to peak, and the departure from the mean of the spoke's own side."""
    state = State(
        np.array([0.001, -0.001] * 8),
        np.linspace(0, 0.0005, 16),
        np.array([400.0, 900.0] * 7 + [300.0, 990.0]),
    )
    found = trueness(state, alternating(16))
    assert (found.side, found.up) == pytest.approx((0.002, 0.0005))
    assert found.spread == pytest.approx(1 - 300 / 387.5) and found.dish is None
