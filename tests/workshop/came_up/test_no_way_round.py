"""No way out of a job goes round the signature: each sequence is one that a shop plays on a busy day."""

from datetime import timedelta
from decimal import Decimal

import pytest

from pinchbolt.errors import NotAllowed, NotPossibleNow, PinchboltError
from pinchbolt.records.models import Event, Line, Person
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.came_up.call_off import AT_ONCE, STRIKE, WRONG_TAG, CallOffRequest, call_off
from pinchbolt.workshop.came_up.come_back import OUR_WORK, CameBackRequest, come_back
from pinchbolt.workshop.came_up.move_bike import (
    BatteryGoneRequest,
    MoveBikeRequest,
    SwollenRequest,
    battery_gone,
    find_swollen,
    move_bike,
)
from pinchbolt.workshop.came_up.split_job import SplitRequest, split_job
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
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
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.discount import DISCOUNT
from pinchbolt.workshop.stays.give_discount import DiscountRequest, give_discount
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, give_back
from pinchbolt.workshop.stays.own_lines import MinutesRequest, OwnLineRequest, own_line, set_minutes
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner, estimate
from pinchbolt.workshop.stays.propose import ChangeRequest, ProposeRequest, change_line, propose
from pinchbolt.workshop.stays.standing import standing_of
from pinchbolt.workshop.stays.start_work import LineDoneRequest, StandRequest, finish_line, start_work
from pinchbolt.workshop.stays.who_pays import PaidByRequest, say_who_pays
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, Story

pytestmark = pytest.mark.django_db


def do(
    on: Story, use_case: object, asked: object, by: int | None = None, later: timedelta = timedelta()
) -> object:
    """One act of the first mechanic."""
    return use_case(asked, by=by or on.first, key=on.key(), now=NOW + later)  # type: ignore[operator]


def last(on: Story, kind: str) -> int:
    """The newest act of a kind."""
    return Event.objects.filter(job=on.job, kind=kind).order_by("-pk")[0].pk


def undo(on: Story, kind: str, **more: object) -> object:
    """The newest act of a kind is taken back."""
    return do(on, undo_act, UndoRequest(on.job, last(on, kind)), **more)  # type: ignore[arg-type]


def counter() -> int:
    """Somebody at the counter."""
    return Person.objects.make("juno", "Juno Marl", "counter", story.PASSPHRASE).pk


@kept
def signed() -> Story:
    """Everything done, looked at and signed off."""
    on = story.worked(story.answered(story.priced(story.walked_round(story.checked_in()))))
    return story.signed_off(on)


def test_a_battery_that_swells_after_the_signature_ends_it() -> None:
    """It leaves only as unsafe, read out and acknowledged; when the battery is gone, it is signed anew."""
    on = signed()
    do(on, find_swollen, SwollenRequest(on.job, "bulges"))
    assert not job_state(on.record).signed_off
    with pytest.raises(NotPossibleNow, match="cannot leave as ready"):
        do(on, hand_over, HandOverRequest(on.job, acknowledged=True))
    with pytest.raises(PinchboltError, match="NOT SAFE TO RIDE"):
        do(on, hand_over, HandOverRequest(on.job, as_unsafe=True))
    do(on, battery_gone, BatteryGoneRequest(on.job, "at the depot"))
    assert job_state(on.record).where is Where.RACK
    with pytest.raises(NotPossibleNow, match="cannot leave as ready"):
        do(on, hand_over, HandOverRequest(on.job, acknowledged=True))


def test_it_is_swollen_once_and_no_tap_says_that_it_was_not() -> None:
    """Two people write it down: the second is told; it goes by a mechanic's word alone, not by an undo at the counter."""
    on = story.checked_in("city-ebike")
    do(on, find_swollen, SwollenRequest(on.job, "bulges"))
    with pytest.raises(NotPossibleNow, match="on record as swollen already"):
        do(on, find_swollen, SwollenRequest(on.job, "smells"))
    with pytest.raises(NotPossibleNow, match="a mechanic says that it was looked at"):
        undo(on, "battery swollen", by=counter())


