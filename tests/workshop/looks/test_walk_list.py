"""The list of ten minutes: fits its minutes, goes on after a break, learns from answers, says what was not looked at."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.workshop.bikes.change_build import ReplaceRequest
from pinchbolt.workshop.bikes.change_build import replace as replace_here
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.looks.answer_looks import AnswerLooksRequest, LookedAt, answer_looks
from pinchbolt.workshop.looks.walk_list import LookDue, WalkList, looked_count, looked_in_short, walk_list
from pinchbolt.workshop.rides.note_distance import DistanceRequest, note_distance
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.complaints import (
    CloseComplaintRequest,
    ComplaintRequest,
    ComplaintTestRequest,
    answer_test,
    close_complaint,
    complaints_of,
    tell_complaints,
)
from pinchbolt.workshop.stays.note_finding import findings_of
from tests import story as stories
from tests.story import NOW, TODAY, Story
from tests.workshop.build_story import part_on

MOST_TAPS = 17


def go_round(story: Story, minutes: float, most: int = 40) -> tuple[WalkList, int]:
    """Tap every card as good until the minutes are full; one tap more for each measurement on it."""
    taps = 0
    for minute in range(most):
        up = walk_list(story.record, NOW, minutes).next_card
        if up is None:
            break
        taps += 1 + sum(one.is_figure for one in up.looks)
        told = tuple(LookedAt(one.look, chance=one.chance) for one in up.looks)
        when = NOW + timedelta(minutes=minute)
        answer_looks(AnswerLooksRequest(story.job, told), by=story.first, key=story.key(), now=when)
    return walk_list(story.record, NOW, minutes), taps


def complain(story: Story, *names: str) -> None:
    """The owner says so at the bench."""
    tell_complaints(ComplaintRequest(story.job, names), by=story.first, key=story.key(), now=NOW)


@pytest.mark.django_db
def test_a_sound_gravel_bike_takes_seventeen_taps_at_most(arrived: Story) -> None:
    """Ten minutes, planned again after each card: the floor is whole and the count is said."""
    end, taps = go_round(arrived, 10)
    assert taps <= MOST_TAPS
    assert end.count.floor_left == ()
    assert end.count.looked > 40
    assert end.count.sentence == f"nothing found in {end.count.looked} of {end.count.of} looks"
    assert end.count.left


@pytest.mark.django_db
def test_the_minutes_may_be_shortened_at_any_card(arrived: Story) -> None:
    """Planned for twenty, called away after two cards: five minutes hold what is worth most in what is left of them."""
    whole = walk_list(arrived.record, NOW, 20)
    for card in whole.cards[:2]:
        told = tuple(LookedAt(one.look) for one in card.looks)
        answer_looks(AnswerLooksRequest(arrived.job, told), by=arrived.first, key=arrived.key(), now=NOW)
    short = walk_list(arrived.record, NOW + timedelta(hours=3), 5)
    done = {one.look for one in short.taken}
    assert 0 < short.seconds < walk_list(arrived.record, NOW, 20).seconds
    assert not done & {one.look for card in short.cards for one in card.looks}
    with pytest.raises(InputRefused, match="minutes are too few"):
        walk_list(stories.checked_in("road-disc").record, NOW, 1)


@pytest.mark.django_db
def test_the_complaint_leads_and_is_said_until_its_cause_is(arrived: Story) -> None:
    """Told, looked for, not found: it stands on the list before the bike leaves and on the sheet; closed, with its cause."""
    complain(arrived, "creak")
    card = walk_list(arrived.record, NOW, 10).next_card
    assert card is not None
    assert (card.station, card.looks[0].look, card.looks[0].rule) == ("complaint", "frame-crack", "complaint")
    told = tuple(LookedAt(one.look) for one in card.looks)
    answer_looks(AnswerLooksRequest(arrived.job, told), by=arrived.first, key=arrived.key(), now=NOW)
    (sentence,) = sign_off_list(arrived.record, NOW).complaints
    assert sentence.startswith("creaks or clicks: not found; looked at: frame and fork")
    assert handover_sheet(arrived.record, NOW).complaints[0].sentence == sentence
    asked = CloseComplaintRequest(arrived.job, "creak", words="cleats dry, greased")
    (closed,) = close_complaint(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert (closed.closed, closed.sentence) == (True, "creaks or clicks: cleats dry, greased.")
    assert sign_off_list(arrived.record, NOW).complaints == ()
    assert not [
        one
        for card in walk_list(arrived.record, NOW, 10).cards
        for one in card.looks
        if one.rule == "complaint"
    ]


@pytest.mark.django_db
def test_a_find_alone_closes_no_complaint(arrived: Story) -> None:
    """Two causes at once are usual: the mechanic says which it was, by a finding of this stay."""
    complain(arrived, "creak")
    told = (LookedAt("headset-play", "found"),)
    answer_looks(AnswerLooksRequest(arrived.job, told), by=arrived.first, key=arrived.key(), now=NOW)
    assert not complaints_of(arrived.record)[0].closed
    with pytest.raises(InputRefused, match="What the cause was is missing"):
        close_complaint(
            CloseComplaintRequest(arrived.job, "creak"), by=arrived.first, key=arrived.key(), now=NOW
        )
    with pytest.raises(InputRefused, match="There is no finding 999 at this stay"):
        asked = CloseComplaintRequest(arrived.job, "creak", finding=999)
        close_complaint(asked, by=arrived.first, key=arrived.key(), now=NOW)
    (found,) = findings_of(arrived.record)
    asked = CloseComplaintRequest(arrived.job, "creak", finding=found.id)
    (closed,) = close_complaint(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert closed.cause == found.words


@pytest.mark.django_db
def test_a_test_of_ten_seconds_turns_the_order(arrived: Story) -> None:
    """Gone when standing up: the saddle is the first place after the frame; the next test is asked only after a no."""
    complain(arrived, "creak")
    (before,) = complaints_of(arrived.record)
    assert [one.id for one in before.tests] == ["stands"]
    untold = _saddle(arrived)
    for yes in (False, True):
        asked = ComplaintTestRequest(arrived.job, "creak", "stands", yes)
        (told,) = answer_test(asked, by=arrived.first, key=arrived.key(), now=NOW)
        assert [one.id for one in told.tests] == (["stands"] if yes else ["stands", "coasts"])
    assert _saddle(arrived) > 1.5 * untold
    with pytest.raises(InputRefused, match="no test for this complaint"):
        asked = ComplaintTestRequest(arrived.job, "creak", "sings", True)
        answer_test(asked, by=arrived.first, key=arrived.key(), now=NOW)


def _saddle(story: Story) -> float:
    """How likely a find at the saddle is said to be."""
    cards = walk_list(story.record, NOW, 10).cards
    return next(one.chance for card in cards for one in card.looks if one.look == "saddle-loose")


@pytest.mark.django_db
def test_a_complaint_that_no_table_has_is_refused_and_one_told_twice_is_one(arrived: Story) -> None:
    """The sentence names what may be chosen."""
    complain(arrived, "creak", "creak")
    complain(arrived, "creak", "rub")
    assert [one.id for one in complaints_of(arrived.record)] == ["creak", "rub"]
    with pytest.raises(InputRefused, match='"hums" is no complaint of the table: spongy, '):
        complain(arrived, "hums")
    with pytest.raises(InputRefused, match="6 at most"):
        complain(arrived, "spongy", "squeal", "skip", "flat-again", "shimmy")


@pytest.mark.django_db
def test_a_bike_that_nobody_looked_at_says_so(arrived: Story) -> None:
    """Never a bare tick; the sheet names the dearest of what was left."""
    count = looked_count(arrived.record, NOW)
    assert count.sentence == f"nothing looked at yet, of {count.of} looks"
    assert len(count.floor_left) == 9
    sheet = handover_sheet(arrived.record, NOW)
    assert sheet.looked == count
    assert len(sheet.looked.left) >= 40


@pytest.mark.django_db
def test_in_short_it_says_the_same(arrived: Story) -> None:
    """Without forecasts: the sentence of the whole count and whether anything was left; untouched, half-way, and when all is seen."""
    for minutes in (None, 10.0, 200.0):
        if minutes is not None:
            go_round(arrived, minutes, most=80)
        count, short = looked_count(arrived.record, NOW), looked_in_short(arrived.record)
        assert (short.sentence, short.is_all) == (count.sentence, not count.left)


@pytest.mark.django_db
def test_one_line_says_why(arrived: Story) -> None:
    """Each look has a reason without a percentage, and the list is whole as JSON."""
    chosen = walk_list(arrived.record, NOW, 10)
    reasons = [one.reason for card in chosen.cards for one in card.looks]
    assert all(reasons)
    assert not any(
        "%" in reason or "safe to ride" in reason.replace("unsafe to ride", "") for reason in reasons
    )
    told = as_json(chosen)
    assert isinstance(told, dict)
    first = told["cards"][0]["looks"][0]
    assert {"look", "worth", "harm", "money", "chance", "seconds", "opens", "reason", "rule"} <= set(first)


def came_again(at: Story, days: int) -> Story:
    """The same bike after so many days."""
    leave = HandOverRequest(at.job, acknowledged=True, as_unsafe=True)
    hand_over(leave, by=at.first, key=at.key(), now=NOW)
    asked = CheckInRequest(tag=at.tag)
    again = check_in(asked, by=at.first, key=at.key(), now=NOW + timedelta(days=days)).job
    return Story(again, at.tag, at.first, at.second)


def chain_look(at: Story, days: int) -> LookDue:
    """The look at the chain with its gauge."""
    chosen = walk_list(at.record, NOW + timedelta(days=days))
    every = [one for card in chosen.cards for one in card.looks]
    return next(one for one in every if any(name.startswith("chain-elongation") for name in one.limits))


@pytest.mark.django_db
def test_a_chain_that_was_fitted_here_speaks_by_its_own_kilometres() -> None:
    """New today: no reason to look. After a year on the road: how far it went, and how likely it is past its limit."""
    at = stories.checked_in("road-disc")
    chain = part_on(at, "chain")
    replace_here(ReplaceRequest(chain.pk), by=at.first, key=at.key(), now=NOW)
    soon = came_again(at, 3)
    new, later = chain_look(soon, 3), came_again(soon, 300)
    assert new.chance < 0.05 and new.reason.endswith(": hardly past 0.5 %, on since 25 Nov 2026")
    old = chain_look(later, 300)
    assert old.chance > 0.5 and old.reason.endswith(": almost certainly past 0.5 %, on since 25 Nov 2026")
    went = DistanceRequest(TODAY, TODAY + timedelta(days=300), 4100.0, known="odometer", tag=at.tag)
    note_distance(went, by=at.first, key="went-so-far", now=NOW + timedelta(days=300))
    assert chain_look(later, 300).reason.endswith(" past 0.5 %, about 4,100 km since it was fitted")
