"""One tap takes the last act back, as if it had not been; where something stands on it, a sentence says what and what to do."""

from collections.abc import Callable
from decimal import Decimal

import pytest

from pinchbolt.records.models import Event, Fitting, Line, Part
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.came_up.undo_act import UndoRequest, acts_today, undo_act
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
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, add_joint, joints_of, torque_sheet
from tests import story
from tests.story import NOW, TODAY, Story

Doing = Callable[[Story], object]


def as_it_stands(on: Story) -> dict[str, object]:
    """Everything that a page of the job says, and the parts on the bike."""
    job = on.record
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


def mark(on: Story) -> dict[str, object]:
    """Who acts, by a fresh mark."""
    return {"by": on.first, "key": on.key(), "now": NOW}


def line_of(on: Story, at: int = 0) -> int:
    """A line that stands on the estimate."""
    return estimate(on.record, TODAY).lines[at].id


def take_back(on: Story) -> str:
    """Undo the newest act."""
    newest = acts_today(on.record, NOW)[0]
    assert newest.why_not == ""
    return undo_act(UndoRequest(on.job, newest.event), **mark(on))  # type: ignore[arg-type]


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


def begun() -> Story:
    """The work has begun."""
    on = agreed()
    start_work(StandRequest(on.job, 1), **mark(on))  # type: ignore[arg-type]
    return on


def all_done() -> Story:
    """The work is done."""
    return story.worked(agreed())


def ready() -> Story:
    """Signed off."""
    return story.signed_off(all_done())


def waiting() -> Story:
    """It waits for a part."""
    on = begun()
    set_aside(AsideRequest(on.job, "part", "bolts in tray 3"), **mark(on))  # type: ignore[arg-type]
    return on


def read(on: Story) -> object:
    """One reading more, which settles nothing."""
    from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
    from pinchbolt.workshop.stays.walk_round import walk_round

    due = next(
        one
        for place in walk_round(on.record, NOW)
        for one in place.readings
        if one.taken is None and one.unit == "yes/no"
    )
    return take_reading(ReadingRequest(on.job, due.part, due.limit, None, word="no"), **mark(on))  # type: ignore[arg-type]


# Each kind of act that can be taken back, from where it is done, and doing it.
DOINGS: dict[str, tuple[Callable[[], Story], Doing]] = {
    "reading taken": (walked, read),
    "found": (
        walked,
        lambda on: note_finding(FindingRequest(on.job, "Bell loose.", "next visit"), **mark(on)),
    ),  # type: ignore[arg-type]
    "proposed": (walked, lambda on: propose(ProposeRequest(on.job, "safety-check"), **mark(on))),  # type: ignore[arg-type]
    "withdrawn": (asked, lambda on: withdraw(WithdrawRequest(on.job, line_of(on)), **mark(on))),  # type: ignore[arg-type]
    "priced": (
        lambda: _with_line(walked()),
        lambda on: ask_owner(PriceRequest(on.job), **mark(on)),  # type: ignore[arg-type]
    ),
    "answered": (agreed, lambda on: answer(AnswerRequest(on.job, {line_of(on): False}), **mark(on))),  # type: ignore[arg-type]
    "limit said": (asked, lambda on: say_limit(LimitRequest(on.job, Decimal("80")), **mark(on))),  # type: ignore[arg-type]
    "owner tried": (asked, lambda on: try_owner(NotReachedRequest(on.job), **mark(on))),  # type: ignore[arg-type]
    "text sent": (asked, lambda on: send_text(TextRequest(on.job, "asking", "Reply ALL."), **mark(on))),  # type: ignore[arg-type]
    "line given back": (
        begun,
        lambda on: give_back(GiveBackRequest(on.job, line_of(on), "no part"), **mark(on)),
    ),  # type: ignore[arg-type]
    "line let off": (all_done, lambda on: let_off(LetOffRequest(on.job, line_of(on), "ours"), **mark(on))),  # type: ignore[arg-type]
    "put on stand": (walked, lambda on: put_on_stand(StandRequest(on.job, 2), **mark(on))),  # type: ignore[arg-type]
    "work started": (agreed, lambda on: start_work(StandRequest(on.job, 2), **mark(on))),  # type: ignore[arg-type]
    "set aside": (begun, lambda on: set_aside(AsideRequest(on.job, "owner"), **mark(on))),  # type: ignore[arg-type]
    "part arrived": (waiting, lambda on: part_arrived(ArrivedRequest(on.job), **mark(on))),  # type: ignore[arg-type]
    "joint added": (begun, lambda on: add_joint(AddJointRequest(on.job, _not_on_sheet(on)), **mark(on))),  # type: ignore[arg-type]
    "done value": (
        begun,
        lambda on: tighten_by_hand(DoneByHandRequest(on.job, _by_hand(on)), **mark(on)),  # type: ignore[arg-type]
    ),
    "line done": (begun, lambda on: finish_line(LineDoneRequest(on.job, chain_line(on)), **mark(on))),  # type: ignore[arg-type]
    "list looked at": (
        all_done,
        lambda on: look_at_item(
            LookRequest(on.job, (sign_off_list(on.record, NOW).items[0].id,)), **mark(on)
        ),  # type: ignore[arg-type]
    ),
    "signed off": (lambda: story.looked(all_done()), lambda on: sign_off(SignOffRequest(on.job), **mark(on))),  # type: ignore[arg-type]
    "reopened": (ready, lambda on: reopen(ReopenRequest(on.job, "bell forgotten"), **mark(on))),  # type: ignore[arg-type]
    "handed over": (ready, lambda on: hand_over(HandOverRequest(on.job, acknowledged=True), **mark(on))),  # type: ignore[arg-type]
}


def _with_line(on: Story) -> Story:
    propose(ProposeRequest(on.job, "safety-check"), **mark(on))  # type: ignore[arg-type]
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
