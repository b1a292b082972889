"""The price told is the price agreed: whatever the shop changes afterwards, whoever declines what, and at both ends of a bike."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Job, Line, Workshop
from pinchbolt.workshop.acts.money_terms import BillTermsRequest, TaxRequest, set_bill_terms, set_tax
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.common import trade_tables
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.stays._asking import askings_of
from pinchbolt.workshop.stays.answer import WITHIN_LIMIT, AnswerRequest, answer
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, LetOffRequest, give_back, let_off
from pinchbolt.workshop.stays.own_lines import MinutesRequest, set_minutes
from pinchbolt.workshop.stays.price import EstimateView, PriceRequest, ask_owner, estimate, line_words
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.say_limit import LimitRequest, say_limit
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from tests import story
from tests.story import NOW, Story
from tests.workshop.build_story import part_on, read

pytestmark = pytest.mark.django_db
D = Decimal


def put_on(at: Story, operation: str, place: str = "", finding: int | None = None) -> int:
    """A line on the estimate."""
    asked = ProposeRequest(at.job, operation, finding, place=place)
    return propose(asked, by=at.first, key=at.key(), now=NOW).line


def ask(at: Story) -> EstimateView:
    """The owner is asked."""
    return ask_owner(PriceRequest(at.job), by=at.first, key=at.key(), now=NOW)


def answers(at: Story, said: dict[int, bool], how: str = "by phone") -> EstimateView:
    """The owner answers."""
    return answer(AnswerRequest(at.job, said, how), by=at.first, key=at.key(), now=NOW)


def do(at: Story, *lines: int) -> None:
    """The work is started and these lines are done."""
    start_work(StandRequest(at.job, 1), by=at.first, key=at.key(), now=NOW)
    for line in lines:
        finish_line(LineDoneRequest(at.job, line), by=at.first, key=at.key(), now=NOW)


@pytest.fixture
def owner_of_shop(arrived: Story) -> int:
    """Somebody who may change the terms."""
    from pinchbolt.records.models import Person

    return Person.objects.make("orla", "Orla Penhale", "owner of the workshop", "glue before paint").pk


def totals(seen: EstimateView) -> list[Decimal]:
    """Every sum that a paper could print."""
    sums = (seen.priced, seen.agreed, seen.to_pay)
    return [x for one in sums for x in (one.price, one.saved, one.total, one.high_total, one.tax)]


def test_what_was_agreed_stays_whatever_the_shop_changes(
    arrived: Story, owner_of_shop: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Labour 54 to 72, tax 20 to 25.5, other minutes, the operation off the menu: the agreed price is the price that was asked."""
    chain, cassette = put_on(arrived, "chain"), put_on(arrived, "cassette")
    ask(arrived)
    before = totals(answers(arrived, {chain: True, cassette: True}))
    Workshop.objects.update(labour_an_hour=D("72.00"))
    set_tax(TaxRequest("standard", D("25.5"), NOW.date()), by=owner_of_shop, key=arrived.key(), now=NOW)
    assert totals(estimate(arrived.record)) == before
    shorter = replace(tables().operations["chain"], minutes=(30, 60, 90))
    without = {name: row for name, row in tables().operations.items() if name != "cassette"} | {
        "chain": shorter
    }
    monkeypatch.setattr(trade_tables, "tables", lambda: replace(tables(), operations=without))
    monkeypatch.setattr(
        "pinchbolt.workshop.stays._operation_here.tables", lambda: replace(tables(), operations=without)
    )
    assert totals(estimate(arrived.record)) == before


def test_who_declines_one_line_pays_no_more_for_another(arrived: Story) -> None:
    """The line that carried the shared work is declined: the others cost what was told, and the lines add up to the sum."""
    lines = [put_on(arrived, operation) for operation in ("chain", "cassette", "headset-adjust")]
    told = {line.id: line.money for line in ask(arrived).lines}
    seen = answers(arrived, {lines[0]: False, lines[1]: True, lines[2]: True})
    assert {line.id: line.money for line in seen.lines} == told
    assert seen.agreed.total == told[lines[1]].total + told[lines[2]].total
    assert seen.agreed.price - seen.agreed.saved == seen.agreed.total
    assert told[lines[1]].saved > 0


def test_a_line_that_comes_later_moves_no_price_that_was_told(arrived: Story) -> None:
    """An unsafe finding sorts first: what was told stays, the new line is spared what is shared, and it must be asked."""
    chain = put_on(arrived, "chain")
    told = ask(arrived).lines[0].money
    tyre = part_on(arrived, "tyre", "rear")
    read(arrived, tyre, "tyre-cut", word="yes")
    found = tyre.findings.get()
    operation = "tyre-tubeless" if part_is_tubeless(arrived) else "tyre-tube"
    late = put_on(arrived, operation, finding=found.pk)
    seen = {line.id: line for line in estimate(arrived.record).lines}
    assert seen[chain].money == told and seen[late].asking == 0 and seen[late].money.saved > 0
    with pytest.raises(NotPossibleNow, match="was put on the estimate after the owner was asked"):
        answers(arrived, {chain: True, late: True})
    ask(arrived)
    assert estimate(arrived.record).askings[-1].number == 2
    answers(arrived, {chain: True, late: True})


