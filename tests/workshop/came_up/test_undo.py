"""One tap takes the last act back, as if it had not been; where something stands on it, a sentence says what and what to do."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from random import Random
from typing import Any

import pytest

from pinchbolt.errors import NotAllowed, NotPossibleNow
from pinchbolt.records.models import Event, Fitting, Line, Part, Person
from pinchbolt.workshop.acts.kinds_of_act import ACTS
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.bikes.build_sheet import build_of, parts_on
from pinchbolt.workshop.bikes.move_part import BOTH_WHEELS, MoveRequest, move_part
from pinchbolt.workshop.came_up.undo_act import UndoRequest, acts_today, last_act, undo_act
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.leaving.bill import bills_of
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over, handed_over
from pinchbolt.workshop.leaving.shop_day import job_view
from pinchbolt.workshop.leaving.sign_off import (
    LookRequest,
    ReopenRequest,
    SignOffRequest,
    look_at_item,
    reopen,
    sign_off,
    sign_off_list,
)
from pinchbolt.workshop.rides.owners_things import OwnWheelsRequest, add_own_wheels
from pinchbolt.workshop.stays.agree_visit import VisitRequest, agree_visit
from pinchbolt.workshop.stays.answer import AnswerRequest, answer
from pinchbolt.workshop.stays.job_card import job_card
from pinchbolt.workshop.stays.note_finding import FindingRequest, findings_of, note_finding
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, LetOffRequest, give_back, let_off
from pinchbolt.workshop.stays.owner_texts import (
    NotReachedRequest,
    TextRequest,
    send_text,
    tries_of,
    try_owner,
)
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ProposeRequest, WithdrawRequest, propose, withdraw
from pinchbolt.workshop.stays.say_limit import LimitRequest, limit_of, say_limit
from pinchbolt.workshop.stays.standing import standing_of
from pinchbolt.workshop.stays.start_work import (
    ArrivedRequest,
    AsideRequest,
    LineDoneRequest,
    StandRequest,
    finish_line,
    part_arrived,
    put_on_stand,
    set_aside,
    start_work,
)
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.stays.walk_round import walk_round
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint, joints_of, torque_sheet
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, TODAY, Story

Doing = Callable[[Story], object]


def as_it_stands(on: Story) -> dict[str, object]:
    """Everything that a page of the job says, and the parts on the bike."""
    job = on.record
    # Looked at as a page is: what two of these ask is looked up once.
    with one_look():
        return {
            "job": job_view(job, NOW),
            "estimate": estimate(job, TODAY),
            "standing": {line: (said.agreed, said.how) for line, said in standing_of(job).answers.items()},
            "begun": standing_of(job).may_be_open,
            "card": job_card(job),
            "list": sign_off_list(job, NOW),
            "findings": findings_of(job),
            "joints": joints_of(job),
            "sheet": torque_sheet(job, TODAY),
            "limit": limit_of(job),
            "tries": tries_of(job),
            "build": build_of(job.bike),
            "fittings": sorted(
                Fitting.objects.filter(bike=job.bike).values_list("part", "start", "end", "gone_to")
            ),
            "parts": Part.objects.count(),
            "ended": handed_over(job),
        }


def mark(on: Story) -> dict[str, Any]:
    """Who acts, by a fresh mark."""
    return {"by": on.first, "key": on.key(), "now": NOW}


def line_of(on: Story, at: int = 0) -> int:
    """A line that stands on the estimate."""
    return estimate(on.record, TODAY).lines[at].id


def take_back(on: Story) -> str:
    """Undo the newest act."""
    newest = acts_today(on.record, NOW)[0]
    assert newest.why_not == ""
    return undo_act(UndoRequest(on.job, newest.event), **mark(on))


def chain_line(on: Story) -> int:
    """The agreed line that changes the chain."""
    return Line.objects.get(job=on.job, operation="chain", event__corrected_by__isnull=True).pk


def walked() -> Story:
    """Walked round, and nothing proposed."""
    return story.walked_round(story.checked_in())


def asked() -> Story:
    """The owner is asked."""
    return story.priced(walked())


def agreed() -> Story:
    """All lines are agreed."""
    return story.answered(asked())


@kept
def begun() -> Story:
    """The work has begun."""
    on = agreed()
    start_work(StandRequest(on.job, 1), **mark(on))
    return on


def all_done() -> Story:
    """The work is done."""
    return story.worked(agreed())


@kept
def ready() -> Story:
    """Signed off."""
    return story.signed_off(all_done())


@kept
def waiting() -> Story:
    """It waits for a part."""
    on = begun()
    set_aside(AsideRequest(on.job, "part", "bolts in tray 3"), **mark(on))
    return on


def read(on: Story) -> object:
    """One reading more, which settles nothing."""
    due = next(
        one
        for place in walk_round(on.record, NOW)
        for one in place.readings
        if one.taken is None and one.unit == "yes/no"
    )
    return take_reading(ReadingRequest(on.job, due.part, due.limit, None, word="no"), **mark(on))


# Each kind of act that can be taken back, from where it is done, and doing it.
DOINGS: dict[str, tuple[Callable[[], Story], Doing]] = {
    "reading taken": (walked, read),
    "found": (
        walked,
        lambda on: note_finding(FindingRequest(on.job, "Bell loose.", "next visit"), **mark(on)),
    ),
    "proposed": (walked, lambda on: propose(ProposeRequest(on.job, "safety-check"), **mark(on))),
    "withdrawn": (asked, lambda on: withdraw(WithdrawRequest(on.job, line_of(on)), **mark(on))),
    "priced": (
        lambda: _with_line(walked()),
        lambda on: ask_owner(PriceRequest(on.job), **mark(on)),
    ),
    "answered": (agreed, lambda on: answer(AnswerRequest(on.job, {line_of(on): False}), **mark(on))),
    "limit said": (asked, lambda on: say_limit(LimitRequest(on.job, Decimal("80")), **mark(on))),
    "visit agreed": (
        asked,
        lambda on: agree_visit(VisitRequest(on.job, TODAY + timedelta(days=28)), **mark(on)),
    ),
    "owner tried": (asked, lambda on: try_owner(NotReachedRequest(on.job), **mark(on))),
    "text sent": (asked, lambda on: send_text(TextRequest(on.job, "asking", "Reply ALL."), **mark(on))),
    "line given back": (
        begun,
        lambda on: give_back(GiveBackRequest(on.job, line_of(on), "no part"), **mark(on)),
    ),
    "line let off": (all_done, lambda on: let_off(LetOffRequest(on.job, line_of(on), "ours"), **mark(on))),
    "put on stand": (walked, lambda on: put_on_stand(StandRequest(on.job, 2), **mark(on))),
    "work started": (agreed, lambda on: start_work(StandRequest(on.job, 2), **mark(on))),
    "set aside": (begun, lambda on: set_aside(AsideRequest(on.job, "owner"), **mark(on))),
    "part arrived": (waiting, lambda on: part_arrived(ArrivedRequest(on.job), **mark(on))),
    "joint added": (begun, lambda on: add_joint(AddJointRequest(on.job, _not_on_sheet(on)), **mark(on))),
    "done value": (
        begun,
        lambda on: tighten_by_hand(DoneByHandRequest(on.job, _by_hand(on)), **mark(on)),
    ),
    "line done": (begun, lambda on: finish_line(LineDoneRequest(on.job, chain_line(on)), **mark(on))),
    "list looked at": (
        all_done,
        lambda on: look_at_item(
            LookRequest(on.job, (sign_off_list(on.record, NOW).items[0].id,)), **mark(on)
        ),
    ),
    "signed off": (lambda: story.looked(all_done()), lambda on: sign_off(SignOffRequest(on.job), **mark(on))),
    "reopened": (ready, lambda on: reopen(ReopenRequest(on.job, "bell forgotten"), **mark(on))),
    "handed over": (ready, lambda on: hand_over(HandOverRequest(on.job, acknowledged=True), **mark(on))),
}


def _with_line(on: Story) -> Story:
    propose(ProposeRequest(on.job, "safety-check"), **mark(on))
    return on


def _not_on_sheet(on: Story) -> str:
    return next(name for name in story.joints_on(on.tag) if name not in joints_of(on.record))


def _by_hand(on: Story) -> str:
    return next(one.joint for one in torque_sheet(on.record, TODAY) if one.by_hand)


@pytest.mark.django_db
@pytest.mark.parametrize("kind", DOINGS)
def test_after_act_and_undo_all_is_as_before(kind: str) -> None:
    """Every page of the job, its torque sheet, its list and the parts on the bike say again what they said."""
    start, do = DOINGS[kind]
    on = start()
    before = as_it_stands(on)
    do(on)
    assert Event.objects.filter(job=on.job, kind=kind).last() is not None
    assert as_it_stands(on) != before
    assert take_back(on)
    assert as_it_stands(on) == before


def _some_of_a_day(on: Story, seed: int) -> list[Doing]:
    """Acts of one day in an order that can be: some of them left out by chance."""
    chance = Random(seed)
    early: list[Doing] = [
        lambda s: put_on_stand(StandRequest(s.job, 2), **mark(s)),
        read,
        lambda s: note_finding(FindingRequest(s.job, "Bell loose.", "next visit"), **mark(s)),
        lambda s: propose(ProposeRequest(s.job, "safety-check"), **mark(s)),
        lambda s: ask_owner(PriceRequest(s.job), **mark(s)),
        lambda s: try_owner(NotReachedRequest(s.job), **mark(s)),
        lambda s: say_limit(LimitRequest(s.job, Decimal(chance.randint(1, 90))), **mark(s)),
    ]
    late: list[Doing] = [
        lambda s: answer(
            AnswerRequest(s.job, {line.id: True for line in estimate(s.record, TODAY).lines}), **mark(s)
        ),
        lambda s: start_work(StandRequest(s.job, 1), **mark(s)),
        lambda s: set_aside(AsideRequest(s.job, "part", "tray 3"), **mark(s)),
        lambda s: put_on_stand(StandRequest(s.job, 3), **mark(s)),
        lambda s: finish_line(LineDoneRequest(s.job, chain_line(s)), **mark(s)),
        lambda s: let_off(LetOffRequest(s.job, chain_line(s), "ours"), **mark(s)),
    ]
    keep = {0, 1, 2, 5, 6}  # what nothing later needs may be left out
    return [one for at, one in enumerate(early) if at not in keep or chance.random() < 0.6] + late


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(3))
def test_a_whole_day_is_taken_back_act_by_act(seed: int) -> None:
    """After each undo all is as it was before that act, down to the morning."""
    on = asked()
    stands = []
    for do in _some_of_a_day(on, seed):
        stands.append(as_it_stands(on))
        do(on)
    while stands:
        take_back(on)
        assert as_it_stands(on) == stands.pop()


@pytest.mark.django_db
def test_what_stands_on_an_act_keeps_it(db: None) -> None:
    """Each refusal says what stands in the way, and what to do instead."""
    on = begun()
    events = {event.kind: event.pk for event in Event.objects.filter(job=on.job).order_by("pk")}

    def why(kind: str) -> str:
        with pytest.raises(NotPossibleNow) as no:
            undo_act(UndoRequest(on.job, events[kind]), **mark(on))
        return no.value.sentence

    assert "moved or asked about since" in why("priced")
    assert "moved or asked about since" in why("answered")
    assert "call the job off" in why("checked in")
    finish_line(LineDoneRequest(on.job, chain_line(on)), **mark(on))
    assert "Work was done since" in why("work started")


@pytest.mark.django_db
def test_after_the_signature_the_job_is_opened_first(db: None) -> None:
    """What the signature stands on is not taken back under it."""
    on = ready()
    done = Event.objects.filter(job=on.job, kind="line done").latest("pk")
    with pytest.raises(NotPossibleNow, match="Signed off at 10:00: open the job again first"):
        undo_act(UndoRequest(on.job, done.pk), **mark(on))


@pytest.mark.django_db
def test_an_undone_handover_gets_its_reversing_bill_and_a_new_one(db: None) -> None:
    """The numbered bill stays, another takes it back, and the next handover makes a third."""
    on = ready()
    hand_over(HandOverRequest(on.job, acknowledged=True), **mark(on))
    take_back(on)
    assert job_state(on.record).where is Where.READY
    first, back = bills_of(on.record)
    assert (back.reverses, back.total) == (first.number, -first.total)
    hand_over(HandOverRequest(on.job, acknowledged=True), **mark(on))
    assert bills_of(on.record)[-1].total == first.total


@pytest.mark.django_db
def test_yesterdays_act_is_corrected_and_not_undone(db: None) -> None:
    """Undo is for just now."""
    on = walked()
    put_on_stand(StandRequest(on.job, 2), **mark(on))
    event = Event.objects.get(job=on.job, kind="put on stand")
    with pytest.raises(NotPossibleNow, match="only today's acts"):
        undo_act(UndoRequest(on.job, event.pk), by=on.first, key=on.key(), now=NOW + timedelta(days=1))
    assert last_act(on.record, NOW + timedelta(days=1)) is None


@pytest.mark.django_db
def test_a_stand_that_somebody_took_meanwhile_stays_theirs(db: None) -> None:
    """The other bike keeps the stand."""
    on = begun()
    set_aside(AsideRequest(on.job, "part"), **mark(on))
    other = story.checked_in(bike_words="blue one")
    put_on_stand(StandRequest(other.job, 1), **mark(other))
    event = Event.objects.get(job=on.job, kind="set aside")
    with pytest.raises(NotPossibleNow, match=f"Stand 1 holds {other.tag}"):
        undo_act(UndoRequest(on.job, event.pk), **mark(on))
    assert job_state(on.record).where is Where.PART


@pytest.mark.django_db
def test_two_taps_take_back_once_and_whose_act_it_is_counts(db: None) -> None:
    """The same mark is the same undo; the counter takes back no work of a mechanic's; both names stay in the history."""
    on = begun()
    event = Event.objects.get(job=on.job, kind="work started")
    juno = Person.objects.make("juno", "Juno Marl", "counter", story.PASSPHRASE)
    with pytest.raises(NotAllowed):
        undo_act(UndoRequest(on.job, event.pk), by=juno.pk, key=on.key(), now=NOW)
    tap: dict[str, Any] = {"by": on.second, "key": on.key(), "now": NOW}
    for _ in range(2):
        undo_act(UndoRequest(on.job, event.pk), **tap)
    assert Event.objects.filter(corrects=event).count() == 1
    told = bike_sheet(on.tag, NOW).history
    assert any(one.is_corrected and one.words == "work started on stand 1" for one in told)
    assert any(one.words == "taken back: work started on stand 1" and "Quill" in one.by for one in told)


