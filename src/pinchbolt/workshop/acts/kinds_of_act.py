"""Every kind of act in one table: who may do it, and how a bike's history tells of it. A kind that is not here can't be written.

An act on a part keeps under `words` how the part is called, so that history need not look it up.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from django.utils import timezone

from pinchbolt.records.models import UNDONE, Event

Said = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Beside:
    """What the words need besides the event, looked up once: lines of the bike's jobs by id, rides by the event that brought them."""

    lines: Mapping[int, str]
    rides: Mapping[int, int]


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
    instead: str = "say it anew: the old word is kept"


def _reading(event: Event, beside: Beside) -> str:
    """The verdict of a reading stands in the reading's own line."""
    found = event.reading.finding if hasattr(event.reading, "finding") else None
    return f"{found.words} Verdict: {found.verdict}." if found else "reading taken"


def _found(event: Event, beside: Beside) -> str:
    return f"{event.finding.words} Verdict: {event.finding.verdict}."


def _looked_at(event: Event, beside: Beside) -> str:
    """How many looks of a card were sound, found, not taken or not to be seen."""
    answers: dict[str, int] = {}
    looks = event.said.get("looks")
    for one in looks if isinstance(looks, list) else ():
        answers[str(one.get("answer"))] = answers.get(str(one.get("answer")), 0) + 1
    return f"looked at: {', '.join(f'{many} {answer}' for answer, many in answers.items())}"


def _complaint_closed(event: Event, beside: Beside) -> str:
    return f"{event.said.get('complaint', 'complaint')}: cause found{', ' if event.said.get('words') else ''}{event.said.get('words', '')}"


def _not_seen(event: Event, beside: Beside) -> str:
    row = event.notseen
    what = f"{row.part}, {row.limit}".replace("-", " ")
    return f"{what}: {row.why}{f' ({row.words})' if row.words else ''}{'; leaves without it' if row.leaves else ''}"


def _line_done(event: Event, beside: Beside) -> str:
    return f"{beside.lines.get(event.said.get('line', 0), 'line')}: done"


def _measured_off(event: Event, beside: Beside) -> str:
    return f"{_what(event)} measured off the bike over 24 pitches: {float(str(event.said.get('percent', 0))):.2f} %"


def _done_value(event: Event, beside: Beside) -> str:
    done = event.donevalue
    return f"{done.joint}: {'by hand' if done.done_n_m is None else f'{done.done_n_m:g} N·m'}"


def _round_tick(event: Event, beside: Beside) -> str:
    return f"bolt round, {event.roundtick.joint}: {event.roundtick.words}"


def _line_answered(event: Event, beside: Beside) -> str:
    return (
        f"{event.answer.line.words}: {'agreed' if event.answer.agreed else 'declined'} ({event.answer.how})"
    )


def _line_act(words: str) -> Callable[[Event, Beside], str]:
    def told(event: Event, beside: Beside) -> str:
        return (
            f"{beside.lines.get(event.said.get('line', 0), 'line')}: {words} ({event.said.get('reason', '')})"
        )

    return told


def _limit(event: Event, beside: Beside) -> str:
    limit = event.said.get("limit")
    return f"limit without a call now {limit}" if limit is not None else "every line is asked from now on"


def _tried(event: Event, beside: Beside) -> str:
    return f"owner not reached, {event.said.get('how', '')}"


def _billed(event: Event, beside: Beside) -> str:
    said = event.said
    takes_back = f", takes back {said['reverses']} ({said.get('reason', '')})" if said.get("reverses") else ""
    return f"bill {said.get('number')}: {said.get('total')} {said.get('currency')}{takes_back}"


def _paid(event: Event, beside: Beside) -> str:
    return f"{event.said.get('what', 'paid')}: {event.said.get('amount')}, {event.said.get('how')}"


def _undone(event: Event, beside: Beside) -> str:
    return f"taken back: {event.said.get('words') or event.said.get('kind', '')}"


def _checked_in(event: Event, beside: Beside) -> str:
    return f"checked in: came back, {event.said['cause']}" if event.said.get("cause") else "checked in"


