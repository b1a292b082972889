"""A wheel on record: read, turned by taps, read again, true; its past across bikes; what holds a plan back."""

from dataclasses import replace
from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NotAllowed, NotFound, NotPossibleNow, Unknown
from pinchbolt.records.models import Event, Part, Person, WheelReading
from pinchbolt.workshop.acts.kinds_of_act import ACTS, Beside, in_words
from pinchbolt.workshop.bikes.move_part import MoveRequest, move_part
from pinchbolt.workshop.came_up.undo_act import UndoRequest, acts_today, undo_act
from pinchbolt.workshop.questions.ask_wheel_plan import WheelLimitsAsked
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.tools.tension_meter import MeterTriedRequest, meters, try_meter
from pinchbolt.workshop.wheels.break_spoke import BreakSpokeRequest, break_spoke
from pinchbolt.workshop.wheels.describe_wheel import HIT_WORDS, DescribeWheelRequest, describe_wheel
from pinchbolt.workshop.wheels.hear_spokes import HeardSpoke, HearSpokesRequest, note_pitches
from pinchbolt.workshop.wheels.read_wheel import ReadWheelRequest, read_wheel
from pinchbolt.workshop.wheels.turn_nipple import TurnNippleRequest, turn_nipple
from pinchbolt.workshop.wheels.wheel_sheet import job_wheels, wheel_sheet
from tests import story
from tests.story import NOW
from tests.workshop.wheels.wheel_story import KIND, MARKED, OnStand, brought, facts, in_stand, meter

pytestmark = pytest.mark.django_db


def turn_all(stand: OnStand) -> int:
    """Every nipple of the round, one tap each; how many."""
    taps = 0
    while (one := stand.sheet().next) is not None:
        assert abs(one.quarters) <= 2
        stand.turn(one.spoke, one.quarters)
        taps += 1
    return taps


def test_a_wheel_nobody_measured_asks_for_its_measures_first() -> None:
    """First reading ever: no plan, and the sentence says what to do."""
    told = brought()
    wheels = job_wheels(told.record)
    assert [one.name for one in wheels] == ["Front wheel", "Rear wheel"]
    seen = wheel_sheet(told.job, wheels[1].part)
    assert seen.plan is None and "Measure the wheel first" in seen.held_back and seen.cautions
    asked = ReadWheelRequest(told.job, wheels[1].part, (0.0,) * 32, (0.0,) * 32, "newton", (900.0,) * 32)
    with pytest.raises(NotPossibleNow, match="was not measured"):
        read_wheel(asked, by=told.first, key=told.key(), now=NOW)


def test_three_rounds_by_taps_make_a_shimmying_wheel_straight() -> None:
    """Read, turn what is asked, read again: it ends inside its limits, tighter nowhere than the mark, and the past tells of it."""
    stand = in_stand()
    assert not stand.is_straight
    told: list[dict[str, str]] = []
    for _ in range(4):
        stand.read()
        told.append({one.limit: one.verdict for one in findings_of(stand.told.record)})
        if stand.sheet().plan and stand.sheet().plan.done:  # type: ignore[union-attr]
            break
        assert turn_all(stand) > 0
        assert stand.sheet().is_round_done
        assert float(stand.drawn.state.tension.max()) <= MARKED
    seen = stand.sheet()
    assert stand.is_straight and seen.first is not None and seen.last is not None
    assert seen.last.side_mm < seen.first.side_mm / 2 and (seen.last.spread_percent or 99) < 26
    # The walk-round knows it too: what was a finding is sound once it is read again.
    assert told[0]["runout-lateral-disc"] == "next visit" and told[-1]["runout-lateral-disc"] == "sound"
    assert (
        told[0]["spoke-tension-spread"] == "next visit" and told[-1]["spoke-tension-spread"] != "next visit"
    )
    assert len(seen.rounds) >= 2 and seen.rounds[0].quarters > 4
    assert any("times as stiff" in one for one in (seen.plan.working if seen.plan else ()))
    assert seen.past[0].tag == stand.told.tag and seen.past[0].words.startswith("read:")


