"""Texts to the owner: figures of the asking, at most always said, in the letters of a text message; and who was not reached."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Bike, Event, Person, SentText
from pinchbolt.values.money import money_text
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.money_terms import BillTermsRequest, set_bill_terms
from pinchbolt.workshop.leaving.shop_day import job_view
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.owner_texts import (
    NotReachedRequest,
    TextRequest,
    owner_texts,
    send_text,
    text_parts,
    tries_of,
    try_owner,
)
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from tests.story import NOW, TODAY, Story, checked_in


def test_the_asking_says_every_sum_and_what_it_comes_to_at_most(asked_for: Story) -> None:
    """Two parts, no link, the figures of the asking."""
    seen, (asking, reminder) = estimate(asked_for.record), owner_texts(asked_for.record, TODAY)
    assert asking.kind == "asking" and reminder.kind == "reminder"
    for line in seen.lines:
        assert money_text(line.money.price, "GBP") in asking.text
    assert f"at most {money_text(seen.priced.high_total, 'GBP')}" in asking.text
    assert asking.text.index("Needed before you ride") < asking.text.index("Can wait")
    assert "Please do not ride it" in reminder.text and "prices hold until Wed 9 Dec" in reminder.text
    assert not re.search(r"[a-z0-9]\. [a-z]", asking.text + reminder.text), "a sentence begins small"
    assert all(draft.parts <= 4 and draft.letters == len(draft.text) for draft in (asking, reminder))


def test_what_was_found_on_the_stand_says_what_it_adds(arrived: Story) -> None:
    """Agreed so far, the new line, and the sum of both."""
    for operation in ("chain", "wash"):
        line = propose(
            ProposeRequest(arrived.job, operation), by=arrived.first, key=arrived.key(), now=NOW
        ).line
        ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)
        if operation == "chain":
            answer(AnswerRequest(arrived.job, {line: True}), by=arrived.first, key=arrived.key(), now=NOW)
    seen, (found, _) = estimate(arrived.record), owner_texts(arrived.record, TODAY)
    assert found.kind == "found on the stand"
    assert f"New since you agreed {money_text(seen.agreed.total, 'GBP')}" in found.text
    assert f"That makes {money_text(seen.priced.total, 'GBP')}, at most" in found.text


def test_nothing_is_drafted_before_the_owner_is_asked_or_after_all_is_answered(arrived: Story) -> None:
    """A text has the figures of an asking."""
    line = propose(ProposeRequest(arrived.job, "chain"), by=arrived.first, key=arrived.key(), now=NOW).line
    assert owner_texts(arrived.record, TODAY) == ()
    ask_owner(PriceRequest(arrived.job), by=arrived.first, key=arrived.key(), now=NOW)
    answer(AnswerRequest(arrived.job, {line: True}), by=arrived.first, key=arrived.key(), now=NOW)
    assert owner_texts(arrived.record, TODAY) == ()


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("a" * 160, 1),
        ("a" * 161, 2),
        ("a" * 306, 2),
        ("a" * 307, 3),
        ("€" * 80, 1),
        ("€" * 81, 2),
        ("ż" * 70, 1),
        ("ż" * 71, 2),
    ],
)
def test_how_many_messages_a_text_takes(text: str, parts: int) -> None:
    """160 and 153, 70 and 67; the euro counts twice. 3GPP TS 23.038 and 23.040 (from memory)."""
    assert text_parts(text) == parts


def test_a_sent_text_is_kept_apart_from_its_event(asked_for: Story) -> None:
    """It goes when the owner is erased; the event stays and holds no word of it."""
    draft = owner_texts(asked_for.record, TODAY)[0]
    sent = TextRequest(asked_for.job, draft.kind, draft.text)
    send_text(sent, by=asked_for.first, key=asked_for.key(), now=NOW)
    assert SentText.objects.get().text == draft.text
    assert draft.text[:30] not in str(Event.objects.get(kind="text sent").said)
    with pytest.raises(InputRefused, match="Fill in the text"):
        send_text(TextRequest(asked_for.job, "asking", " "), by=asked_for.first, key=asked_for.key(), now=NOW)


def test_the_shop_day_says_how_long_an_asking_waits(asked_for: Story) -> None:
    """Its age, the tries, the day to remind, and that it ran out."""

    def words(days: int) -> str:
        return job_view(job_by_id(asked_for.job), NOW + timedelta(days=days)).waits_words

    assert words(0) == "asked today."
    try_owner(NotReachedRequest(asked_for.job, "phone"), by=asked_for.first, key=asked_for.key(), now=NOW)
    assert words(1) == "asked 1 day ago, tried once."
    assert words(3) == "asked 3 days ago, tried once. Remind them."
    assert words(15) == "asked 15 days ago: the price ran out, ask again."
    assert [one.what for one in tries_of(asked_for.record)] == ["tried, not reached"]


def test_the_terms_of_bills_are_in_days_and_papers(arrived: Story) -> None:
    """What is out of range is refused, and nothing of it is written."""
    orla = Person.objects.make("orla", "Orla Penhale", "owner of the workshop", "glue before paint").pk
    seen = set_bill_terms(BillTermsRequest(holds_days=7), by=orla, key=arrived.key(), now=NOW)
    assert (seen.holds_days, seen.tax["standard"]) == (7, Decimal(20))
    for bad in (
        BillTermsRequest(holds_days=0),
        BillTermsRequest(paper="a5"),
        BillTermsRequest(phone="0" * 41),
    ):
        with pytest.raises(InputRefused):
            set_bill_terms(bad, by=orla, key=arrived.key(), now=NOW)


def test_two_bikes_of_one_owner_are_asked_in_one_text(asked_for: Story) -> None:
    """Each bike by its tag with its sum, one total; it is gone when one of the two is answered."""
    owner = job_by_id(asked_for.job).bike.tag
    taken = check_in(
        CheckInRequest(template="city-hub-gear", owner_of=owner),
        by=asked_for.first,
        key=asked_for.key(),
        now=NOW,
    )
    other = Story(taken.job, taken.tag, asked_for.first, asked_for.second)
    propose(ProposeRequest(other.job, "safety-check"), by=other.first, key=other.key(), now=NOW)
    ask_owner(PriceRequest(other.job), by=other.first, key=other.key(), now=NOW)
    drafts = {one.kind: one.text for one in owner_texts(job_by_id(asked_for.job), TODAY)}
    totals = [estimate(job_by_id(job), TODAY).priced.total for job in (asked_for.job, other.job)]
    text = drafts["all their bikes"]
    assert asked_for.tag in text and other.tag in text
    assert f"Together {money_text(sum(totals, Decimal(0)), 'GBP')}" in text
    line = estimate(job_by_id(other.job), TODAY).lines[0].id
    answer(AnswerRequest(other.job, {line: True}), by=other.first, key=other.key(), now=NOW)
    assert "all their bikes" not in {one.kind for one in owner_texts(job_by_id(asked_for.job), TODAY)}


@pytest.mark.parametrize(("words", "said"), [("grey tourer", "your grey tourer"), ("", "your bike")])
def test_the_asking_names_the_bike_as_the_owner_knows_it(db: None, words: str, said: str) -> None:
    """By the words it was taken in with; "your bike" where the records have none."""
    there = checked_in("tourer", words)
    if not words:
        Bike.objects.filter(tag=there.tag).update(words="")
    propose(ProposeRequest(there.job, "chain"), by=there.first, key=there.key(), now=NOW)
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    asking = owner_texts(there.record, TODAY)[0]
    assert asking.kind == "asking" and f" about {there.tag}, {said}. " in asking.text
