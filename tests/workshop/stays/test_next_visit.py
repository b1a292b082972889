"""The next visit that was agreed: what waiting costs runs until that day, and the bike is expected then."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bike, Event
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.leaving.call_back import call_back_for
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.stays.agree_visit import VisitRequest, agree_visit
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.price import LineView, PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.suggest import suggestions
from tests.story import NOW, TODAY, Story, checked_in, walked_round
from tests.workshop.build_story import part_on, read
from tests.workshop.stays.test_waiting import put_on, worn_chain

pytestmark = pytest.mark.django_db
USUAL = "Left until the next visit (about 90 days, "
SOON, LATE, FAR = (TODAY + timedelta(days=days) for days in (30, 140, 400))


def agree(at: Story, day: date | None) -> None:
    """The owner says when the bike comes again."""
    agree_visit(VisitRequest(at.job, day), by=at.first, key=at.key(), now=NOW)


def line(at: Story, number: int) -> LineView:
    """A line of the estimate."""
    return next(one for one in estimate(at.record).lines if one.id == number)


def until(days: int, day: date) -> str:
    """How the sentence begins."""
    return f"Left until the visit agreed for {day:%d %b %Y} ({days} days, "


def test_what_may_wait_is_weighed_until_the_day_that_was_agreed() -> None:
    """A month is not three, and twenty weeks are more: on the line that was there and on the one that comes after."""
    there, found = worn_chain(0.35)
    chain = put_on(there, "chain", found)
    usual = line(there, chain)
    assert usual.waiting_reasons[0].startswith(USUAL)
    costs: list[Decimal] = []
    for day in (SOON, LATE):
        agree(there, day)
        seen = line(there, chain)
        assert seen.waiting_reasons[0].startswith(until((day - TODAY).days, day))
        assert seen.money.cost_of_waiting is not None
        costs.append(seen.money.cost_of_waiting)
    assert usual.money.cost_of_waiting is not None and costs[0] < usual.money.cost_of_waiting < costs[1]
    cassette = put_on(there, "cassette")
    assert line(there, cassette).waiting_reasons == ("Said of both at “new chain”.",)
    assert (
        line(there, chain).waiting_reasons[0].startswith(f"Chain and cassette together. {until(140, LATE)}")
    )


def test_a_chain_does_not_last_for_ever() -> None:
    """Over a year on a chain at 0.45 % it jumps long before: no sum says that leaving it is cheap. Nor of chain and cassette."""
    there, found = worn_chain(0.45)
    chain = put_on(there, "chain", found)
    agree(there, FAR)
    seen = line(there, chain)
    assert seen.money.cost_of_waiting is None and "£" not in seen.waiting_reasons[0]
    assert seen.waiting_reasons[0].endswith(
        ": it is probably worn out and jumps before that. Allowed to wait: not so long. Cheapest: now, or an earlier visit."
    )
    put_on(there, "cassette")
    assert "Allowed to wait: not so long." in line(there, chain).waiting_reasons[0]


def test_a_safety_part_waits_only_as_long_as_it_is_looked_at() -> None:
    """Pads with lining left: to a near day, to one before which somebody must look, and to one that they do not reach."""
    there = checked_in()
    pads = part_on(there, "pads", "front")
    read(there, pads, "disc-pad-lining-resin", value=1.4)
    found = pads.findings.get()
    back = call_back_for(there.record.bike, NOW)
    assert back is not None and back.day > TODAY + timedelta(days=3)
    number = put_on(there, "pads-disc", found.pk)
    agree(there, back.day - timedelta(days=1))
    assert "Allowed to wait: yes. Cheapest:" in line(there, number).waiting_reasons[0]
    agree(there, back.day + timedelta(days=1))
    assert (
        f"yes, if we look at it by {back.day.day} {back.day:%b %Y}." in line(there, number).waiting_reasons[0]
    )
    agree(there, FAR)
    said = line(there, number).waiting_reasons[0]
    assert "it is probably past its limit before that, about " in said
    assert "Allowed to wait: not so long." in said and "£" not in said


def test_a_watched_chain_is_offered_where_its_limit_comes_before_that_day() -> None:
    """On a bike that is little ridden it is no line today; who comes in a year and a half only should have it now."""
    there = checked_in()
    Bike.objects.filter(tag=there.tag).update(km_a_week=15.0)
    read(there, part_on(there, "chain"), "chain-elongation-12to13", value=0.44, distance_km=2400.0)

    def offered() -> bool:
        return "chain" in {one.operation for one in suggestions(there.record)}

    assert not offered()
    agree(there, TODAY + timedelta(days=550))
    assert offered()
    agree(there, SOON)
    assert not offered()


def test_what_comes_after_is_weighed_so_from_the_start() -> None:
    """Agreed at the check-in, found later."""
    there, found = worn_chain(0.35)
    agree(there, SOON)
    assert line(there, put_on(there, "chain", found)).waiting_reasons[0].startswith(until(30, SOON))


def test_what_the_owner_has_answered_stays_as_they_heard_it() -> None:
    """Declined as it was told for three months; a line that is asked and not answered is said anew."""
    there, found = worn_chain(0.35)
    chain = put_on(there, "chain", found)
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    agree(there, SOON)
    assert line(there, chain).waiting_reasons[0].startswith(until(30, SOON))
    told = line(there, chain).waiting_reasons
    answer(AnswerRequest(there.job, {chain: False}), by=there.first, key=there.key(), now=NOW)
    agree(there, LATE)
    assert line(there, chain).waiting_reasons == told


def test_a_changed_mind_and_a_wrong_tap_leave_the_usual_time() -> None:
    """No day any more, or undone: as it was before."""
    there, found = worn_chain(0.35)
    chain = put_on(there, "chain", found)
    before = estimate(there.record)
    agree(there, SOON)
    agree(there, None)
    assert line(there, chain) == before.lines[0] and estimate(there.record).visit is None
    agree(there, LATE)
    event = Event.objects.filter(job=there.job, kind="visit agreed").latest("pk")
    undo_act(UndoRequest(there.job, event.pk), by=there.first, key=there.key(), now=NOW)
    assert estimate(there.record) == before


def test_what_may_not_wait_has_no_money_however_near_the_day() -> None:
    """A visit tomorrow makes no cut tyre sound."""
    there = walked_round(checked_in())
    for one in suggestions(there.record):
        asked = ProposeRequest(there.job, one.operation, one.finding)
        propose(asked, by=there.first, key=there.key(), now=NOW)
    agree(there, TODAY + timedelta(days=1))
    must = [one for one in estimate(there.record).lines if one.rank >= 3]
    assert must and all(one.waiting_reasons[0].startswith("Allowed to wait: no.") for one in must)
    assert all(one.money.cost_of_waiting is None for one in must)


@pytest.mark.parametrize("days", [0, -1, 732, 400_000])
def test_a_day_that_can_not_be_is_refused(days: int) -> None:
    """Today, gone, and beyond two years."""
    there = checked_in()
    with pytest.raises(InputRefused, match="after today, and within two years"):
        agree(there, TODAY + timedelta(days=days))
    assert not Event.objects.filter(kind="visit agreed").exists()


def test_the_bike_is_expected_on_the_day_or_sooner_where_it_must_be() -> None:
    """Nothing else gives a day: that one. Something is due before it: that, and that the visit is too late for it."""
    there = checked_in()
    assert call_back_for(there.record.bike, NOW) is None
    agree(there, SOON)
    back = call_back_for(there.record.bike, NOW)
    assert back is not None and (back.day, back.reason) == (SOON, "The day that was agreed.")
    worn, _ = worn_chain(0.35)
    soonest = call_back_for(worn.record.bike, NOW)
    assert soonest is not None
    agree(worn, soonest.day + timedelta(days=40))
    late = call_back_for(worn.record.bike, NOW)
    assert late is not None and late.day == soonest.day
    assert late.reason.startswith(soonest.reason) and late.reason.endswith("is too late for it.")
    agree(worn, soonest.day)
    assert call_back_for(worn.record.bike, NOW) == soonest


def test_it_outlives_a_stay_in_between_and_ends_with_its_day() -> None:
    """A flat tyre before it changes nothing; once the day is past, the usual time counts again. A bike that is gone agrees on nothing."""
    there, found = worn_chain(0.35)
    agree(there, SOON)
    hand_over(
        HandOverRequest(there.job, acknowledged=True, as_unsafe=True),
        by=there.first,
        key=there.key(),
        now=NOW,
    )
    with pytest.raises(NotPossibleNow, match="is gone"):
        agree(there, LATE)
    for days, begins in ((10, until(20, SOON)), (60, USUAL)):
        when = NOW + timedelta(days=days)
        again = check_in(CheckInRequest(tag=there.tag), by=there.first, key=there.key(), now=when).job
        asked = ProposeRequest(again, "chain", found)
        number = propose(asked, by=there.first, key=there.key(), now=when).line
        seen = Story(again, there.tag, there.first, there.second)
        assert line(seen, number).waiting_reasons[0].startswith(begins)
        leave = HandOverRequest(again, acknowledged=True, as_unsafe=True)
        hand_over(leave, by=there.first, key=there.key(), now=when)