def part_is_tubeless(at: Story) -> bool:
    """Whether this bike's tyres hold without tubes."""
    return any(part.kind == "sealant" for part in parts_on(at.record.bike))


def test_a_line_that_was_taken_off_leaves_the_others_as_they_were_told(arrived: Story) -> None:
    """The chain told beside a cassette costs the same once the cassette is withdrawn."""
    from pinchbolt.workshop.stays.propose import WithdrawRequest, withdraw

    cassette, chain = put_on(arrived, "cassette"), put_on(arrived, "chain")
    told = {line.id: line.money for line in ask(arrived).lines}
    withdraw(WithdrawRequest(arrived.job, cassette), by=arrived.first, key=arrived.key(), now=NOW)
    assert [line.money for line in estimate(arrived.record).lines] == [told[chain]]


def test_to_pay_is_what_was_agreed_and_done(arrived: Story) -> None:
    """One of two agreed lines is done: its price alone; nothing done, nothing to pay."""
    chain, cassette = put_on(arrived, "chain"), put_on(arrived, "cassette")
    ask(arrived)
    assert answers(arrived, {chain: True, cassette: True}).to_pay.total == 0
    do(arrived, chain)
    seen = estimate(arrived.record)
    assert seen.to_pay.total == next(line.money.total for line in seen.lines if line.id == chain)


def test_a_done_line_is_not_declined_but_taken_off_in_the_open(arrived: Story) -> None:
    """The refusal says who did it; let off with a reason it stays among the done."""
    chain, cassette = put_on(arrived, "chain"), put_on(arrived, "cassette")
    ask(arrived)
    answers(arrived, {chain: True, cassette: True})
    do(arrived, chain)
    with pytest.raises(NotPossibleNow, match="is done, by Ines Holloway: the answer to it stays"):
        answers(arrived, {chain: False})
    with pytest.raises(InputRefused, match="Fill in why the owner does not pay"):
        let_off(LetOffRequest(arrived.job, chain, " "), by=arrived.first, key=arrived.key(), now=NOW)
    let_off(LetOffRequest(arrived.job, chain, "our work again"), by=arrived.first, key=arrived.key(), now=NOW)
    assert estimate(arrived.record).to_pay.total == 0
    assert [done.words for done in handover_sheet(arrived.record, NOW).work] == ["new chain"]


def test_an_agreed_line_that_can_not_be_done_is_given_back_with_a_reason(arrived: Story) -> None:
    """The part never came: nobody writes a decline that the owner never said, and the sign-off no longer waits for it."""
    chain, cassette = put_on(arrived, "chain"), put_on(arrived, "cassette")
    ask(arrived)
    answers(arrived, {chain: True, cassette: True})
    do(arrived, chain)
    waits = "Agreed but not done: new cassette."
    assert waits in sign_off_list(arrived.record, NOW).stops
    back = GiveBackRequest(arrived.job, cassette, "the part never came")
    give_back(back, by=arrived.first, key=arrived.key(), now=NOW)
    assert waits not in sign_off_list(arrived.record, NOW).stops
    line = next(line for line in estimate(arrived.record).lines if line.id == cassette)
    assert (line.answer, line.reason) == ("given back", "the part never came")
    with pytest.raises(NotPossibleNow, match="The owner has not agreed"):
        finish_line(LineDoneRequest(arrived.job, cassette), by=arrived.first, key=arrived.key(), now=NOW)


@pytest.mark.parametrize("limit", [None, D("30"), D("50")])
def test_within_the_limit_is_no_answer_over_the_limit(arrived: Story, limit: Decimal | None) -> None:
    """Checked in money, at the high figure, of all that is agreed; a limit that the owner names anew is an act."""
    say_limit(LimitRequest(arrived.job, limit), by=arrived.first, key=arrived.key(), now=NOW)
    chain = put_on(arrived, "chain")
    most = ask(arrived).priced.high_total
    assert most > 50
    with pytest.raises(InputRefused, match=r"at most, and (no limit was agreed|the limit is £[35]0\.00)"):
        answers(arrived, {chain: True}, WITHIN_LIMIT)
    say_limit(LimitRequest(arrived.job, most), by=arrived.first, key=arrived.key(), now=NOW)
    assert answers(arrived, {chain: True}, WITHIN_LIMIT).agreed.high_total == most
    cassette = put_on(arrived, "cassette")
    ask(arrived)
    with pytest.raises(InputRefused, match="ask the owner, or write down the new limit"):
        answers(arrived, {cassette: True}, WITHIN_LIMIT)