def test_the_first_nipple_is_one_tap_and_a_wrong_tap_is_taken_back() -> None:
    """Done, not turned after all, turned otherwise: the newest word counts, and each stays in the history."""
    stand = in_stand()
    stand.read()
    first = stand.sheet().next
    assert first is not None
    stand.turn(first.spoke, first.quarters)
    assert stand.sheet().next != first
    stand.turn(first.spoke, 0)
    assert stand.sheet().next == first
    with pytest.raises(InputRefused, match="nothing to take back"):
        stand.turn(first.spoke, 0)
    other = next(one for one in range(1, 33) if one not in {turn.spoke for turn in stand.sheet().turns})
    stand.turn(other, 3)
    besides = stand.sheet().turns[-1]
    assert (besides.spoke, besides.turned, besides.words) == (other, 3, "not asked for")
    told = [
        in_words(one, Beside({}, {}))
        for one in Event.objects.filter(kind="nipple turned").select_related("nippleturn").order_by("pk")
    ]
    assert told[-1] == f"rear wheel, spoke {other}: tightened by 3 quarter turns"
    assert told[1] == f"rear wheel, spoke {first.spoke}: not turned after all"


def test_a_turn_by_an_older_reading_is_refused_for_two_at_one_wheel() -> None:
    """One read it again while the other's page still showed the turns of before: nobody can tell what that tap was."""
    stand = in_stand()
    old = stand.read().event
    new = stand.read().event
    mark = {"by": stand.told.second, "now": NOW}
    asked = TurnNippleRequest(stand.told.job, stand.part, 5, 1, old)
    with pytest.raises(NotPossibleNow, match="read again since"):
        turn_nipple(asked, key=stand.told.key(), **mark)  # type: ignore[arg-type]
    turn_nipple(replace(asked, reading=new), key=stand.told.key(), **mark)  # type: ignore[arg-type]
    assert stand.sheet().spokes[4].turned == 1


def test_the_same_tap_twice_is_one_turn_and_the_counter_turns_none() -> None:
    """A repeated request changes nothing; readings and turns are a mechanic's."""
    stand = in_stand()
    stand.read()
    asked = TurnNippleRequest(stand.told.job, stand.part, 5, 1)
    for _ in range(2):
        turn_nipple(asked, by=stand.told.first, key="one-tap-only", now=NOW)
    assert Event.objects.filter(kind="nipple turned").count() == 1
    juno = Person.objects.make("juno", "Juno Pell", "counter", story.PASSPHRASE)
    with pytest.raises(NotAllowed, match="at the counter"):
        turn_nipple(asked, by=juno.pk, key=stand.told.key(), now=NOW)


def test_the_last_reading_is_taken_back_while_nothing_was_turned_by_it() -> None:
    """One tap; after a turn the sentence says what to do instead."""
    stand = in_stand()
    stand.read()
    newest = acts_today(stand.told.record, NOW)[0]
    assert newest.why_not == "" and newest.words.startswith("rear wheel read at 32 spokes")
    undo_act(UndoRequest(stand.told.job, newest.event), by=stand.told.first, key=stand.told.key(), now=NOW)
    assert not stand.sheet().rounds
    stand.read()
    stand.turn(3, 1)
    event = Event.objects.filter(kind="wheel read").latest("pk")
    with pytest.raises(NotPossibleNow, match="Nipples were turned"):
        undo_act(UndoRequest(stand.told.job, event.pk), by=stand.told.first, key=stand.told.key(), now=NOW)


def test_bad_figures_are_refused_whole_and_named() -> None:
    """One too few, one out of sense, a spoke that is not there: nothing is written."""
    stand = in_stand()
    good = stand.figures()
    for wrong, said in (
        ({"side_mm": good.side_mm[1:]}, "31 figures for 32"),
        ({"up_mm": (44.0, *good.up_mm[1:])}, "up at spoke 1"),
        ({"tension_n": (9000.0, *good.tension_n[1:])}, "tension of spoke 1"),
        ({"how": "by smell"}, "meter, newton, ear"),
        ({"dish_mm": 60.0}, "dish"),
    ):
        with pytest.raises(InputRefused, match=said):
            stand.read(**wrong)
    assert not WheelReading.objects.exists()
    stand.read()
    with pytest.raises(NotFound, match="no spoke 40"):
        stand.turn(40, 1)


