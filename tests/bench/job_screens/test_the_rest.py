"""One job in two: what is agreed and waits for its part is done another day, as it was agreed; pages, papers and history of both."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, Job, Workshop
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.came_up.come_back import REST, CameBackRequest, come_back
from pinchbolt.workshop.leaving.bill import bills_of
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.parts.wanted import (
    ARRIVED,
    FITTED,
    ORDERED,
    WantedMoveRequest,
    WantRequest,
    move_wanted,
    want_part,
    wanted_of,
)
from pinchbolt.workshop.stays.answer import AGREED_BEFORE, AnswerRequest, answer
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.rest import rest_of
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from tests import story
from tests.bench.conftest import Cast
from tests.bench.job_screens.conftest import key, lines_of
from tests.bench.job_screens.test_came_up import go, history, page, refused
from tests.story import NOW, Story

DAY = (NOW + timedelta(days=10)).date()


@pytest.fixture
def on(cast: Cast) -> Story:
    """A chain and a rear tyre are agreed; the tyre is on order; the chain is fitted."""
    told = cast.story
    propose(ProposeRequest(told.job, "chain"), by=told.first, key=told.key(), now=NOW)
    propose(ProposeRequest(told.job, "tyre-tube", place="rear"), by=told.first, key=told.key(), now=NOW)
    ask_owner(PriceRequest(told.job), by=told.first, key=told.key(), now=NOW)
    said = dict.fromkeys(lines_of(told).values(), True)
    answer(AnswerRequest(told.job, said, "by phone"), by=told.first, key=told.key(), now=NOW)
    asked = WantRequest("tyre 28-622", told.job, lines_of(told)["tyre-tube"], 0)
    wanted = want_part(asked, by=told.first, key=told.key(), now=NOW)
    order = WantedMoveRequest(wanted, ORDERED, "Harbour Cycle Supply", Decimal("20.00"), DAY)
    move_wanted(order, by=told.first, key=told.key(), now=NOW)
    start_work(StandRequest(told.job, 1), by=told.first, key=told.key(), now=NOW)
    finish_line(LineDoneRequest(told.job, lines_of(told)["chain"]), by=told.first, key=told.key(), now=NOW)
    return told


def put_off(tablet: Client, on: Story) -> str:
    """The tyre waits for another day."""
    tyre = lines_of(on)["tyre-tube"]
    said = {f"line-{tyre}": "1", "day": f"{DAY}", "words": "the tyre comes", "untouched": "1"}
    return go(tablet, on, "split", **said)


def leaves(on: Story) -> None:
    """Signed off and handed over."""
    story.signed_off(on)
    hand_over(HandOverRequest(on.job, acknowledged=True), by=on.first, key=on.key(), now=NOW)


def test_the_rest_is_done_another_day_as_it_was_agreed(cast: Cast, tablet: Client, on: Story) -> None:
    """The bike leaves with its chain, paid for alone; back with the tyre here, the price of then holds and the part is fitted."""
    tyre = lines_of(on)["tyre-tube"]
    (told,) = (one.money for one in estimate(on.record).lines if one.id == tyre)
    assert "1 agreed and not done" in page(tablet, on, "came-up")
    assert "choose those that wait" in refused(tablet, on, "split", day=f"{DAY}")
    late = refused(tablet, on, "split", **{f"line-{tyre}": "1", "day": "2026-01-05", "words": "no tyre"})
    assert "is not ahead" in late and 'value="no tyre"' in late
    put_off(tablet, on)
    assert history(on)[0].startswith("1 line put off to another day, about") or any(
        one.startswith("1 line put off to another day") for one in history(on)[:2]
    )
    # One tap takes it back, and the tyre is to be done here again.
    event = Event.objects.filter(job=on.job, kind="rest put off").latest("pk")
    tablet.post(f"/job/{on.job}/came-up/undo/", {"key": key(), "event": event.pk})
    assert rest_of(on.record) is None and estimate(on.record).agreed.total > told.total
    put_off(tablet, on)
    leaves(on)
    assert job_state(on.record).ended
    sheet = handover_sheet(on.record, NOW)
    assert [line.operation for line in sheet.not_done] == ["tyre-tube"]
    assert sheet.next_due is not None and sheet.next_due.day == DAY
    assert "The rest of the work: " in sheet.next_due.reason
    (bill,) = bills_of(on.record)
    assert bill.total == estimate(on.record).to_pay.total and "tyre" not in str(
        [one.words for one in bill.lines]
    )
    # An hour became dearer meanwhile, and the tyre came.
    Workshop.objects.update(labour_an_hour=Decimal("99.00"))
    (wanted,) = wanted_of(on.record)
    move_wanted(WantedMoveRequest(wanted.id, ARRIVED), by=on.first, key=on.key(), now=NOW)
    # Whoever looks at the parts, the bike or its check-in sees it.
    assert "bike not here: ask them to come" in tablet.get("/parts/").content.decode()
    for at in (f"/bike/{on.tag}/", f"/check-in/?tag={on.tag}"):
        shown = tablet.get(at).content.decode()
        assert "Left to do from last time" in shown and f"/job/{on.job}/came-up/came-back/" in shown
    assert f'value="{REST}" checked' in page(tablet, on, "came-up/came-back")
    go(tablet, on, "came-back", cause=REST)
    new = Job.objects.latest("pk")
    assert new.pk != on.job
    (line,) = estimate(new).lines
    assert (line.operation, line.answer, line.answered_how) == ("tyre-tube", "agreed", AGREED_BEFORE)
    assert line.money.total == told.total
    assert rest_of(on.record) is None and wanted_of(on.record) == ()
    (part,) = wanted_of(new)
    assert (part.job, part.line, part.state) == (new.pk, line.id, ARRIVED)
    assert any("1 line of the stay before taken up" in one for one in history(on))
    start_work(StandRequest(new.pk, 1), by=on.first, key=on.key(), now=NOW)
    finish_line(LineDoneRequest(new.pk, line.id, ()), by=on.first, key=on.key(), now=NOW)
    assert wanted_of(Job.objects.get(pk=new.pk))[0].state == FITTED
    assert refused(tablet, Story(new.pk, on.tag, on.first, on.second), "take-up")


def test_where_the_price_ran_out_the_rest_is_asked_anew(cast: Cast, tablet: Client, on: Story) -> None:
    """Thirty days later: the line is there at today's price, and nobody has said yes to it. A double tap takes it up once."""
    put_off(tablet, on)
    leaves(on)
    later = NOW + timedelta(days=30)
    asked = CameBackRequest(on.job, REST)
    for _ in range(2):
        new = come_back(asked, by=on.first, key="came-back-0001", now=later)
    (line,) = estimate(Job.objects.get(pk=new), later.date()).lines
    assert (line.operation, line.answer, line.asking) == ("tyre-tube", "", 0)


