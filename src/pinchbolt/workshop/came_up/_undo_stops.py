"""Why an act can't be taken back: what was written since stands on it."""

from collections.abc import Callable, Collection, Mapping, Sequence
from datetime import datetime
from typing import cast

from django.db.models import QuerySet, Value
from django.utils import timezone

from pinchbolt.records.models import UNDONE, Event
from pinchbolt.records.models.event import EventRow
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.kinds_of_act import act_kind
from pinchbolt.workshop.acts.state import ENDS, MOVES, job_state
from pinchbolt.workshop.common.checks import local_day

Later = Sequence[Event]
# What stays possible when a job is signed off: it changes nothing that the signature stands on.
_BESIDE_THE_WORK = (
    "signed off", "reopened", "owner tried", "text sent", "payment noted", "visit agreed", "promised", "owner told", "moved", "reminded",
    "collector named", *ENDS,
)  # fmt: skip
# Work that was not done is found on another morning: until the signature it is taken back whenever it is seen.
_ANY_DAY = ("line done",)
_MOVED_SINCE = worded("the bike was moved or asked about since: move it back instead")


def _any(kinds: Collection[str], sentence: str) -> Callable[[Event, Later], str]:
    return lambda event, later: sentence if any(one.kind in kinds for one in later) else ""


def _same(name: str, kinds: Collection[str], sentence: str) -> Callable[[Event, Later], str]:
    """A later act of these kinds on the same thing, as both name it."""

    def stop(event: Event, later: Later) -> str:
        of = str(event.said.get(name))
        return sentence if any(one.kind in kinds and str(one.said.get(name)) == of for one in later) else ""

    return stop


def _lines_answered(event: Event, later: Later) -> str:
    lines = {str(line) for line in event.said.get("answers", {})}
    on_it = ("line done", "line given back", "line let off", "line paid by")
    if any(one.kind in on_it and str(one.said.get("line")) in lines for one in later):
        return worded("the work on it went on since: write the other answer down instead")
    return ""


def _read_again(event: Event, later: Later) -> str:
    of = (event.said.get("part"), event.said.get("limit"))
    again = any(
        one.kind == "reading taken" and (one.said.get("part"), one.said.get("limit")) == of for one in later
    )
    return worded("it was read again since: correct the reading instead") if again else ""


def _at_work(event: Event, later: Later) -> str:
    """Bolts may be open by an answer: what it agreed to is not forgotten, only declined."""
    if event.job is not None and job_state(event.job).started:
        return worded("the work was started on it: write the other answer down instead")
    return ""


def _answered_since(event: Event, later: Later) -> str:
    of = str(event.said.get("line"))
    if any(one.kind == "answered" and of in one.said.get("answers", {}) for one in later):
        return worded("the owner has answered on it: say who pays instead, and they are asked again")
    return ""


def _looked_again(event: Event, later: Later) -> str:
    """A second look at a joint is one after it was closed."""
    if any(one.kind == "list looked at" and one.said.get("second") for one in later):
        return worded("a second look was taken since: tighten it again instead")
    return ""


_STOPS: Mapping[str, tuple[Callable[[Event, Later], str], ...]] = {
    "reading taken": (_read_again,),
    "proposed": (_any(("priced",), worded("the owner was told of it: take the line off instead")),),
    "work price set": (_any(("priced",), worded("the owner was told of it: set it again instead")),),
    "withdrawn": (
        _any(("proposed", "priced"), worded("the estimate went on since: put the work on again instead")),
    ),
    "priced": (
        _any(("answered",), worded("the owner has answered on it: change the answer instead")),
        _any(("priced",), worded("the owner was asked again since")),
    ),
    "answered": (
        _lines_answered,
        _at_work,
        _any(("priced",), worded("the owner was asked again since: write the other answer down instead")),
    ),
    "asked together": (
        _any(("answered",), worded("an answer was written down since: say the limit again instead")),
    ),
    "limit said": (
        _any(("answered",), worded("an answer was written down since: say the limit again instead")),
    ),
    "work started": (
        _any(("line done", "done value"), worded("work was done since: take that back first")),
        _any(
            ("line given back", "joint added"),
            worded("something was opened or given back since: go on from here"),
        ),
    ),
    "done value": (_looked_again,),
    "line paid by": (_answered_since,),
    "discount given": (_any(("answered",), worded("the owner has answered on it: say it again instead")),),
    "joint added": (
        _same("joint", ("done value",), worded("the joint was done since: take that back first")),
    ),
    "list looked at": (
        _any(("list looked at",), worded("the list was looked at again since: look at the item again")),
    ),
    "line done": (
        _same("line", ("line let off",), worded("it was taken off the bill since")),
        _any(("measured off",), worded("what came off was measured since")),
    ),
    "wheel measured": (
        _same("part", ("wheel read",), worded("the wheel was read since: measure it again instead")),
    ),
    "wheel read": (
        _same(
            "part",
            ("nipple turned",),
            worded("nipples were turned by it since: read the wheel again instead"),
        ),
        _same("part", ("wheel read",), worded("the wheel was read again since: the newest reading counts")),
    ),
    "nipple turned": (
        _same("part", ("wheel read",), worded("the wheel was read again since: turn it back and read again")),
    ),
    "payment noted": (
        _any(("bill made",), worded("the bill counts it: note the money that went back instead")),
    ),
}