def test_one_spoke_that_was_not_read_makes_no_plan_and_is_named() -> None:
    """No plan can keep the rim's limit without it."""
    stand = in_stand()
    pulls = list(stand.figures().tension_n)
    pulls[6] = None
    stand.read(tension_n=tuple(pulls))
    seen = stand.sheet()
    assert seen.plan is None and "spoke 7" in seen.held_back
    assert seen.spokes[6].read is not None and seen.spokes[6].read.share is None


def test_by_ear_alone_only_shares_and_with_one_reference_newtons() -> None:
    """32 pitches: without a reference it says so and plans nothing; with spoke 2 known every spoke is told within its interval."""
    stand = in_stand()
    heard = tuple(HeardSpoke(spoke, pitch, 0.05) for spoke, pitch in enumerate(stand.sounds(), 1))
    asked = HearSpokesRequest(stand.told.job, stand.part, heard)
    note_pitches(asked, by=stand.told.first, key=stand.told.key(), now=NOW)
    assert stand.sheet().heard == 32
    told = stand.read(how="ear", tension_n=())
    assert any("how even they are" in one for one in told.doubts) and told.spokes[0].tension_n is None
    seen = stand.sheet()
    assert seen.plan is None and "reference spoke" in seen.held_back and seen.last is not None
    assert (seen.last.spread_percent or 0) > 10
    note_pitches(asked, by=stand.told.first, key=stand.told.key(), now=NOW)
    true = [float(one) for one in stand.drawn.state.tension]
    told = stand.read(how="ear", tension_n=(), reference_spoke=2, reference_n=round(true[1]))
    for read, pull in zip(told.spokes, true, strict=True):
        assert read.tension_n is not None and read.low_n is not None and read.high_n is not None
        assert abs(read.tension_n / pull - 1) < 0.02 and read.low_n < pull < read.high_n
    assert stand.sheet().plan is not None
    with pytest.raises(NotPossibleNow, match="No spoke was plucked"):
        stand.read(how="ear", tension_n=())


def test_a_meter_reads_by_its_own_table_and_a_bad_one_goes_off_the_board() -> None:
    """Marks to newtons; outside of the table the spoke is named; never tried is a doubt; 15 % out on 80 kg is the end of it."""
    stand = in_stand()
    tool = meter(stand.told)
    marks = tuple(round((float(one) - 200) / 30, 2) for one in stand.drawn.state.tension)
    told = stand.read(how="meter", tool=tool, shown=marks, tension_n=())
    assert "never tried" in told.doubts[0]
    pairs = zip(told.spokes, stand.drawn.state.tension, strict=True)
    assert all(abs((one.tension_n or 0) - float(pull)) < 8 for one, pull in pairs)
    with pytest.raises(Unknown, match="Spoke 3"):
        stand.read(how="meter", tool=tool, shown=(*marks[:2], 99.0, *marks[3:]), tension_n=())
    tried = MeterTriedRequest(tool, KIND, 80.0, 19.5)
    mark = {"by": stand.told.first, "now": NOW}
    assert try_meter(tried, key=stand.told.key(), **mark).good  # type: ignore[arg-type]
    assert "0 % " in meters()[0].tables[0].tried
    assert not try_meter(replace(tried, shown=24.0), key=stand.told.key(), **mark).good  # type: ignore[arg-type]
    assert meters() == ()
    with pytest.raises(NotPossibleNow, match="too far out"):
        stand.read(how="meter", tool=tool, shown=marks, tension_n=())