def test_a_bike_that_was_checked_in_at_the_counter_takes_its_rest_up_there(
    cast: Cast, tablet: Client, on: Story
) -> None:
    """Whoever checked it in did not know of the rest: the job's own page leads to it. Nothing is left where all would wait."""
    put_off(tablet, on)
    leaves(on)
    new = come_back(CameBackRequest(on.job, "something else"), by=on.first, key=on.key(), now=NOW)
    here = Story(new, on.tag, on.first, on.second)
    assert "the rest of the stay before: take it up" in page(tablet, here, "came-up")
    assert f"/job/{new}/came-up/take-up/" in tablet.get(f"/bike/{on.tag}/").content.decode()
    go(tablet, here, "take-up")
    (line,) = estimate(here.record).lines
    assert line.answer == "agreed"
    said = {f"line-{line.id}": "1", "day": f"{DAY}"}
    assert "Nothing would be left" in refused(tablet, here, "split", **said)


@pytest.mark.parametrize("answered", [False, True])
def test_work_that_was_put_on_at_the_counter_already_is_not_there_twice(
    cast: Cast, tablet: Client, on: Story, answered: bool
) -> None:
    """The same tyre at the same wheel is one line; what the owner said to it here is not said over."""
    put_off(tablet, on)
    leaves(on)
    new = come_back(CameBackRequest(on.job, "something else"), by=on.first, key=on.key(), now=NOW)
    here = Story(new, on.tag, on.first, on.second)
    propose(ProposeRequest(new, "tyre-tube", place="rear"), by=on.first, key=on.key(), now=NOW)
    if answered:
        ask_owner(PriceRequest(new), by=on.first, key=on.key(), now=NOW)
        said = dict.fromkeys(lines_of(here).values(), False)
        answer(AnswerRequest(new, said, "by phone"), by=on.first, key=on.key(), now=NOW)
    go(tablet, here, "take-up")
    (line,) = estimate(here.record).lines
    assert (line.operation, line.answer) == ("tyre-tube", "declined" if answered else "agreed")
    assert rest_of(on.record) is None and [one.line for one in wanted_of(here.record)] == [line.id]


def test_nobody_says_agreed_before_of_what_no_stay_before_agreed_to(cast: Cast) -> None:
    """It is the word of the act that goes on with the rest alone."""
    told = cast.story
    propose(ProposeRequest(told.job, "chain"), by=told.first, key=told.key(), now=NOW)
    ask_owner(PriceRequest(told.job), by=told.first, key=told.key(), now=NOW)
    said = AnswerRequest(told.job, {lines_of(told)["chain"]: True}, AGREED_BEFORE)
    with pytest.raises(InputRefused, match="Choose one"):
        answer(said, by=told.first, key=told.key(), now=NOW)
