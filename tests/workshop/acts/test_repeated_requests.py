"""A double tap or a retried request changes nothing."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, Part, Tool
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.sign_off import SignOffRequest, sign_off
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import StandRequest, put_on_stand
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.tools.check_tool import (
    HungRequest,
    LookedOverRequest,
    MeasuredRequest,
    ToolCheckRequest,
    TriedRequest,
    check_tool,
    hang_tool,
    look_over_tool,
    measure_tool,
    try_tool,
)
from pinchbolt.workshop.torque.bolt_read import BoltRequest, read_bolt
from pinchbolt.workshop.torque.bolt_round import TickRequest, tick_joint
from tests import story
from tests.story import NOW, STEM, Story


def _acts(there: Story) -> list[object]:
    """One request of each kind that can be repeated on a bike that is on the stand with its work done."""
    chain = Part.objects.filter(fittings__bike=there.record.bike, fittings__end=None, kind="chain").get()
    wash = propose(ProposeRequest(there.job, "wash"), by=there.first, key=there.key(), now=NOW).line
    ask_owner(PriceRequest(there.job), by=there.first, key=there.key(), now=NOW)
    wrench = Tool.objects.get(name__startswith="small click wrench").pk
    key = Tool.objects.create(table_id="hex-5", name="5 mm key").pk
    return [
        (
            take_reading,
            ReadingRequest(
                there.job, chain.pk, story.first_limit(there.tag, chain), value=0.1, distance_km=0.0
            ),
        ),
        (note_finding, FindingRequest(there.job, "Bell is loose.", "next visit")),
        (propose, ProposeRequest(there.job, "bleed", place="front")),
        (ask_owner, PriceRequest(there.job)),
        (answer, AnswerRequest(there.job, {wash: True})),
        (put_on_stand, StandRequest(there.job, 2)),
        (read_bolt, BoltRequest(there.tag, STEM, "8.8", "dry")),
        (tick_joint, TickRequest(there.tag, STEM, True)),
        (check_tool, ToolCheckRequest(wrench, 0.01)),
        (try_tool, TriedRequest(wrench, 2.5, 200.0, 5.0)),
        (measure_tool, MeasuredRequest(key, 4.98, "micrometer")),
        (look_over_tool, LookedOverRequest(key, True)),
        (hang_tool, HungRequest("hex-6")),
    ]


def test_every_use_case_answers_a_repeated_request_as_it_did_and_writes_nothing(on_the_stand: Story) -> None:
    """The same mark and the same words: one act, whatever came in between."""
    done = []
    for use_case, asked in _acts(on_the_stand):
        key = on_the_stand.key()
        done.append((use_case, asked, key, use_case(asked, by=on_the_stand.first, key=key, now=NOW)))
    before = list(Event.objects.values_list())
    for use_case, asked, key, first in done:
        again = use_case(asked, by=on_the_stand.first, key=key, now=NOW)
        assert type(again) is type(first)
    assert list(Event.objects.values_list()) == before


def test_leaving_twice_is_leaving_once(on_the_stand: Story) -> None:
    """Sign-off and handover repeated: the same answer, no further event."""
    story.signed_off(on_the_stand)
    key = on_the_stand.key()
    first = hand_over(
        HandOverRequest(on_the_stand.job, acknowledged=True), by=on_the_stand.first, key=key, now=NOW
    )
    before = Event.objects.count()
    assert (
        hand_over(
            HandOverRequest(on_the_stand.job, acknowledged=True), by=on_the_stand.first, key=key, now=NOW
        )
        == first
    )
    assert Event.objects.count() == before


def test_one_mark_cannot_stand_for_two_acts(arrived: Story) -> None:
    """The same mark with other words, or for another act, is refused."""
    asked = FindingRequest(arrived.job, "Bell is loose.", "next visit")
    note_finding(asked, by=arrived.first, key="one-mark-0001", now=NOW)
    with pytest.raises(InputRefused, match="was used before for something else"):
        note_finding(replace(asked, words="Bell is gone."), by=arrived.first, key="one-mark-0001", now=NOW)
    with pytest.raises(InputRefused, match="was used before for something else"):
        sign_off(SignOffRequest(arrived.job), by=arrived.first, key="one-mark-0001", now=NOW)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    values=st.lists(st.floats(0.0, 1.2, allow_nan=False).map(lambda v: round(v, 2)), min_size=1, max_size=4),
    order=st.randoms(use_true_random=False),
)
def test_retries_in_any_order_leave_one_reading_each(
    arrived: Story, values: list[float], order: object
) -> None:
    """However often and in whatever order requests are retried, each makes one reading."""
    chain = Part.objects.filter(fittings__bike=arrived.record.bike, kind="chain").get()
    before = Event.objects.filter(kind="reading taken").count()
    requests = [(arrived.key(), value) for value in values]
    retried = requests * 2
    order.shuffle(retried)  # type: ignore[attr-defined]
    for key, value in retried:
        asked = ReadingRequest(arrived.job, chain.pk, story.first_limit(arrived.tag, chain), value=value)
        take_reading(asked, by=arrived.first, key=key, now=NOW)
    assert Event.objects.filter(kind="reading taken").count() == before + len(requests)


def test_a_repeated_check_in_opens_one_job(db: None) -> None:
    """A tablet that sent twice does not make two owners."""
    ines, _ = story.open_shop()
    asked = CheckInRequest(template="child", owner_name="Nell Abernook")
    first = check_in(asked, by=ines.pk, key="check-in-twice", now=NOW)
    assert check_in(asked, by=ines.pk, key="check-in-twice", now=NOW) == first
    assert Event.objects.filter(kind="checked in").count() == 1