@pytest.mark.parametrize("untouched", [True, False])
def test_work_that_makes_a_bike_safe_is_not_put_off_past_the_signature(untouched: bool) -> None:
    """The cut tyre was agreed and waits for another day: everything else is done, and the bike is not signed off as ready."""
    on = story.answered(story.priced(story.walked_round(story.checked_in())))
    do(on, start_work, StandRequest(on.job, 1))
    tyre, *others = on.record.lines.order_by("pk")
    assert (tyre.operation, tyre.verdict) == ("tyre-tube", "unsafe to ride")
    day = (NOW + timedelta(days=9)).date()
    do(on, split_job, SplitRequest(on.job, (tyre.pk,), day, "the tyre is not in", untouched))
    for line in others:
        do(on, finish_line, LineDoneRequest(on.job, line.pk))
    story.looked(on)
    with pytest.raises(NotPossibleNow, match="cannot be signed off yet: Unsafe to ride: rear tyre"):
        do(on, sign_off, SignOffRequest(on.job), by=on.second)


def test_a_signed_bike_that_was_moved_is_opened_again_from_where_it_is() -> None:
    """Put away or outside: the signature is what is opened."""
    on = signed()
    do(on, move_bike, MoveBikeRequest(on.job, "away"))
    do(on, reopen, ReopenRequest(on.job, "one more look"))
    assert not job_state(on.record).signed_off


def test_an_unsafe_or_open_bike_is_not_called_off_but_handed_over() -> None:
    """Calling a job off tells nobody anything."""
    on = story.checked_in()
    do(on, note_finding, FindingRequest(on.job, "Fork cracked at the crown.", "unsafe to ride"))
    with pytest.raises(NotPossibleNow, match=r"does not leave so: Unsafe to ride: .*Fork cracked"):
        do(on, call_off, CallOffRequest(on.job, AT_ONCE))
    open_now = story.on_a_stand()
    for reason in (AT_ONCE, WRONG_TAG):
        with pytest.raises(NotPossibleNow, match="does not leave so"):
            do(open_now, call_off, CallOffRequest(open_now.job, reason))
    assert not job_state(open_now.record).ended


def test_readings_are_struck_by_a_mechanic() -> None:
    """The counter calls a job off, and does not take a mechanic's findings away with it."""
    on = story.walked_round(story.checked_in())
    with pytest.raises(NotAllowed):
        do(on, call_off, CallOffRequest(on.job, WRONG_TAG, readings=STRIKE), by=counter())
    do(on, call_off, CallOffRequest(on.job, WRONG_TAG, readings=STRIKE))
    assert job_state(on.record).ended


@pytest.mark.parametrize("reason", [AT_ONCE, WRONG_TAG])
def test_a_job_that_was_called_off_stays_so_once_the_bike_is_here_again(reason: str) -> None:
    """A bike has one open job."""
    on = story.checked_in()
    do(on, call_off, CallOffRequest(on.job, reason))
    do(on, check_in, CheckInRequest(tag=on.tag))
    with pytest.raises(NotPossibleNow, match="was checked in again since"):
        undo(on, "called off")


def test_home_meanwhile_is_no_way_round_the_safety_list() -> None:
    """Signed off: handed over. Seen wrong, or declined: not ridden home."""
    on = signed()
    with pytest.raises(NotPossibleNow, match="is signed off: hand it over"):
        do(on, move_bike, MoveBikeRequest(on.job, "home", tried=True))
    seen = story.checked_in()
    item = next(one for one in sign_off_list(seen.record, NOW).items if one.if_not == "unsafe to ride")
    do(seen, look_at_item, LookRequest(seen.job, (item.id,), met=False, words="it slips"))
    with pytest.raises(NotPossibleNow, match="it slips"):
        do(seen, move_bike, MoveBikeRequest(seen.job, "home", tried=True))
    sound = story.checked_in()
    do(sound, move_bike, MoveBikeRequest(sound.job, "home", tried=True))
    assert job_state(sound.record).where is Where.HOME


