"""Every kind of act in one table: who may do it, and how a bike's history tells of it. A kind that is not here can't be written."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from django.utils import timezone

from pinchbolt.records.models import UNDONE, Event
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts import _told_of_acts as tell
from pinchbolt.workshop.acts import _told_of_bikes as tell_bike
from pinchbolt.workshop.acts._told_of_acts import Beside

__all__ = ["ACTS", "SHOWN", "ActKind", "Beside", "May", "act_kind", "in_words"]


class May(Enum):
    """Whose an act is: readings and work are a mechanic's, who works there is the owner's of the workshop."""

    ALL = "counter, mechanic, owner of the workshop"
    MECHANIC = "mechanic, owner of the workshop"
    OWNER = "owner of the workshop"


@dataclass(frozen=True, slots=True)
class ActKind:
    """One kind. `words` tell of it in the history, None where it is not shown there; "" stands for the kind's own name.

    `counter_if` lets the counter do what is else a mechanic's, by what is asked. `undo`: the same day, and while nothing
    depends on it, one tap takes it back; `instead` says what to do where that can't be.
    """

    may: May = May.MECHANIC
    words: Callable[[Event, Beside], str] | str | None = None
    counter_if: Callable[[object], bool] | None = None
    undo: bool = False
    instead: str = worded("say it again: the old word is kept")


_LOOKS = worded("take the card back on the page of looks")
_BUILD = worded("put it right on the build sheet")

ACTS: Mapping[str, ActKind] = {
    UNDONE: ActKind(May.ALL, tell.undone),
    # Who a bike belongs to; what is said of a person stands in private rows, never in the event.
    "owner made": ActKind(May.ALL),
    "owner changed": ActKind(May.ALL),
    "consent said": ActKind(May.ALL),
    "owners told apart": ActKind(May.ALL),
    "owners merged": ActKind(May.ALL),
    "merge undone": ActKind(May.ALL),
    "bike added": ActKind(May.ALL, worded("written down as a bike of its owner")),
    "bike given over": ActKind(
        May.ALL, tell_bike.given_over, instead=worded("take it back on the page of its owners")
    ),
    "giving over undone": ActKind(May.ALL, worded("did not change hands after all")),
    "told what we hold": ActKind(May.ALL),
    "owner erased": ActKind(May.OWNER),
    "everything written out": ActKind(May.OWNER),
    "list taken in": ActKind(May.OWNER),
    "list taken back": ActKind(May.OWNER),
    # The way of a job.
    "checked in": ActKind(May.ALL, tell.checked_in, instead=worded("call the job off")),
    "reading taken": ActKind(words=tell.reading, undo=True),
    "found": ActKind(words=tell.found, undo=True),
    "settled": ActKind(),
    "looked at": ActKind(words=tell.looked_at, instead=_LOOKS),
    "look": ActKind(),
    "looks taken back": ActKind(words="looks taken back"),
    "look taken back": ActKind(),
    "complaint told": ActKind(May.ALL),
    "complaint tested": ActKind(),
    "complaint closed": ActKind(words=tell.complaint_closed),
    "finding ended": ActKind(),
    "not seen": ActKind(words=tell.not_seen),
    "not seen taken back": ActKind(),
    "leaves unseen": ActKind(),
    "left unseen": ActKind(words=tell.not_seen),
    "proposed": ActKind(May.ALL, undo=True),
    "withdrawn": ActKind(May.ALL, undo=True),
    "work price set": ActKind(words=tell.work_price, undo=True),
    "priced": ActKind(May.ALL, "", undo=True),
    "answered": ActKind(May.ALL, undo=True),
    "line answered": ActKind(May.ALL, tell.line_answered),
    "asked together": ActKind(May.ALL, tell.asked_together, undo=True),
    "limit said": ActKind(May.ALL, tell.limit, undo=True),
    "visit agreed": ActKind(May.ALL, tell.visit, undo=True),
    "owner tried": ActKind(May.ALL, tell.tried, undo=True),
    "text sent": ActKind(May.ALL, worded("text sent to the owner"), undo=True),
    "line given back": ActKind(words=tell.line_act(worded("agreed and not done")), undo=True),
    "rest put off": ActKind(words=tell.put_off, undo=True),
    "rest taken up": ActKind(
        May.ALL,
        tell.rest_taken,
        instead=worded("take the lines off the estimate, or let the owner decline them"),
    ),
    "line let off": ActKind(words=tell.line_act(worded("taken off the bill")), undo=True),
    "put on stand": ActKind(undo=True),
    "work started": ActKind(words=tell.started, undo=True),
    "set aside": ActKind(May.ALL, "", undo=True),
    "part arrived": ActKind(words="", undo=True),
    "joint added": ActKind(undo=True),
    "done value": ActKind(words=tell.done_value, undo=True),
    "line done": ActKind(words=tell.line_done, undo=True),
    "measured off": ActKind(words=tell.measured_off, undo=True),
    "list looked at": ActKind(undo=True),
    "item looked at": ActKind(),
    "signed off": ActKind(words="", undo=True),
    "reopened": ActKind(words="", undo=True),
    "handed over": ActKind(May.ALL, "", undo=True),
    "call-back set": ActKind(May.ALL, tell.call_back),
    "call-back said": ActKind(
        May.ALL, tell.back_said, instead=worded("take the word back on the list of who comes back")
    ),
    "call-back word taken back": ActKind(May.ALL),
    "letters made": ActKind(May.ALL),
    "letter made": ActKind(May.ALL),
    "letter sent": ActKind(May.ALL),
    "letter withdrawn": ActKind(May.ALL),
    "bill made": ActKind(May.ALL, tell.billed, instead=worded("take the bill back by another one")),
    "payment noted": ActKind(
        May.ALL, tell.paid, instead=worded("take the note back on the page of its money")
    ),
    "payment taken back": ActKind(May.ALL, worded("note of money taken back")),
    # What comes up.
    "promised": ActKind(May.ALL, tell.promised, undo=True),
    "owner told": ActKind(May.ALL, tell.told, undo=True),
    "moved": ActKind(May.ALL, tell.moved_to, undo=True),
    "battery swollen": ActKind(
        May.ALL, tell.swollen, instead=worded("a mechanic says that it was looked at and is sound")
    ),
    "battery gone": ActKind(words=tell.battery_gone, undo=True),
    "handed on": ActKind(words=tell.handed_on, undo=True),
    "note read": ActKind(),
    "called off": ActKind(May.ALL, tell.called_off, undo=True),
    "struck": ActKind(),
    "tag lost": ActKind(May.ALL, worded("tag lost, printed again"), undo=True),
    "tag given": ActKind(May.ALL, tell.tag_given, undo=True),
    "tag found": ActKind(May.ALL, worded("tag found again"), undo=True),
    "collector named": ActKind(May.ALL, tell.collector, undo=True),
    "reminded": ActKind(May.ALL, tell.reminded, undo=True),
    "not collected": ActKind(May.OWNER, tell.not_collected, undo=True),
    "line paid by": ActKind(words=tell.paid_by, undo=True),
    "discount given": ActKind(words=tell.discounted, undo=True),
    "ring first": ActKind(May.ALL, tell.ring, undo=True),
    "photo taken": ActKind(May.ALL, tell.photo, instead=worded("take it away on the page of photos")),
    "photo away": ActKind(May.ALL, worded("photo taken away")),
    # How things were bought, and what is claimed.
    "warranty said": ActKind(
        May.ALL, tell_bike.warranty, instead=worded("say it again, or take it back on the page of claims")
    ),
    "claim opened": ActKind(words=tell_bike.claim, instead=worded("take it back on its own page")),
    "claim photographed": ActKind(May.ALL),
    "claim moved": ActKind(
        May.ALL, tell_bike.claim_move, instead=worded("take the word back on the claim's page")
    ),
    # Parts for a job or for the bins.
    "part wanted": ActKind(words=tell.part_wanted, undo=True),
    "part ordered": ActKind(words=tell.part_move("ordered"), undo=True),
    "part late": ActKind(words=tell.part_move("late"), undo=True),
    "part came": ActKind(May.ALL, tell.part_move("here"), undo=True),
    "part from the bins": ActKind(words=tell.part_move("from the bins"), undo=True),
    "part wrong": ActKind(words=tell.part_move("wrong"), undo=True),
    "part sent back": ActKind(words=tell.part_move("sent back"), undo=True),
    "part credited": ActKind(words=tell.part_move("credited"), undo=True),
    "part kept": ActKind(words=tell.part_move("kept for the bins"), undo=True),
    "part given": ActKind(words=tell.part_move("given to the owner"), undo=True),
    "part not wanted": ActKind(words=tell.part_move(worded("not wanted any more")), undo=True),
    "part fitted": ActKind(),
    "bin counted": ActKind(),
    "supplier said": ActKind(),
    "part sold by": ActKind(),
    "order sent": ActKind(),
    "bin marked": ActKind(),
    "delivery came": ActKind(May.ALL, instead=worded("take the delivery back on its page")),
    "delivery lines": ActKind(May.ALL),
    "delivery taken back": ActKind(May.ALL),
    # Wheels.
    "wheel measured": ActKind(words=tell.wheel_measured, undo=True),
    "wheel read": ActKind(words=tell.wheel_read, undo=True),
    "spokes plucked": ActKind(words=tell.spokes_plucked, undo=True),
    "nipple turned": ActKind(words=tell.nipple_turned, undo=True),
    "spoke broke": ActKind(words=tell.spoke_broke, undo=True),
    # A bike's joints.
    "marking read": ActKind(words=tell_bike.marking),
    "limit marked": ActKind(words=tell_bike.limit_marked),
    "bolt read": ActKind(),
    "round tick": ActKind(words=tell.round_tick),
    # A bike's build sheet.
    "part added": ActKind(words=tell_bike.added, instead=_BUILD),
    "part replaced": ActKind(words=tell_bike.replaced, instead=_BUILD),
    "part taken off": ActKind(words=tell_bike.taken_off, instead=_BUILD),
    "part moved": ActKind(words=tell_bike.moved, instead=_BUILD),
    "part described": ActKind(
        words=tell_bike.described, counter_if=lambda request: getattr(request, "source", "") == "owner's word"
    ),
    "corner confirmed": ActKind(words=tell_bike.corner, instead=_BUILD),
    "facts read": ActKind(words=tell_bike.facts),
    # How far it went.
    "on since said": ActKind(May.ALL, tell_bike.since),
    "distance said": ActKind(words=tell_bike.distance),
    "display read": ActKind(May.ALL, tell_bike.display),
    "own bike added": ActKind(May.ALL, worded("written down as a further bike of its owner")),
    "own trainer added": ActKind(May.ALL, tell_bike.own(worded("indoor trainer"))),
    "own wheels added": ActKind(May.ALL, tell_bike.own(worded("further wheels"))),
    "rides taken in": ActKind(May.ALL, tell_bike.rides),
    "rides placed": ActKind(May.ALL, tell_bike.placed),
    "rides moved": ActKind(May.ALL, tell_bike.rides_moved),
    "rides taken back": ActKind(May.ALL, tell_bike.rides_back),
    # The workshop: bins, board, what was learned, people.
    "parts taken in": ActKind(),
    "instrument checked": ActKind(),
    "tool checked": ActKind(),
    "tool tried": ActKind(),
    "tool measured": ActKind(),
    "tool looked over": ActKind(),
    "tool hung": ActKind(),
    "arm measured": ActKind(),
    "meter table set": ActKind(),
    "meter tried": ActKind(),
    "learned": ActKind(),
    "bill terms set": ActKind(May.OWNER),
    "tax set": ActKind(May.OWNER),
    "own pin set": ActKind(May.ALL),
    "person added": ActKind(May.OWNER),
    "passphrase set": ActKind(May.OWNER),
    "own passphrase set": ActKind(May.ALL),
    "person retired": ActKind(May.OWNER),
    "person back": ActKind(May.OWNER),
    "workshop opened": ActKind(May.OWNER),
    "workshop described": ActKind(May.OWNER),
    # Its settings: each keeps what stood there before.
    "days set": ActKind(May.OWNER),
    "day closed": ActKind(),
    "hours set": ActKind(May.OWNER),
    "person away": ActKind(),
    "promise odds set": ActKind(May.OWNER),
    "calendar addresses changed": ActKind(May.OWNER),
    "labour set": ActKind(May.OWNER),
    "words set": ActKind(May.OWNER),
    "row changed": ActKind(May.OWNER),
    "change point set": ActKind(May.OWNER),
    "tables read": ActKind(May.OWNER),
    "person changed": ActKind(May.OWNER),
    "tablet named": ActKind(May.ALL),
    "tablet ended": ActKind(May.OWNER),
    "token made": ActKind(May.ALL),
    "token ended": ActKind(May.ALL),
    "backup made": ActKind(),
    "backup place set": ActKind(May.OWNER),
    "first list put away": ActKind(May.OWNER),
    "setting taken back": ActKind(May.OWNER),
}
SHOWN = tuple(kind for kind, row in ACTS.items() if row.words is not None)


def act_kind(kind: str) -> ActKind:
    """Return the row of a kind of act.

    Raises:
        LookupError: A kind that the table does not have: it would have neither role nor words.
    """
    row = ACTS.get(kind)
    if row is None:
        raise LookupError(f'"{kind}" is no kind of act: it stands in workshop/acts/kinds_of_act.py first')
    return row


def in_words(event: Event, beside: Beside) -> str:
    """Return how a bike's history tells of an event."""
    words = act_kind(event.kind).words
    told = words(event, beside) if callable(words) else words or event.kind
    return f"{told}{_done_before(event)}"


def _done_before(event: Event) -> str:
    """When it was done, where it came from a tablet that had no signal then."""
    done = event.said.get("done_at") if isinstance(event.said, dict) else None
    if not done:
        return ""
    then, day = timezone.localtime(datetime.fromisoformat(done)), timezone.localtime(event.at).date()
    return worded(
        " (done {then:%H:%M}{day}, sent when there was signal)",
        then=then,
        day="" if then.date() == day else worded(" on {day} {then:%b}", day=then.day, then=then),
    )