@pytest.mark.django_db
def test_every_kind_that_can_be_undone_is_proven() -> None:
    """A new kind with an undo gets its row above, or its story by the screens."""
    by_screens = {
        "promised", "owner told", "moved", "battery gone", "handed on", "called off", "tag lost", "tag given",
        "tag found", "collector named", "reminded", "not collected", "line paid by", "discount given", "ring first", "measured off",
        "rest put off", "asked together", "work price set",
    }  # fmt: skip
    # Proven in tests/workshop/wheels/test_wheel_undo.py.
    wheels = {"wheel measured", "wheel read", "spokes plucked", "nipple turned", "spoke broke"}
    parts = {kind for kind in ACTS if kind.startswith("part ") and kind != "part arrived"} | wheels
    assert {kind for kind, row in ACTS.items() if row.undo} <= set(DOINGS) | by_screens | parts


def test_the_twelve_newest_acts_of_today_stand_there(arrived: Story) -> None:
    """Of more, the oldest are in the history alone; those of yesterday are not on the page."""
    for number in range(13):
        seen = FindingRequest(arrived.job, f"Scratch {number}.", "next visit")
        note_finding(seen, by=arrived.first, key=arrived.key(), now=NOW)
    acts = acts_today(arrived.record, NOW)
    assert len(acts) == 12
    newest = Event.objects.filter(job=arrived.job).order_by("-pk").values_list("pk", flat=True)
    assert [one.event for one in acts] == list(newest[:12])
    assert acts_today(arrived.record, NOW + timedelta(days=1)) == ()