def _promised(event: Event, beside: Beside) -> str:
    said = event.said
    before, now = (_moment(said.get(name)) for name in ("before", "promise"))
    return f"promise {f'{before} to ' if before else ''}{now or 'taken away'}, {said.get('why')}"


def _moment(text: object) -> str:
    if not text:
        return ""
    at = timezone.localtime(datetime.fromisoformat(str(text)))
    return f"{at:%a} {at.day} {at:%b} {at:%H:%M}"


def _told(event: Event, beside: Beside) -> str:
    return f"owner told of the promise, {event.said.get('how')}"


_PLACES = {"rack": "to the rack", "outside": "outside", "home": "home meanwhile", "away": "put away"}


def _moved_to(event: Event, beside: Beside) -> str:
    return f"moved {_PLACES.get(str(event.said.get('to')), '')}{_behind(event.said.get('words'))}"


def _behind(words: object) -> str:
    return f": {words}" if words else ""


def _swollen(event: Event, beside: Beside) -> str:
    return f"battery swollen, outside{_behind(event.said.get('words'))}"


def _battery_gone(event: Event, beside: Beside) -> str:
    what = "battery looked at, not swollen" if event.said.get("was_sound") else "swollen battery gone"
    return f"{what}{_behind(event.said.get('where'))}"


def _handed_on(event: Event, beside: Beside) -> str:
    return f"handed on to {event.said.get('to_name')}{_behind(event.said.get('note'))}"


def _called_off(event: Event, beside: Beside) -> str:
    return f"called off, {event.said.get('reason')}{_behind(event.said.get('words'))}"


def _tag_given(event: Event, beside: Beside) -> str:
    return f"tag {event.said.get('old')} lost, now {event.said.get('new')}"


def _collector(event: Event, beside: Beside) -> str:
    return f"somebody else collects it: {event.said.get('how_known')}"


def _reminded(event: Event, beside: Beside) -> str:
    return f"not collected yet, {event.said.get('step')}, {event.said.get('how')}"


def _not_collected(event: Event, beside: Beside) -> str:
    return f"not collected, {event.said.get('end')}{_behind(event.said.get('words'))}"


def _paid_by(event: Event, beside: Beside) -> str:
    line = beside.lines.get(event.said.get("line", 0), "line")
    return f"{line}: paid by {event.said.get('payer')}{_behind(event.said.get('reason'))}"


def _discounted(event: Event, beside: Beside) -> str:
    said = event.said
    off = f"{said['percent']} %" if said.get("percent") is not None else said.get("amount")
    return f"{said.get('kind')} {off}, {said.get('reason')}"


def _part_wanted(event: Event, beside: Beside) -> str:
    return f"part wanted: {event.said.get('words')}"


def _part_move(what: str) -> Callable[[Event, Beside], str]:
    def told(event: Event, beside: Beside) -> str:
        due = f", due {event.said['due']}" if event.said.get("due") else ""
        wanted = event.wantedmove.wanted.words if hasattr(event, "wantedmove") else "part"
        return f"{wanted}: {what}{due}{_behind(event.said.get('words'))}"

    return told


def _photo(event: Event, beside: Beside) -> str:
    return f"photo, {event.said.get('about')}{_behind(event.said.get('words'))}"


def _ring(event: Event, beside: Beside) -> str:
    return (
        "owner is rung before the work starts" if event.said.get("ring") else "owner need not be rung first"
    )


def _call_back(event: Event, beside: Beside) -> str:
    return f"call-back {event.said.get('day', '')}: {event.said.get('reason', '')}"


def _started(event: Event, beside: Beside) -> str:
    return f"work started on stand {event.said.get('stand')}"


def _distance(event: Event, beside: Beside) -> str:
    """A distance as it was said: since the last stay, between two days, or so much a week."""
    said = event.said
    if said.get("km_a_week") is not None:
        return f"about {float(str(said['km_a_week'])):,.0f} km a week from {said.get('start')} to {said.get('end')}"
    if "distance_km" in said:
        return f"distance from {said.get('start')} to {said.get('end')}: {float(str(said['distance_km'])):,.0f} km"
    return f"distance since last time: {float(str(said.get('km', 0))):,.0f} km"


