"""What a wheel never does to its rider or its rim: a mark that is passed unsaid, a doubt that is forgotten, an unsafe bike that leaves."""

from dataclasses import replace

import numpy as np
import pytest

from pinchbolt.engines.wheels import State
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import MeterCheck
from pinchbolt.workshop.bikes.change_build import AddRequest, add_part
from pinchbolt.workshop.bikes.move_part import MoveRequest, move_part
from pinchbolt.workshop.bikes.wheel_hit import LOOKED_AT, NOT_LOOKED_AT
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.questions.ask_wheel_plan import WheelLimitsAsked
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.tools.tension_meter import MeterTriedRequest, try_meter
from pinchbolt.workshop.wheels.break_spoke import BreakSpokeRequest, break_spoke
from pinchbolt.workshop.wheels.describe_wheel import DescribeWheelRequest, describe_wheel
from pinchbolt.workshop.wheels.hear_spokes import HeardSpoke, HearSpokesRequest, note_pitches
from pinchbolt.workshop.wheels.turn_nipple import TurnNippleRequest, turn_nipple
from ratios.wheel_bench import wheel
from tests import story
from tests.story import NOW
from tests.workshop.wheels.wheel_story import KIND, MARKED, OnStand, facts, in_stand, meter

pytestmark = pytest.mark.django_db


def tight(stand: OnStand, number: int = 20) -> OnStand:
    """A wheel that somebody laced far too tight: many of its spokes are over the mark, side by side."""
    rng = np.random.default_rng([5, number])
    drawn = wheel(np.random.default_rng(3), rear=True)
    uneven = np.exp(rng.normal(0, 0.2, 32))
    pull = np.maximum(1.35 * drawn.state.tension * uneven, 20.0)
    stand.drawn = replace(drawn, state=State(rng.normal(0, 0.0008, 32), rng.normal(0, 0.0004, 32), pull))
    return stand


def described(stand: OnStand, **other: object) -> None:
    """Measured anew, with something else said of it."""
    asked = DescribeWheelRequest(
        stand.told.job, stand.part, facts(), WheelLimitsAsked(greatest_n=MARKED), KIND
    )
    describe_wheel(replace(asked, **other), by=stand.told.first, key=stand.told.key(), now=NOW)  # type: ignore[arg-type]


def broke(stand: OnStand, spoke: int) -> None:
    """A spoke broke at the elbow."""
    asked = BreakSpokeRequest(stand.told.job, stand.part, "elbow", spoke)
    break_spoke(asked, by=stand.told.first, key=stand.told.key(), now=NOW)


def plucked(stand: OnStand) -> None:
    """Every spoke is plucked."""
    heard = tuple(HeardSpoke(spoke, pitch, 0.05) for spoke, pitch in enumerate(stand.sounds(), 1))
    asked = HearSpokesRequest(stand.told.job, stand.part, heard)
    note_pitches(asked, by=stand.told.first, key=stand.told.key(), now=NOW)


def test_a_turn_that_passes_the_mark_on_the_way_says_so_and_a_carbon_rim_gets_none() -> None:
    """A wheel that comes in far over the mark: tight spokes side by side can't all be loosened at once."""
    stand = tight(in_stand())
    stand.read()
    seen = stand.sheet()
    over = [one for one in seen.turns if one.over_n >= 0.5]
    assert over and all(one.quarters < 0 for one in over), (
        "no tightening passes it, and this wheel has such a way"
    )
    said = f"by {max(one.over_n for one in over):.0f} N"
    assert any("On the way" in one and said in one for one in seen.cautions)
    described(stand, carbon=True)
    assert stand.sheet().plan is None and "no order of turns" in stand.sheet().held_back


def test_a_nipple_turned_otherwise_stops_the_turns_that_would_now_pass_the_mark() -> None:
    """Two turns too many at the tightest spoke: what the plan foretold is no longer so, and the sheet says to read again."""
    stand = in_stand()
    stand.read()
    tightest = int(np.argmax(stand.drawn.state.tension)) + 1
    foretold = {one.spoke: one.greatest_n for one in stand.sheet().turns}
    stand.turn(tightest, 8)
    seen = stand.sheet()
    assert seen.next is None and not seen.is_round_done
    assert "Read every spoke again first" in seen.read_first and "over the 1350 N marked" in seen.read_first
    assert all((one.greatest_n or 0) > foretold[one.spoke] for one in seen.turns if not one.turned)  # type: ignore[operator]
    stand.turn(tightest, 0)
    assert stand.sheet().next is not None and stand.sheet().read_first == ""


def test_a_harmless_other_order_goes_on_with_its_figures_reckoned_anew() -> None:
    """The second nipple before the first: the first is still asked for, by what is so now."""
    stand = in_stand()
    stand.read()
    first, second = stand.sheet().turns[:2]
    stand.turn(second.spoke, second.quarters)
    seen = stand.sheet()
    assert seen.next is not None and seen.next.spoke == first.spoke and seen.read_first == ""


def test_a_broken_spoke_is_a_finding_and_the_third_keeps_the_bike_here() -> None:
    """As when a hand finds it on the walk-round: one goes on the estimate, three are unsafe to ride."""
    stand = in_stand()
    told: list[str] = []
    for spoke in (5, 9, 13):
        broke(stand, spoke)
        told.append(
            next(one.verdict for one in findings_of(stand.told.record) if one.limit == "spoke-broken")
        )
        stops = [
            one for one in sign_off_list(stand.told.record, NOW).stops if one.startswith("Unsafe to ride")
        ]
        assert bool(stops) is (spoke == 13), stops
    assert told == ["before it leaves", "before it leaves", "unsafe to ride"]


