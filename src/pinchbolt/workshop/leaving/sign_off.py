"""The safety list of this bike, the second look, and the named mechanic's sign-off."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from pinchbolt.engines.build import Build, ItemAfter, unseen_corners
from pinchbolt.engines.build import items_for as items_of
from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import Bike, Event, Job, ListCheck
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.work import SignoffItem
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.acts.state import JobState, job_state, still_open
from pinchbolt.workshop.bikes.battery import SWOLLEN, is_swollen
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.wheel_hit import wheels_to_look_at
from pinchbolt.workshop.bikes.why_listed import why_listed
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.leaving._list_of_stay import AT_HANDOVER, Hand, answers_for, items_of_stay, proven
from pinchbolt.workshop.leaving.before_it_leaves import (
    declined_by_name,
    due_before_it_leaves,
    held_before_it_leaves,
)
from pinchbolt.workshop.stays.complaints import complaints_of
from pinchbolt.workshop.stays.not_seen import NotSeenView, not_seen_of
from pinchbolt.workshop.stays.note_finding import findings_of, findings_standing
from pinchbolt.workshop.stays.standing import open_lines, standing_of
from pinchbolt.workshop.torque.torque_sheet import questions_of, undone_joints

ONE_LOOKS = worded("one person")
TWO_LOOK = worded("one person, and a second look by somebody else")


Looks = Mapping[tuple[str, bool], ListCheck]


@dataclass(frozen=True, slots=True)
class LookRequest:
    """Items of the list: met or not; `second` for the second look, `after_break` where the same person looks again.

    `unseen`: it could not be seen, which is not met whatever `met` says; `words` then say what stood in the way.
    """

    job: int
    items: tuple[str, ...]
    met: bool = True
    second: bool = False
    after_break: bool = False
    words: str = ""
    unseen: bool = False


@dataclass(frozen=True, slots=True)
class SignOffRequest:
    """The statement that the list is met."""

    job: int


@dataclass(frozen=True, slots=True)
class ReopenRequest:
    """Why a signed-off job is opened again."""

    job: int
    words: str


@dataclass(frozen=True, slots=True)
class ItemView:
    """One item: who saw it met, who looked again, and what is still missing (empty = met).

    `touched`: the work of this stay was there. `by_value`: the done values of its joints prove it. `unseen`: it could not
    be seen, and why; what makes a bike unsafe must be seen, of anything else the owner is told. `alone`: one person took both looks.
    `wants_second`: all that is missing is the second look.
    `who_looks` says who must look at it, `why` what puts it on this bike's list.
    """

    id: str
    words: str
    proof: str
    if_not: str
    touched: bool
    needs_second: bool
    met_by: str
    by_value: bool
    second_by: str
    alone: bool
    not_met_words: str
    unseen: str
    open_joints: tuple[str, ...]
    missing: str
    wants_second: bool
    who_looks: str
    why: tuple[str, ...]

    @property
    def is_said(self) -> bool:
        """Whether somebody looked at it, whatever came of it."""
        return bool(self.met_by or self.not_met_words or self.unseen)


@dataclass(frozen=True, slots=True)
class SignOffView:
    """The list, and what stands between this bike and 'ready': in plain sentences, worst first.

    `not_seen`: looks of the walk-round that could not be had. `left_unseen`: sentences on whatever of safety the bike leaves
    without a look at; they are read out to the owner. `complaints`: what the owner complains of and nobody has found.
    """

    job: int
    items: tuple[ItemView, ...]
    not_seen: tuple[NotSeenView, ...]
    stops: tuple[str, ...]
    declined_safety: tuple[str, ...]
    unsafe_declined: tuple[str, ...]
    left_unseen: tuple[str, ...]
    complaints: tuple[str, ...]


def look_and_list(request: LookRequest, *, by: int, key: str, now: datetime) -> SignOffView:
    """Write down that items were looked at (`look_at_item`), and return the list as it stands then."""
    look_at_item(request, by=by, key=key, now=now)
    return sign_off_list(job_by_id(request.job), now)


def look_at_item(request: LookRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that items were looked at.

    Raises:
        InputRefused: No item, or one that is not on this bike's list.
        NotPossibleNow: A second look before the first, or by the same person without a break; the job is closed.
    """
    with act("list looked at", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        still_open(job)
        what = worded("Why it could not be seen") if request.unseen else worded("The remark")
        words = short(request.words, "words", what, 200, needed=request.unseen)
        on_list = {item.id for item in items_for(job.bike)}
        looks, by_value = _looks(job), _by_value(job) if request.second else {}
        if not request.items:
            raise InputRefused(worded("Tick what you checked first."))
        for item in request.items:
            if item not in on_list:
                sentence = worded(
                    '"{item}" is not on the list of {tag}. Choose an item of its list.',
                    item=item[:40],
                    tag=job.bike.tag,
                )
                raise InputRefused(sentence, {"items": sentence})
            if request.second:
                _other_eyes(_first_hand(looks, by_value, item), request.after_break, by)
        this.write(job=job)
        old = {
            item: looks[item, request.second].event
            for item in request.items
            if (item, request.second) in looks
        }
        met = request.met and not request.unseen
        each = {item: {"item": item, "met": met} for item in request.items}
        ListCheck.objects.bulk_create(
            ListCheck(
                event=event,
                job=job,
                item=item,
                met=met,
                unseen=request.unseen,
                second=request.second,
                words=worded("same person, after a break. {words}", words=words).strip()
                if request.after_break
                else words,
            )
            for item, event in this.also_each("item looked at", job, each, old).items()
        )


def _by_value(job: Job) -> dict[str, Hand]:
    build = build_of(job.bike)
    return proven(items_of_stay(job, build), job, build, undone_joints(job, build))


def _first_hand(looks: Looks, by_value: Mapping[str, Hand], item: str) -> Hand | None:
    """Who met an item at the first look, or did the joints whose values prove it."""
    first = looks.get((item, False))
    if first is None:
        return by_value.get(item)
    return Hand(first.event.by_id, first.event.by.name) if first.met else None


def _other_eyes(first: Hand | None, after_break: bool, by: int) -> None:
    if first is None:
        raise NotPossibleNow(worded("The first look comes before the second: somebody ticks it first."))
    if first.id == by and not after_break:
        raise NotPossibleNow(
            worded(
                "{name} checked this first, so somebody else must look. Alone? Look again after a break.",
                name=first.name,
            )
        )


def sign_off(request: SignOffRequest, *, by: int, key: str, now: datetime) -> JobState:
    """State that the safety list is met: the bike is ready.

    Raises:
        NotPossibleNow: Something stands open; the sentence names the first and says how many more.
    """
    with act("signed off", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        still_open(job)
        if not this.person.may_sign:
            raise NotAllowed(
                worded(
                    "{name} may not sign a bike off: ask somebody who may, or change it under settings, "
                    "people.",
                    name=this.person.name,
                )
            )
        stops = sign_off_list(job, now).stops
        if stops:
            more = worded(" And {stops} more.", stops=len(stops) - 1) if len(stops) > 1 else ""
            raise NotPossibleNow(
                worded(
                    "{tag} cannot be signed off yet: {stops}{more}",
                    tag=job.bike.tag,
                    stops=stops[0],
                    more=more,
                ),
                {f"stop_{n}": s for n, s in enumerate(stops)},
            )
        this.write(job=job)
        return job_state(job)


def reopen(request: ReopenRequest, *, by: int, key: str, now: datetime) -> JobState:
    """Open a signed-off job again; the sign-off stays in the history and counts no longer.

    Raises:
        InputRefused: No reason given.
        NotPossibleNow: The job is not signed off.
    """
    with act("reopened", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        state = job_state(job)
        if state.ended or not state.signed_off:
            raise NotPossibleNow(
                worded("{tag} is not signed off, so there is nothing to reopen.", tag=job.bike.tag)
            )
        short(request.words, "words", worded("Why the job is opened again"), 200, needed=True)
        this.write(job=job)
        return job_state(job)


def items_for(bike: Bike) -> tuple[SignoffItem, ...]:
    """Return the items that this bike's parts and kind bring up: its whole list, of which a stay asks what its work touched."""
    return _items(build_of(bike))


def _items(build: Build) -> tuple[SignoffItem, ...]:
    return tuple(item for item in items_of(build) if item.id != AT_HANDOVER)


@one_look()
def sign_off_list(job: Job, now: datetime) -> SignOffView:
    """Return the list of a job with what is met, by whom, and what stands open."""
    build = build_of(job.bike)
    undone = undone_joints(job, build)
    looks, asked = _looks(job), items_of_stay(job, build)
    by_value = proven(asked, job, build, undone)
    items = tuple(
        _item_seen(
            one,
            looks,
            tuple(name for name in undone if answers_for(one.row, name)),
            why_listed(build, one.row),
            _first_hand(looks, by_value, one.row.id),
        )
        for one in asked
    )
    stand = standing_of(job)
    done, agreed = stand.done, stand.agreed
    lines = list(open_lines(job))
    unsafe = unsafe_findings(job)
    stops = [worded("Unsafe to ride: {finding}", finding=finding) for finding in unsafe]
    stops += [SWOLLEN] if is_swollen(job.bike) else []
    stops += wheels_to_look_at(job.bike)
    stops += held_before_it_leaves(job)
    stops += [
        worded("Agreed but not done: {words}.", words=line.words)
        for line in lines
        if line.pk in agreed and line.pk not in done
    ]
    stops += undone.values()
    # Of a joint that can throw the rider it must be known whether the work opened it; the others are asked on the sheet.
    stops += [one.words for one in questions_of(job, build) if one.critical == "A"]
    stops += [item.missing for item in items if item.missing]
    not_seen = not_seen_of(job)
    stops += [
        worded(
            "{sentence} Look now and take the reading, or say why the bike leaves without it.",
            sentence=one.sentence,
        )
        for one in not_seen
        if one.safety and not one.leaves
    ]
    stops += _unseen(build)
    return SignOffView(
        job=job.pk,
        items=items,
        not_seen=not_seen,
        stops=tuple(stops),
        declined_safety=declined_by_name(job),
        unsafe_declined=tuple(unsafe),
        complaints=tuple(one.sentence for one in complaints_of(job) if not one.closed),
        left_unseen=(
            *(one.sentence for one in not_seen if one.safety and one.leaves),
            *(
                worded("{words}: could not be seen ({unseen}).", words=item.words, unseen=item.unseen)
                for item in items
                if item.unseen and not item.missing
            ),
        ),
    )


def stops_going_home(job: Job, now: datetime) -> list[str]:
    """Return why a bike is not ridden home meanwhile: unsafe, due before it leaves, open, seen wrong, not seen, or declined.

    What nobody looked at yet is none.
    """
    seen = sign_off_list(job, now)
    stops = [worded("Unsafe to ride: {finding}", finding=finding) for finding in unsafe_findings(job)]
    stops += [SWOLLEN] if is_swollen(job.bike) else []
    stops += wheels_to_look_at(job.bike)
    stops += [
        worded("{title}: to be done before it leaves.", title=title)
        for title in due_before_it_leaves(job).values()
    ]
    if job_state(job).started:
        build = build_of(job.bike)
        stops += undone_joints(job, build).values()
        stops += [one.words for one in questions_of(job, build) if one.critical == "A"]
    stops += [item.missing for item in seen.items if item.missing and item.is_said]
    stops += [one.sentence for one in seen.not_seen if one.safety]
    stops += [
        worded("Declined by the owner: {words}. Hand it over, so that they are told.", words=words)
        for words in seen.declined_safety
    ]
    return stops


def _unseen(build: Build) -> list[str]:
    """What is not on the build sheet counts as not there only once a hand has looked: one stop for all corners."""
    corners = unseen_corners(build)
    if not corners:
        return []
    words = [row.words for corner, row in tables().corners.items() if corner in corners]
    return [
        worded(
            "Nobody has confirmed yet what stands at: {words}. Look at each corner against the "
            "build sheet, or confirm the whole bike as shown; it is asked once in a bike's life.",
            words="; ".join(words),
        )
    ]


def unsafe_findings(job: Job) -> list[str]:
    """Return findings, of earlier stays too, that make the bike unsafe: no line put them right, and their part is still there."""
    return [
        f"{seen.part_words}: {seen.words}"
        for seen in findings_standing(findings_of(job), job.bike)
        if seen.verdict == Verdict.UNSAFE
    ]


def _item_seen(
    one: ItemAfter, looks: Looks, open_joints: tuple[str, ...], why: tuple[str, ...], met: Hand | None
) -> ItemView:
    item, needs_second = one.row, one.row.second and one.touched
    first, again = looks.get((item.id, False)), looks.get((item.id, True))
    looked_again = again is not None and again.met
    wants_second = False
    missing, unseen = "", first.words if first is not None and first.unseen else ""
    if unseen:
        missing = (
            worded("{words}: could not be seen. {unseen}", words=item.words, unseen=unseen)
            if item.if_not == Verdict.UNSAFE
            else ""
        )
    elif first is not None and not first.met:
        missing = worded(
            "{words}: not right. {first_words}", words=item.words, first_words=first.words
        ).strip()
    elif met is None:
        missing = worded("{words}: not checked yet.", words=item.words)
    elif again is not None and not again.met:
        missing = worded(
            "{words}: not right at the second look. {again_words}", words=item.words, again_words=again.words
        ).strip()
    elif needs_second and not looked_again:
        missing, wants_second = worded("{words}: no second look yet.", words=item.words), True
    return ItemView(
        id=item.id,
        words=item.words,
        proof=item.proof,
        if_not=item.if_not,
        touched=one.touched,
        needs_second=needs_second,
        met_by=met.name if met is not None else "",
        by_value=met is not None and first is None,
        second_by=again.event.by.name if again is not None and again.met else "",
        alone=again is not None and met is not None and looked_again and again.event.by_id == met.id,
        not_met_words=first.words if first is not None and not first.met and not unseen else "",
        unseen=unseen,
        open_joints=open_joints,
        missing=missing,
        wants_second=wants_second,
        who_looks=TWO_LOOK if needs_second else ONE_LOOKS,
        why=why,
    )


def _looks(job: Job) -> Looks:
    """Return the standing look at each item, first and second."""
    return {(row.item, row.second): row for row in _list_checks(job.pk)}


@prepared
def _list_checks(job: int) -> QuerySet[ListCheck]:
    rows = ListCheck.objects.filter(job=job, event__corrected_by__isnull=True)
    return rows.select_related("event__by").order_by("pk")


def signed_by(job: Job) -> str:
    """Return who signed the job off last, or ''."""
    event = (
        Event.objects.filter(job=job, kind="signed off", corrected_by__isnull=True)
        .select_related("by")
        .order_by("-pk")
        .first()
    )
    return event.by.name if event else ""