def _display(event: Event, beside: Beside) -> str:
    said = event.said
    return f"display on {said.get('day')}: {said.get('what')} {float(str(said.get('value', 0))):,.0f}"


def _own(what: str) -> Callable[[Event, Beside], str]:
    return lambda event, beside: f"{what} of its owner written down: {event.said.get('words', '')}"


def _rides(event: Event, beside: Beside) -> str:
    return f"ride files taken in: {beside.rides.get(event.pk, 0):,} rides"


def _placed(event: Event, beside: Beside) -> str:
    many = len(event.said.get("rides", ()))
    return f"{many:,} ride{'s' if many != 1 else ''} placed: {event.said.get('tag') or 'count for none'}"


def _since(event: Event, beside: Beside) -> str:
    said = event.said
    since = (
        "as long as the owner has it"
        if said.get("all_along")
        else f"since {said.get('day') or 'nobody knows when'}"
    )
    return f"{'a part' if said.get('part') else 'its parts'} on the bike {since}, as the owner says"


def _rides_moved(event: Event, beside: Beside) -> str:
    many = len(event.said.get("rides", ()))
    return f"{many:,} ride{'s' if many != 1 else ''} moved to the owner of {event.said.get('tag')}"


def _rides_back(event: Event, beside: Beside) -> str:
    if event.said.get("whole_import"):
        return "an import of ride files taken back"
    many = len(event.said.get("rides", ()))
    return f"{many:,} ride{'s' if many != 1 else ''} taken back"


def _moved(event: Event, beside: Beside) -> str:
    day = f", on {event.said['day']}" if event.said.get("day") else ""
    return (
        f"{event.said.get('move', 'part')} of {event.said.get('out_of')} into {event.said.get('into')}{day}"
        f"{'; what was there is ' + str(event.said.get('lies') or 'with the owner') if event.said.get('taken_off') else ''}"
    )


def _facts(event: Event, beside: Beside) -> str:
    return f"read off the bike: {_listed(event.said)}"


def _listed(said: Said) -> str:
    told = said.get("told") or said.get("facts")
    if not isinstance(told, Mapping) or not told:
        return "nothing"
    return ", ".join(
        f"{name} {'not known' if value is None else value}".replace("_", " ")
        for name, value in sorted(told.items())
    )


def _what(event: Event) -> str:
    """How the part is called: as the act says, else as the part that was described, else by its number."""
    if event.said.get("words"):
        return str(event.said["words"])
    described = getattr(event, "partdescription", None)
    return str(described.part) if described else f"part {event.said.get('part', '')}".strip()


def _added(event: Event, beside: Beside) -> str:
    what = event.said.get("words") or f"{event.said.get('kind', 'part')} {event.said.get('end', '')}".strip()
    return f"{what} put on the build sheet{', was on the bike before' if event.said.get('was_there') else ''}"


_GONE = {"bins": "to the bins", "owner": "to the owner", "scrap": "to scrap"}


def _replaced(event: Event, beside: Beside) -> str:
    gone = _GONE.get(str(event.said.get("gone_to")), "")
    return f"{_what(event)} replaced{f'; the old one {gone}' if gone else ''}"


def _taken_off(event: Event, beside: Beside) -> str:
    gone = str(event.said.get("gone_to"))
    if gone == "never there":
        return f"{_what(event)} struck off the build sheet: it never was there"
    return f"{_what(event)} taken off{f', {_GONE[gone]}' if gone in _GONE else ''}"


def _described(event: Event, beside: Beside) -> str:
    return f"{_what(event)}, {event.said.get('source', 'said')}: {_listed(event.said)}"


def _corner(event: Event, beside: Beside) -> str:
    return f"{event.said.get('corner') or 'the whole bike'}: looked at, the parts are as shown"


def _limit_marked(event: Event, beside: Beside) -> str:
    said = event.said
    return f"{_what(event)}: marked {float(str(said.get('value', 0))):g} {said.get('unit', '')} for {said.get('limit', '')}"