def test_a_hit_wheel_and_a_carbon_rim_hold_the_plan_back() -> None:
    """Cracks first; a carbon rim only by its maker's figure."""
    stand = in_stand()
    stand.read()
    asked = DescribeWheelRequest(
        stand.told.job, stand.part, facts(), WheelLimitsAsked(greatest_n=MARKED), KIND
    )
    for changed, said in (
        (replace(asked, hit=HIT_WORDS[2]), "cracks"),
        (replace(asked, hit=HIT_WORDS[1], carbon=True, limits=WheelLimitsAsked()), "Carbon rim without"),
    ):
        describe_wheel(changed, by=stand.told.first, key=stand.told.key(), now=NOW)
        assert stand.sheet().plan is None and said in stand.sheet().held_back
    describe_wheel(
        replace(asked, hit=HIT_WORDS[1], carbon=True), by=stand.told.first, key=stand.told.key(), now=NOW
    )
    seen = stand.sheet()
    assert seen.plan is not None and any("Carbon rim" in one for one in seen.cautions)
    assert any("no crack was found" in one for one in seen.cautions)


def test_the_third_broken_spoke_is_a_rebuild_and_starts_the_readings_anew() -> None:
    """Place and distance stay with the wheel; the first two are a caution, the third ends the plan."""
    stand = in_stand()
    stand.read()
    for number, at in enumerate(("elbow", "thread", "elbow"), 1):
        told = break_spoke(
            BreakSpokeRequest(stand.told.job, stand.part, at, 4 + number, 3000.0 * number),
            by=stand.told.first,
            key=stand.told.key(),
            now=NOW,
        )
        assert (told.number, told.rebuild) == (number, number == 3)
        assert not stand.sheet().rounds, "a spoke less is another wheel"
    stand.read()
    seen = stand.sheet()
    assert seen.rebuild and seen.plan is None and "rebuild" in seen.held_back
    assert (
        seen.past[1].words == "spoke 7 broke at the elbow, at 9,000 km (owner's word): number 3 of this wheel"
    )


def test_the_past_goes_with_the_wheel_to_another_bike() -> None:
    """A wheel that is moved takes its readings along, each with the bike that it was on."""
    stand = in_stand()
    stand.read()
    other = story.checked_in()
    part = Part.objects.get(pk=stand.part)
    later = NOW + timedelta(days=1)
    asked = MoveRequest("rear wheel", stand.told.tag, other.tag, exchange=True)
    move_part(asked, by=stand.told.first, key=stand.told.key(), now=later)
    there = OnStand(other, part.pk, stand.drawn, stand.rng)
    seen = there.sheet()
    assert seen.known is not None and seen.rounds == () and seen.past[0].tag == stand.told.tag
    there.read()
    assert [one.tag for one in there.sheet().past] == [other.tag, stand.told.tag]
    assert ACTS["wheel read"].undo


@pytest.mark.parametrize(("shown", "taken"), [(30.0, True), (-30.0, True), (30.5, False), (-30.5, False)])
def test_a_dial_shows_thirty_millimetres_at_most(shown: float, taken: bool) -> None:
    """A wheel that is further out is no wheel any more, or the dial was misread; the spoke is named."""
    stand = in_stand()
    asked = stand.figures()
    side = (*asked.side_mm[:4], shown, *asked.side_mm[5:])
    if taken:
        assert stand.read(side_mm=side).spokes[4].side_mm == shown
        return
    with pytest.raises(InputRefused, match=r"side at spoke 5 is -?30\.5 mm: -30 to 30 mm is possible"):
        stand.read(side_mm=side)


@pytest.mark.parametrize(
    ("marked", "taken"), [(100.0, True), (4000.0, True), (99.0, False), (4001.0, False), (4000.5, False)]
)
def test_no_rim_is_marked_for_more_than_four_thousand_newtons(marked: float, taken: bool) -> None:
    """No spoke bears it: the figure is that of another unit or a slip. What was known before stays."""
    stand = in_stand()
    asked = DescribeWheelRequest(
        stand.told.job, stand.part, facts(), WheelLimitsAsked(greatest_n=marked), KIND
    )
    if taken:
        describe_wheel(asked, by=stand.told.first, key=stand.told.key(), now=NOW)
    else:
        with pytest.raises(InputRefused, match=r"marked on the rim is .* N: 100 to 4000 N is possible"):
            describe_wheel(asked, by=stand.told.first, key=stand.told.key(), now=NOW)
    known = stand.sheet().known
    assert known is not None and known.limits.greatest_n == (marked if taken else MARKED)
