"""The cast and a bike at each stage, made by the use cases; light ones, so that every screen can be asked every question."""

from collections.abc import Callable
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from pinchbolt.records.models import Person
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner
from pinchbolt.workshop.leaving.bill import ReverseRequest, reverse_bill, standing_bill
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.sign_off import (
    LookRequest,
    SignOffRequest,
    look_at_item,
    sign_off,
    sign_off_list,
)
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.payments import PaymentRequest, note_payment
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.start_work import (
    AsideRequest,
    LineDoneRequest,
    StandRequest,
    finish_line,
    set_aside,
    start_work,
)
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint
from tests import story
from tests.kept_stages import kept
from tests.story import PASSPHRASE, STEM, Story

BACKEND = "pinchbolt.serving.sign_in.PassphraseBackend"


@pytest.fixture
def arrived(db: None) -> Story:
    """A gravel bike that was checked in today."""
    return story.checked_in("gravel-1x")


def client_of(sign_in: str) -> Client:
    """A tablet on which this person is signed in."""
    client = Client()
    client.force_login(Person.objects.get(sign_in=sign_in), backend=BACKEND)
    return client


@pytest.fixture
def ines(arrived: Story) -> Client:
    """A mechanic's tablet."""
    return client_of("ines")


@pytest.fixture
def tobias(arrived: Story) -> Client:
    """The other mechanic's tablet."""
    return client_of("tobias")


@pytest.fixture
def wren(arrived: Story) -> Client:
    """The tablet at the counter."""
    Person.objects.make("wren", "Wren Abara", "counter", PASSPHRASE)
    return client_of("wren")


def at_work(job: int, rest: str = "") -> str:
    """The address of the work of a job, or of what lies below it."""
    return reverse("work", args=[job]) + rest


def key() -> str:
    """A request mark that was not used yet."""
    return uuid4().hex


@kept
def asked_for(on: Story) -> Story:
    """Something unsafe found by eye, a tyre for it, a chain on the owner's wish; the owner is asked."""
    now = timezone.now()
    seen = note_finding(
        FindingRequest(on.job, "Cut through the casing.", "unsafe to ride"),
        by=on.first,
        key=on.key(),
        now=now,
    )
    propose(ProposeRequest(on.job, "tyre-tube", seen.id, place="rear"), by=on.first, key=on.key(), now=now)
    propose(ProposeRequest(on.job, "chain"), by=on.first, key=on.key(), now=now)
    ask_owner(PriceRequest(on.job), by=on.first, key=on.key(), now=now)
    return on


def lines_of(on: Story) -> dict[str, int]:
    """The lines of a job by their operation."""
    return {line.operation: line.pk for line in on.record.lines.filter(event__corrected_by__isnull=True)}


@kept
def started(on: Story, *declined: str) -> Story:
    """The lines are answered and the work has begun on stand 1, the stem's joint on the sheet with its markings."""
    now = timezone.now()
    asked_for(on)
    said = {line: operation not in declined for operation, line in lines_of(on).items()}
    answer(AnswerRequest(on.job, said, "by phone"), by=on.first, key=on.key(), now=now)
    start_work(StandRequest(on.job, 1), by=on.first, key=on.key(), now=now)
    add_joint(AddJointRequest(on.job, STEM), by=on.first, key=on.key(), now=now)
    for part, most in story.MARKED.items():
        read_marking(MarkingRequest(on.tag, STEM, part, most), by=on.first, key=on.key(), now=now)
    return on


@kept
def waits_for_part(on: Story) -> Story:
    """Set aside for a part."""
    set_aside(AsideRequest(on.job, "part", "tray 4"), by=on.first, key=on.key(), now=timezone.now())
    return on


@kept
def looked_over(on: Story) -> Story:
    """The owner wants a chain only; it is fitted, and Ines has looked at the whole bike and the whole list."""
    now = timezone.now()
    propose(ProposeRequest(on.job, "chain"), by=on.first, key=on.key(), now=now)
    ask_owner(PriceRequest(on.job), by=on.first, key=on.key(), now=now)
    line = lines_of(on)["chain"]
    answer(AnswerRequest(on.job, {line: True}), by=on.first, key=on.key(), now=now)
    start_work(StandRequest(on.job, 1), by=on.first, key=on.key(), now=now)
    finish_line(LineDoneRequest(on.job, line), by=on.first, key=on.key(), now=now)
    confirm_corner(ConfirmRequest(on.tag), by=on.first, key=on.key(), now=now)
    items = tuple(item.id for item in sign_off_list(on.record, now).items)
    look_at_item(LookRequest(on.job, items), by=on.first, key=on.key(), now=now)
    return on


@kept
def with_brake_work(on: Story) -> Story:
    """Both brakes are set as well, which two pairs of eyes look at; Ines has looked."""
    looked_over(on)
    now = timezone.now()
    line = propose(
        ProposeRequest(on.job, "brake-adjust", place="rear"), by=on.first, key=on.key(), now=now
    ).line
    ask_owner(PriceRequest(on.job), by=on.first, key=on.key(), now=now)
    answer(AnswerRequest(on.job, {line: True}), by=on.first, key=on.key(), now=now)
    items = tuple(item.id for item in sign_off_list(on.record, now).items)
    look_at_item(LookRequest(on.job, items), by=on.first, key=on.key(), now=now)
    return on


@kept
def looked_twice(on: Story) -> Story:
    """Tobias took the second look; nothing stands open."""
    looked_over(on)
    now = timezone.now()
    twice = tuple(item.id for item in sign_off_list(on.record, now).items if item.needs_second)
    if twice:
        look_at_item(LookRequest(on.job, twice, second=True), by=on.second, key=on.key(), now=now)
    return on


@kept
def ready(on: Story) -> Story:
    """Signed off."""
    looked_twice(on)
    sign_off(SignOffRequest(on.job), by=on.second, key=on.key(), now=timezone.now())
    return on


@kept
def gone(on: Story) -> Story:
    """Handed over and paid by card."""
    ready(on)
    hand_over(HandOverRequest(on.job, paid="card"), by=on.first, key=on.key(), now=timezone.now())
    return on


@kept
def bill_back(on: Story) -> Story:
    """Its bill was taken back."""
    gone(on)
    bill = standing_bill(on.record)
    assert bill is not None
    asked = ReverseRequest(bill.number, "wrong owner")
    reverse_bill(asked, by=on.first, key=on.key(), now=timezone.now())
    return on


@kept
def deposited(on: Story) -> Story:
    """A deposit was left."""
    asked = PaymentRequest(on.job, "deposit", Decimal(40), "cash")
    note_payment(asked, by=on.first, key=on.key(), now=timezone.now())
    return on


Stage = Callable[[Story], Story]