def test_a_wheel_that_was_hit_stays_until_somebody_looked_and_no_omission_forgets_it() -> None:
    """Measured anew without a word on the hit: the doubt stands."""
    stand = in_stand()

    def held() -> bool:
        return any("it was hit" in one for one in sign_off_list(stand.told.record, NOW).stops)

    assert not held()
    described(stand, hit=NOT_LOOKED_AT)
    assert held()
    described(stand)
    assert held()
    described(stand, hit=LOOKED_AT)
    assert not held()


def test_a_meter_that_was_found_out_later_takes_its_plan_along() -> None:
    """Read, then 15 % out on 80 kg: no turn by that reading. Off the board it is read from for no kind of spoke; a slip is no check."""
    stand = in_stand()
    tool = meter(stand.told)
    marks = tuple(round((float(one) - 200) / 30, 2) for one in stand.drawn.state.tension)
    stand.read(how="meter", tool=tool, shown=marks, tension_n=())
    assert stand.sheet().plan is not None
    assert any("never tried on a known weight" in one for one in stand.sheet().doubts)
    tried, mark = MeterTriedRequest(tool, KIND, 80.0, 24.0), {"by": stand.told.first, "now": NOW}
    with pytest.raises(InputRefused, match="Nothing is written"):
        try_meter(replace(tried, mass_kg=8.0), key=stand.told.key(), **mark)  # type: ignore[arg-type]
    assert not MeterCheck.objects.exists()
    try_meter(tried, key=stand.told.key(), **mark)  # type: ignore[arg-type]
    seen = stand.sheet()
    assert seen.plan is None and "found out since" in seen.held_back and seen.next is None
    stand.read()
    assert "found out since" in stand.sheet().held_back, (
        "readings hang together: the meter's is still among them"
    )


def test_a_wheel_far_past_every_limit_is_found_all_the_same() -> None:
    """22 mm side and 12 mm up are past what such a row can show: so much at least, and no sound wheel."""
    stand = in_stand()
    good = stand.figures()
    stand.read(side_mm=(-11.0, 11.0, *good.side_mm[2:]), up_mm=(-6.0, 6.0, *good.up_mm[2:]), dish_mm=9.0)
    told = {one.limit: (one.verdict, one.shown) for one in findings_of(stand.told.record)}
    for limit in ("runout-lateral-disc", "runout-radial-disc", "dish"):
        assert told[limit][0] == "next visit", told[limit]


def test_plucks_from_before_a_turn_or_a_broken_spoke_are_not_read() -> None:
    """The wheel sounds otherwise since."""
    stand = in_stand()
    stand.read()
    plucked(stand)
    assert stand.sheet().heard == 32
    stand.turn(5, 1)
    assert stand.sheet().heard == 0
    with pytest.raises(NotPossibleNow, match="No spoke was plucked"):
        stand.read(how="ear", tension_n=(), reference_spoke=2, reference_n=800.0)
    plucked(stand)
    broke(stand, 7)
    assert stand.sheet().heard == 0


def test_the_same_turn_by_another_hand_is_asked_about() -> None:
    """Both tap spoke 5: was it turned once or twice? Not silently once."""
    stand = in_stand()
    stand.read()
    asked = TurnNippleRequest(stand.told.job, stand.part, 5, 1)
    turn_nipple(asked, by=stand.told.first, key=stand.told.key(), now=NOW)
    with pytest.raises(NotPossibleNow, match="stands already"):
        turn_nipple(asked, by=stand.told.second, key=stand.told.key(), now=NOW)
    turn_nipple(replace(asked, quarters=2), by=stand.told.second, key=stand.told.key(), now=NOW)
    assert stand.sheet().spokes[4].turned == 2


def test_a_wheel_that_is_read_on_another_bike_takes_its_turns_there() -> None:
    """Two rounds, a move between them: the old job's page asks for no turn any more."""
    stand = in_stand()
    stand.read()
    other = story.checked_in()
    asked = MoveRequest("rear wheel", stand.told.tag, other.tag, exchange=True)
    move_part(asked, by=stand.told.first, key=stand.told.key(), now=NOW)
    assert stand.sheet().plan is not None, "nothing was read since"
    OnStand(other, stand.part, stand.drawn, stand.rng).read()
    seen = stand.sheet()
    assert seen.plan is None and f"read since on {other.tag}" in seen.held_back
    with pytest.raises(NotPossibleNow, match="read since on"):
        stand.turn(5, 1)


def test_turns_that_nobody_wrote_down_make_the_older_reading_old() -> None:
    """All nipples let down by a quarter without a tap: the wheel is believed where it is, not half-way."""
    stand = in_stand()
    stand.read()
    for spoke in range(1, 33):
        stand.does(spoke, -1)
    stand.read()
    seen = stand.sheet()
    assert seen.plan is not None and seen.last is not None and seen.last.mean_right_n is not None
    assert abs(seen.plan.now.mean_right_n - seen.last.mean_right_n) < 1
    stand.read()
    seen = stand.sheet()
    assert seen.plan is not None and seen.last is not None
    assert seen.plan.now.mean_right_n != seen.last.mean_right_n, "the third hangs together with the second"


def test_a_rim_that_the_build_sheet_calls_carbon_is_carbon() -> None:
    """Nobody ticked it: without its maker's figure there is no plan."""
    stand = in_stand()
    described(stand, limits=WheelLimitsAsked())
    stand.read()
    assert stand.sheet().plan is not None
    seen = AddRequest(stand.told.tag, "rim", "rear", {"material": "carbon"})
    add_part(seen, by=stand.told.first, key=stand.told.key(), now=NOW)
    assert stand.sheet().plan is None and "Carbon rim without" in stand.sheet().held_back