def _marking(event: Event, beside: Beside) -> str:
    said = event.said
    values = [
        f"{words} {float(str(said[name])):g}"
        for name, words in (("least_n_m", "at least"), ("greatest_n_m", "at most"), ("target_n_m", "to use"))
        if said.get(name) is not None
    ]
    on = " ".join(str(said[name]) for name in ("joint", "part") if said.get(name))
    value = f": {', '.join(values)} N·m" if values else ""
    return f"marking read{f', {on}' if on else ''}{value}"


_LOOKS = "take the card back on the page of looks"
_BUILD = "put it right on the build sheet"

ACTS: Mapping[str, ActKind] = {
    UNDONE: ActKind(May.ALL, _undone),
    # Who a bike belongs to; what is said of a person stands in private rows, never in the event.
    "owner made": ActKind(May.ALL),
    "owner changed": ActKind(May.ALL),
    "consent said": ActKind(May.ALL),
    "owners told apart": ActKind(May.ALL),
    "owners merged": ActKind(May.ALL),
    "merge undone": ActKind(May.ALL),
    "bike added": ActKind(May.ALL, "written down as a bike of its owner"),
    "told what we hold": ActKind(May.ALL),
    "owner erased": ActKind(May.OWNER),
    "everything written out": ActKind(May.OWNER),
    "list taken in": ActKind(May.OWNER),
    "list taken back": ActKind(May.OWNER),
    # The way of a job.
    "checked in": ActKind(May.ALL, _checked_in, instead="call the job off"),
    "reading taken": ActKind(words=_reading, undo=True),
    "found": ActKind(words=_found, undo=True),
    "settled": ActKind(),
    "looked at": ActKind(words=_looked_at, instead=_LOOKS),
    "look": ActKind(),
    "looks taken back": ActKind(words="looks taken back"),
    "look taken back": ActKind(),
    "complaint told": ActKind(May.ALL),
    "complaint tested": ActKind(),
    "complaint closed": ActKind(words=_complaint_closed),
    "finding ended": ActKind(),
    "not seen": ActKind(words=_not_seen),
    "not seen taken back": ActKind(),
    "leaves unseen": ActKind(),
    "left unseen": ActKind(words=_not_seen),
    "proposed": ActKind(May.ALL, undo=True),
    "withdrawn": ActKind(May.ALL, undo=True),
    "priced": ActKind(May.ALL, "", undo=True),
    "answered": ActKind(May.ALL, undo=True),
    "line answered": ActKind(May.ALL, _line_answered),
    "limit said": ActKind(May.ALL, _limit, undo=True),
    "owner tried": ActKind(May.ALL, _tried, undo=True),
    "text sent": ActKind(May.ALL, "text sent to the owner", undo=True),
    "line given back": ActKind(words=_line_act("agreed and not done"), undo=True),
    "line let off": ActKind(words=_line_act("taken off the bill"), undo=True),
    "put on stand": ActKind(undo=True),
    "work started": ActKind(words=_started, undo=True),
    "set aside": ActKind(May.ALL, "", undo=True),
    "part arrived": ActKind(words="", undo=True),
    "joint added": ActKind(undo=True),
    "done value": ActKind(words=_done_value, undo=True),
    "line done": ActKind(words=_line_done, undo=True),
    "measured off": ActKind(words=_measured_off, undo=True),
    "list looked at": ActKind(undo=True),
    "item looked at": ActKind(),
    "signed off": ActKind(words="", undo=True),
    "reopened": ActKind(words="", undo=True),
    "handed over": ActKind(May.ALL, "", undo=True),
    "call-back set": ActKind(May.ALL, _call_back),
    "bill made": ActKind(May.ALL, _billed, instead="take the bill back by another one"),
    "payment noted": ActKind(May.ALL, _paid, instead="take the note back on the page of its money"),
    "payment taken back": ActKind(May.ALL, "note of money taken back"),
    # What comes up.
    "promised": ActKind(May.ALL, _promised, undo=True),
    "owner told": ActKind(May.ALL, _told, undo=True),
    "moved": ActKind(May.ALL, _moved_to, undo=True),
    "battery swollen": ActKind(May.ALL, _swollen, undo=True),
    "battery gone": ActKind(words=_battery_gone, undo=True),
    "handed on": ActKind(words=_handed_on, undo=True),
    "note read": ActKind(),
    "called off": ActKind(May.ALL, _called_off, undo=True),
    "struck": ActKind(),
    "tag lost": ActKind(May.ALL, "tag lost, printed again", undo=True),
    "tag given": ActKind(May.ALL, _tag_given, undo=True),
    "tag found": ActKind(May.ALL, "tag found again", undo=True),
    "collector named": ActKind(May.ALL, _collector, undo=True),
    "reminded": ActKind(May.ALL, _reminded, undo=True),
    "not collected": ActKind(May.OWNER, _not_collected, undo=True),
    "line paid by": ActKind(words=_paid_by, undo=True),
    "discount given": ActKind(words=_discounted, undo=True),
    "ring first": ActKind(May.ALL, _ring, undo=True),
    "photo taken": ActKind(May.ALL, _photo, instead="take it away on the page of photos"),
    "photo away": ActKind(May.ALL, "photo taken away"),
    # Parts for a job or for the bins.
    "part wanted": ActKind(words=_part_wanted, undo=True),
    "part ordered": ActKind(words=_part_move("ordered"), undo=True),
    "part late": ActKind(words=_part_move("late"), undo=True),
    "part came": ActKind(May.ALL, _part_move("here"), undo=True),
    "part from the bins": ActKind(words=_part_move("from the bins"), undo=True),
    "part wrong": ActKind(words=_part_move("wrong"), undo=True),
    "part sent back": ActKind(words=_part_move("sent back"), undo=True),
    "part credited": ActKind(words=_part_move("credited"), undo=True),
    "part kept": ActKind(words=_part_move("kept for the bins"), undo=True),
    "part given": ActKind(words=_part_move("given to the owner"), undo=True),
    "part not wanted": ActKind(words=_part_move("not wanted any more"), undo=True),
    "part fitted": ActKind(),
    "bin counted": ActKind(),
    "supplier said": ActKind(),
    # A bike's joints.
    "marking read": ActKind(words=_marking),
    "limit marked": ActKind(words=_limit_marked),
    "bolt read": ActKind(),
    "round tick": ActKind(words=_round_tick),
    # A bike's build sheet.
    "part added": ActKind(words=_added, instead=_BUILD),
    "part replaced": ActKind(words=_replaced, instead=_BUILD),
    "part taken off": ActKind(words=_taken_off, instead=_BUILD),
    "part moved": ActKind(words=_moved, instead=_BUILD),
    "part described": ActKind(
        words=_described, counter_if=lambda request: getattr(request, "source", "") == "owner's word"
    ),
    "corner confirmed": ActKind(words=_corner, instead=_BUILD),
    "facts read": ActKind(words=_facts),
    # How far it went.
    "on since said": ActKind(May.ALL, _since),
    "distance said": ActKind(words=_distance),
    "display read": ActKind(May.ALL, _display),
    "own bike added": ActKind(May.ALL, "written down as a further bike of its owner"),
    "own trainer added": ActKind(May.ALL, _own("indoor trainer")),
    "own wheels added": ActKind(May.ALL, _own("further wheels")),
    "rides taken in": ActKind(May.ALL, _rides),
    "rides placed": ActKind(May.ALL, _placed),
    "rides moved": ActKind(May.ALL, _rides_moved),
    "rides taken back": ActKind(May.ALL, _rides_back),
    # The workshop: bins, board, what was learned, people.
    "parts taken in": ActKind(),
    "instrument checked": ActKind(),
    "tool checked": ActKind(),
    "tool tried": ActKind(),
    "tool measured": ActKind(),
    "tool looked over": ActKind(),
    "tool hung": ActKind(),
    "arm measured": ActKind(),
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
    "labour set": ActKind(May.OWNER),
    "words set": ActKind(May.OWNER),
    "row changed": ActKind(May.OWNER),
    "change point set": ActKind(May.OWNER),
    "tables read": ActKind(May.OWNER),
    "person changed": ActKind(May.OWNER),
    "tablet named": ActKind(May.ALL),
    "tablet ended": ActKind(May.OWNER),
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
    return words(event, beside) if callable(words) else words or event.kind