def test_an_answer_within_the_limit_names_the_limit_that_it_was(arrived: Story) -> None:
    """Of the check-in, or of the day on which the owner said another; a page of before still sends the words of then."""
    first, second = put_on(arrived, "chain"), put_on(arrived, "headset-adjust")
    most = ask(arrived).priced.high_total
    Job.objects.filter(pk=arrived.job).update(spend_limit=most)
    answers(arrived, {first: True}, f"{WITHIN_LIMIT} at check-in")
    say_limit(LimitRequest(arrived.job, most + 1), by=arrived.first, key=arrived.key(), now=NOW)
    said = {line.id: line.answered_how for line in answers(arrived, {second: True}, WITHIN_LIMIT).lines}
    assert said == {
        first: "within the limit agreed at check-in",
        second: "within the limit agreed on 25 Nov 2026",
    }


def test_up_to_a_sum_takes_the_worst_first(arrived: Story) -> None:
    """'Up to 120, you choose': what is agreed never passes the sum at its high figure."""
    for operation in ("chain", "cassette", "headset-adjust"):
        put_on(arrived, operation)
    ask(arrived)
    said = AnswerRequest(arrived.job, {}, "by phone", up_to=D("120"))
    seen = answer(said, by=arrived.first, key=arrived.key(), now=NOW)
    assert seen.open_answers == 0 and 0 < seen.agreed.high_total <= 120


def test_a_price_that_ran_out_is_asked_again(arrived: Story) -> None:
    """After its last day a yes is refused; the next asking tells the price of that day."""
    chain = put_on(arrived, "chain")
    ask(arrived)
    later = NOW + timedelta(days=15)
    said = AnswerRequest(arrived.job, {chain: True})
    with pytest.raises(NotPossibleNow, match="held until 09 Dec 2026: ask the owner again"):
        answer(said, by=arrived.first, key=arrived.key(), now=later)
    Workshop.objects.update(labour_an_hour=D("60"))
    first, again = (
        estimate(arrived.record),
        ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=later),
    )
    assert again.priced.total > first.priced.total
    answer(said, by=arrived.first, key=arrived.key(), now=later)
    assert [one.number for one in askings_of(arrived.record)] == [1, 2]


def test_an_asking_repeats_the_prices_that_still_hold(arrived: Story) -> None:
    """Asked again within its days: a dearer hour does not move what was told."""
    put_on(arrived, "chain")
    first = ask(arrived).lines[0].money
    Workshop.objects.update(labour_an_hour=D("90"))
    assert ask(arrived).lines[0].money == first


def test_one_brake_is_one_brake(arrived: Story) -> None:
    """On the owner's wish the end is asked before anything is written, and the other end keeps its parts and their history."""
    with pytest.raises(InputRefused, match="is done at one end: front or rear") as refused:
        put_on(arrived, "pads-disc")
    assert "place" in refused.value.errors and not Line.objects.exists()
    before = {part.place: part.pk for part in parts_on(arrived.record.bike) if part.kind == "pads"}
    line = put_on(arrived, "pads-disc", "rear")
    ask(arrived)
    answers(arrived, {line: True})
    do(arrived, line)
    after = {part.place: part.pk for part in parts_on(arrived.record.bike) if part.kind == "pads"}
    assert after["front"] == before["front"] and after["rear"] != before["rear"]


def test_both_brakes_can_be_bled(arrived: Story) -> None:
    """Two ends are two lines; the same end twice is refused."""
    put_on(arrived, "bleed", "front")
    put_on(arrived, "bleed", "rear")
    with pytest.raises(NotPossibleNow, match=", rear, is on the estimate already"):
        put_on(arrived, "bleed", "rear")
    assert {line.place for line in estimate(arrived.record).lines} == {"front", "rear"}


def test_three_spokes_are_one_line_of_three(arrived: Story) -> None:
    """The wheel comes out once; each further spoke takes the rest of the minutes, and a spoke."""
    one = put_on(arrived, "spoke-replace", "front")
    asked = ProposeRequest(arrived.job, "spoke-replace", place="rear", count=3)
    three = propose(asked, by=arrived.first, key=arrived.key(), now=NOW).line
    money = {line.id: line.money for line in estimate(arrived.record).lines}
    assert sum(part.count for part in money[three].parts) == 3
    assert money[one].labour < money[three].labour < 3 * money[one].labour