@pytest.mark.django_db
@pytest.mark.parametrize("moved", [False, True], ids=["on its own wheel", "on the owner's other wheels"])
def test_a_new_cassette_comes_off_again_when_the_tap_was_wrong(moved: bool) -> None:
    """Done and taken back, the old one is there as if nothing had been; on wheels that were moved here it sits on the wheel."""
    on = story.checked_in()
    if moved:
        race = add_own_wheels(OwnWheelsRequest(on.tag, "race"), **mark(on))
        move_part(MoveRequest(BOTH_WHEELS, race.name, on.tag, exchange=True), **mark(on))
    propose(ProposeRequest(on.job, "cassette"), **mark(on))
    ask_owner(PriceRequest(on.job), **mark(on))
    story.answered(on)
    start_work(StandRequest(on.job, 1), **mark(on))
    line = Line.objects.get(job=on.job, operation="cassette", event__corrected_by__isnull=True).pk

    def fitted() -> Part:
        return next(part for part in parts_on(on.record.bike) if part.kind == "cassette")

    old, before = fitted(), as_it_stands(on)
    assert bool(Fitting.objects.get(part=old, end__isnull=True).wheel_id) is moved
    finish_line(LineDoneRequest(on.job, line), **mark(on))
    new = fitted()
    assert new != old
    take_back(on)
    assert fitted() == old and not Part.objects.filter(pk=new.pk).exists()
    assert as_it_stands(on) == before