def test_work_that_may_be_open_is_not_forgotten_by_an_undo() -> None:
    """Given back half-way, or agreed on the stand: the joints stay asked."""
    on = story.on_a_stand()
    (line,) = Line.objects.filter(job=on.job)
    do(on, give_back, GiveBackRequest(on.job, line.pk, "the part never came"))
    with pytest.raises(NotPossibleNow, match="opened or given back since"):
        undo(on, "work started")
    do(on, move_bike, MoveBikeRequest(on.job, "rack"))
    other = story.on_a_stand()
    more = do(other, propose, ProposeRequest(other.job, "bars-stem"))
    do(other, ask_owner, PriceRequest(other.job))
    do(other, answer, AnswerRequest(other.job, {more.line: True}))  # type: ignore[attr-defined]
    with pytest.raises(NotPossibleNow, match="write the other answer down instead"):
        undo(other, "answered")


def test_work_that_was_not_done_is_taken_back_on_another_morning() -> None:
    """Tapped at 17:50, seen next day: until the signature it is put right."""
    on = story.on_a_stand()
    (line,) = Line.objects.filter(job=on.job)
    do(on, story.finish_line, story.LineDoneRequest(on.job, line.pk))
    undo(on, "line done", later=timedelta(days=1))
    assert line.pk not in standing_of(on.record).done


def test_what_was_agreed_as_free_does_not_turn_dear_by_an_undo() -> None:
    """The owner is asked anew instead."""
    on = story.checked_in()
    do(on, propose, ProposeRequest(on.job, "safety-check"))
    (line,) = Line.objects.filter(job=on.job)
    do(on, say_who_pays, PaidByRequest(on.job, line.pk, "goodwill", "our late promise"))
    do(on, ask_owner, PriceRequest(on.job))
    do(on, answer, AnswerRequest(on.job, {line.pk: True}))
    with pytest.raises(NotPossibleNow, match="say who pays instead"):
        undo(on, "line paid by")


def test_a_wrong_discount_is_said_anew_and_does_not_add_up() -> None:
    """50 % typed for 5 %: 5 % is what counts."""
    on = story.worked(story.answered(story.priced(story.walked_round(story.checked_in()))))
    for percent in (50, 5):
        do(on, give_discount, DiscountRequest(on.job, DISCOUNT, "regular", Decimal(percent)))
    assert [one.words for one in estimate(on.record).discounts] == ["discount 5 %, regular"]
    assert Event.objects.filter(job=on.job, kind="discount given").count() == 2


def test_a_line_that_is_changed_keeps_its_minutes_and_who_pays_for_it() -> None:
    """A spoke put on a line of forty minutes by hand; and a free line whose minutes are set."""
    on = story.checked_in()
    own = do(on, own_line, OwnLineRequest(on.job, "wheel trued", minutes=40))
    changed = do(on, change_line, ChangeRequest(on.job, own.line, (LinePart("spoke", Decimal("2.00")),)))  # type: ignore[attr-defined]
    assert Line.objects.get(pk=changed.line).own_minutes == 40  # type: ignore[attr-defined]
    do(on, propose, ProposeRequest(on.job, "safety-check"))
    line = Line.objects.filter(job=on.job).latest("pk")
    do(on, say_who_pays, PaidByRequest(on.job, line.pk, "our own work again"))
    again = do(on, set_minutes, MinutesRequest(on.job, line.pk, 5))
    assert again.line in standing_of(on.record).let_off  # type: ignore[attr-defined]


def test_a_bike_that_came_back_comes_in_with_every_line_of_its_own_work() -> None:
    """Lines of the menu, of a finding at one end and by hand, all free."""
    on = story.checked_in()
    do(on, own_line, OwnLineRequest(on.job, "rattle found", minutes=10))
    story.worked(story.answered(story.priced(story.walked_round(on))))
    story.signed_off(on)
    do(on, hand_over, HandOverRequest(on.job, acknowledged=True))
    done = len(standing_of(on.record).done)
    new = do(on, come_back, CameBackRequest(on.job, OUR_WORK))
    lines = Line.objects.filter(job=new, event__corrected_by__isnull=True)
    assert lines.count() == done > 2
    assert set(lines.values_list("pk", flat=True)) == set(standing_of(lines[0].job).let_off)
    assert "rattle found" in set(lines.values_list("words", flat=True))