def test_minutes_set_by_hand_are_those_of_all_three(arrived: Story) -> None:
    """Three spokes in fifty minutes: the line, its words and its parts still say three, the labour is that of fifty minutes."""
    asked = ProposeRequest(arrived.job, "spoke-replace", place="rear", count=3)
    line = propose(asked, by=arrived.first, key=arrived.key(), now=NOW).line
    set_minutes(MinutesRequest(arrived.job, line, 50), by=arrived.first, key=arrived.key(), now=NOW)
    (seen,) = estimate(arrived.record).lines
    assert (seen.money.count, seen.money.minutes.usual, seen.money.labour) == (3, 50, D("45.00"))
    assert line_words(seen).startswith("3 × ") and "3 x " in seen.money.reasons[0].words
    assert sum(part.count for part in seen.money.parts) == 3


def test_a_finding_that_was_not_answered_stays_though_its_twin_was_done() -> None:
    """Pads worn at both ends, the front done, the rear declined: the rear still stands on the handover sheet."""
    from pinchbolt.paper.handover.handover_paper import handover_values

    there = story.checked_in()
    lines = {}
    for end in ("front", "rear"):
        pads = part_on(there, "pads", end)
        read(there, pads, "disc-pad-lining-resin", value=0.4)
        lines[end] = put_on(there, "pads-disc", finding=pads.findings.get().pk)
    ask(there)
    answers(there, {lines["front"]: True, lines["rear"]: False})
    do(there, lines["front"])
    still = handover_values(there.job, NOW)["findings"]
    assert [one["title"] for one in still] and all("rear" in one["title"] for one in still)  # type: ignore[index,union-attr]


def test_work_that_was_agreed_goes_on_while_another_line_waits(arrived: Story) -> None:
    """One unanswered line held all the others."""
    chain = put_on(arrived, "chain")
    put_on(arrived, "cassette")
    ask(arrived)
    answers(arrived, {chain: True})
    do(arrived, chain)
    assert estimate(arrived.record).open_answers == 1


def test_a_line_inside_another_is_said(arrived: Story) -> None:
    """Chain, and chain with cassette: twice the same chain."""
    put_on(arrived, "chain")
    both = put_on(arrived, "chain-and-cassette")
    seen = next(line for line in estimate(arrived.record).lines if line.id == both)
    assert "chain: also in “new chain”." in seen.inside


@pytest.mark.parametrize(
    ("currency", "each", "fits"),
    [("JPY", "1800.5", False), ("JPY", "1800", True), ("KWD", "1.255", True), ("GBP", "1.255", False)],
)
def test_a_price_is_in_the_coins_of_the_currency(db: None, currency: str, each: str, fits: bool) -> None:
    """A price finer than the coin was taken, and no page of the job opened any more."""
    there = story.checked_in("gravel-1x")
    Workshop.objects.update(currency=currency)
    asked = ProposeRequest(there.job, "bar-tape-bars", parts=(LinePart("tape", D(each)),))
    if fits:
        propose(asked, by=there.first, key=there.key(), now=NOW)
        assert estimate(there.record).lines[0].money.parts_total == D(each)
    else:
        with pytest.raises(InputRefused, match=f"tape costs {each}"):
            propose(asked, by=there.first, key=there.key(), now=NOW)


def test_tax_is_by_class_and_from_its_day(arrived: Story, owner_of_shop: int) -> None:
    """A reduced rate on a part from tomorrow on: today's asking has the old one."""
    for name, percent, day in (
        ("reduced", "7", NOW.date()),
        ("reduced", "9", NOW.date() + timedelta(days=1)),
    ):
        set_tax(TaxRequest(name, D(percent), day), by=owner_of_shop, key=arrived.key(), now=NOW)
    part = LinePart("child helmet", D("10.70"), 1, "reduced")
    asked = ProposeRequest(arrived.job, "bar-tape-bars", parts=(part,))
    propose(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert [(row.rate, row.tax) for row in ask(arrived).priced.taxes if row.rate == 7] == [
        (D("7"), D("0.70"))
    ]


def test_a_shop_that_is_not_registered_has_no_tax(arrived: Story, owner_of_shop: int) -> None:
    """Not a tax of 0.00: none."""
    set_bill_terms(BillTermsRequest(is_registered=False), by=owner_of_shop, key=arrived.key(), now=NOW)
    put_on(arrived, "chain")
    assert ask(arrived).priced.taxes == ()


def test_a_limit_in_a_currency_without_pennies_is_whole(db: None) -> None:
    """The check-in took two decimals in any currency."""
    there = story.checked_in()
    Workshop.objects.update(currency="JPY")
    asked = CheckInRequest(template="child", owner_name="Marit Oakfold", spend_limit=D("80.5"))
    with pytest.raises(InputRefused, match="in steps of 1"):
        check_in(asked, by=there.first, key=there.key(), now=NOW)