def why_not(event: Event, brought: Sequence[Event], now: datetime) -> str:
    """Return why an act can't be taken back, with what to do instead; "" where it can.

    Args:
        event: The act's own event.
        brought: That event and all that the act brought along.
        now: When.
    """
    row = act_kind(event.kind)
    if not row.undo:
        return worded("It is not taken back by one tap: {instead}.", instead=row.instead)
    if not event.stands:
        return worded("It was taken back or put right already.")
    if local_day(event.at) != local_day(now) and event.kind not in _ANY_DAY:
        return worded(
            "It was written on {at:%d %b %Y}: only today's acts are taken back; {instead}.",
            at=local_day(event.at),
            instead=row.instead,
        )
    sentence = _by_the_job(event) or _by_rows(event, brought) or _by_later_acts(event, brought)
    return f"{sentence[:1].upper()}{sentence[1:].rstrip('.')}." if sentence else ""


def _by_the_job(event: Event) -> str:
    """The job is over or signed off."""
    if event.job is None:
        return ""
    if event.kind in ENDS and event.job.owner_id is not None:
        return worded("the bike is somebody else's since: take that back on the page of its owners first")
    state = job_state(event.job)
    if state.ended and event.kind not in ENDS:
        return worded("the job is over ({words}): nothing in it is taken back", words=state.words)
    if state.signed_off and event.kind not in _BESIDE_THE_WORK:
        signed = event.job.events.filter(kind="signed off", corrected_by__isnull=True).last()
        when = worded(" at {at:%H:%M}", at=timezone.localtime(signed.at)) if signed else ""
        return worded("signed off{when}: open the job again first", when=when)
    return ""


def _by_later_acts(event: Event, brought: Sequence[Event]) -> str:
    own = {one.pk for one in brought}
    later = [one for one in _standing_later(event) if one.pk not in own]
    if event.kind in MOVES and any(one.kind in MOVES for one in later):
        return _MOVED_SINCE
    if event.kind == "reopened" and later:
        return worded("the job was written into since: sign it off again instead")
    for stop in _STOPS.get(event.kind, ()):
        sentence = stop(event, later)
        if sentence:
            return sentence
    return ""


def _standing_later(event: Event) -> list[Event]:
    rows = Event.objects.filter(pk__gt=event.pk, corrected_by__isnull=True).exclude(kind=UNDONE)
    rows = rows.filter(job=event.job_id) if event.job_id else rows.filter(bike=event.bike_id)
    return list(rows.order_by("pk"))


def _by_rows(event: Event, brought: Sequence[Event]) -> str:
    """A later entry names what the act wrote down: it was corrected, or built upon."""
    own = [one.pk for one in brought]
    put_right = Event.objects.filter(corrects__in=own, corrected_by__isnull=True).exclude(pk__in=own)
    if put_right.exclude(kind=UNDONE).exists():
        return worded("it was put right since: put the newer word right instead")
    written: dict[int, list[int]] = {}
    for table, row in _rows_of_acts(tuple(own)):
        written.setdefault(table, []).append(row)
    for table, rows in sorted(written.items()):
        if named := _named_by(_ROWS_OF_ACTS[table], rows, own):
            return named
    return ""


_ROWS_OF_ACTS = tuple(
    relation.related_model
    for relation in Event._meta.related_objects
    if isinstance(relation.related_model, type) and issubclass(relation.related_model, EventRow)
)
"""Every table whose rows an act writes down."""


@prepared
def _rows_of_acts(acts: tuple[int, ...]) -> QuerySet[EventRow, tuple[int, int]]:
    """Table (its place among them) and key of each row of these acts: all tables in one question."""
    first, *others = (
        table._default_manager.filter(event__in=acts).order_by().values_list(Value(place), "pk")
        for place, table in enumerate(_ROWS_OF_ACTS)
    )
    return cast(QuerySet[EventRow, tuple[int, int]], first.union(*others, all=True))


def _named_by(row: type[EventRow], rows: Sequence[int], own: Sequence[int]) -> str:
    for relation in row._meta.related_objects:
        later = relation.related_model
        if not (isinstance(later, type) and issubclass(later, EventRow)):
            continue
        found = (
            later._default_manager.filter(
                **{f"{relation.field.name}__in": rows}, event__corrected_by__isnull=True
            )
            .exclude(event__in=own)
            .select_related("event__by")
            .first()
        )
        if found is not None:
            return worded(
                "{name} built on it since ({kind}): take that back first",
                name=found.event.by.name,
                kind=found.event.kind,
            )
    return ""
