"""A bike that is somebody else's from a day on: sold, given away, handed down. Every stay stays with whose it was then."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, Event, Job, Owner, note_look_up
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.common.checks import local_day, not_in_future, short
from pinchbolt.workshop.owners.change_owner import owner_to_change
from pinchbolt.workshop.owners.one_person import settle_bikes, stands_for
from pinchbolt.workshop.owners.outbox import tidy_outbox

GIVEN_OVER = "bike given over"
NOT_KNOWN = as_kept("owner not known")
"""How whoever has a bike is called while nobody said who it is."""


@dataclass(frozen=True, slots=True)
class GiveOverRequest:
    """A bike has another owner from a day on (None: today): one who is known here, somebody new by name, or nobody knows who."""

    tag: str
    to: int | None = None
    name: str = ""
    phone: str = ""
    day: date | None = None


@dataclass(frozen=True, slots=True)
class UndoGiveOverRequest:
    """The giving over to take back, by its event."""

    giving: int


@dataclass(frozen=True, slots=True)
class GivingView:
    """A giving over that stands: from whom to whom, from which day on, who wrote it down and when; `may_undo`: the newest."""

    giving: int
    tag: str
    gone_from: str
    gone_to: str
    to: int
    day: date
    by: str
    at: datetime
    may_undo: bool


def give_over(request: GiveOverRequest, *, by: int, key: str, now: datetime) -> GivingView:
    """Write down that a bike has another owner.

    Raises:
        InputRefused: The owner that it has already, a day ahead or before it came to the last one, a text too long.
        NotFound: No such bike or owner.
        NotPossibleNow: The bike is here, or the new owner was erased.
    """
    with act(GIVEN_OVER, by=by, key=key, now=now, request=request, private=("name", "phone")) as this:
        bike = bike_by_tag(request.tag)
        if this.repeated:
            return _view(this.done_before, newest=True)
        for job in bike.jobs.all():
            if not (state := job_state(job)).ended:
                raise NotPossibleNow(
                    worded(
                        "{tag} is here ({words}), and its work was agreed with {name}: end this stay first.",
                        tag=bike.tag,
                        words=state.words,
                        name=bike.owner.name,
                    )
                )
        day = not_in_future(
            request.day or local_day(now), now, "day", worded("The day on which it changed hands")
        )
        last = _standing(bike)[-1:]
        if last and day < _day(last[0]):
            sentence = worded(
                "{tag} came to {name} on {day:%d %b %Y}: choose that day or a later one.",
                tag=bike.tag,
                name=bike.owner.name,
                day=_day(last[0]),
            )
            raise InputRefused(sentence, {"day": sentence})
        new = owner_to_change(request.to) if request.to is not None else _somebody_new(request)
        if new.pk in (bike.owner_id, bike.came_with_id):
            sentence = worded("{tag} is {name}'s already: choose somebody else.", tag=bike.tag, name=new.name)
            raise InputRefused(sentence, {"to": sentence})
        return _view(pass_on(this, bike, new, day), newest=True)


def pass_on(this: Act, bike: Bike, new: Owner, day: date, name: str = "") -> Event:
    """Give a bike over inside an act: as the act itself, or under a *name* as what another act brings with it."""
    said = {"from": bike.came_with_id or bike.owner_id, "to": new.pk, "day": day.isoformat()}
    if name:
        event = this.also(GIVEN_OVER, name, bike=bike, said=said)
    else:
        this.said = said
        event = this.write(bike=bike)
    _settle(bike, new.pk)
    return event


def undo_give_over(request: UndoGiveOverRequest, *, by: int, key: str, now: datetime) -> str:
    """Take the newest giving over of a bike back, and return its tag: it is the one's again who had it before.

    Raises:
        NotFound: No such giving over.
        NotPossibleNow: It was taken back, is not the newest, or the bike was here since: then it is given over anew.
    """
    with act("giving over undone", by=by, key=key, now=now, request=request) as this:
        event = Event.objects.filter(pk=request.giving, kind=GIVEN_OVER).select_related("bike").first()
        if event is None or event.bike is None:
            raise NotFound(
                worded(
                    "There is no giving over {giving}. Choose one on the bike's page.", giving=request.giving
                )
            )
        if this.repeated:
            return event.bike.tag
        bike, said = event.bike, event.said
        if [one.pk for one in _standing(bike)[-1:]] != [event.pk]:
            raise NotPossibleNow(
                worded("Only the newest is taken back, and once: give the bike over to whom it belongs.")
            )
        since = bike.jobs.filter(opened_at__gt=event.at).order_by("opened_at").first()
        if since is not None:
            raise NotPossibleNow(
                worded(
                    "{tag} was here on {opened_at:%d %b %Y} with {name}: that stay is theirs. Give the "
                    "bike over to whom it belongs from a day on.",
                    tag=bike.tag,
                    opened_at=local_day(since.opened_at),
                    name=bike.owner.name,
                )
            )
        if Owner.objects.filter(pk=said["from"], erased_at__isnull=False).exists():
            raise NotPossibleNow(worded("Who had it before was erased since: nothing leads back to them."))
        this.write(bike=bike, corrects=event)
        _settle(bike, int(said["from"]))
        return bike.tag


def givings_of(bike: Bike) -> tuple[GivingView, ...]:
    """Return through whose hands a bike went, the newest first."""
    rows = _standing(bike)
    return tuple(_view(one, newest=one is rows[-1]) for one in reversed(rows))


def _somebody_new(request: GiveOverRequest) -> Owner:
    name = short(request.name, "name", worded("The new owner's name"), 120)
    phone = short(request.phone, "phone", worded("The phone number"), 40)
    return Owner.objects.create(name=name or NOT_KNOWN, phone=phone)


def _standing(bike: Bike) -> list[Event]:
    rows = Event.objects.filter(bike=bike, kind=GIVEN_OVER, corrected_by__isnull=True)
    return list(rows.select_related("by", "bike").order_by("pk"))


def _day(event: Event) -> date:
    return date.fromisoformat(event.said["day"])


def _settle(bike: Bike, own: int) -> None:
    """The bike is *own*'s; each of its stays goes with whoever had it when it came in."""
    before = bike.owner_id
    bike.owner_id, bike.came_with_id = own, None
    bike.save(update_fields=["owner", "came_with"])
    rows = _standing(bike)
    changed = []
    for job in bike.jobs.all():
        then = _owner_then(job, rows, own)
        if then != job.owner_id:
            job.owner_id = then
            changed.append(job)
    Job.objects.bulk_update(changed, ["owner"])
    settle_bikes((own,))
    bike.refresh_from_db(fields=["owner", "came_with"])
    note_look_up(before, own, bike.owner_id)
    # A letter to the other one that waits is gone at once, not when somebody looks next.
    transaction.on_commit(tidy_outbox)


def _owner_then(job: Job, rows: Sequence[Event], own: int) -> int | None:
    """Whose a bike was when it came in for a stay; None where it is the same one's now.

    On the very day it is the new owner's if that was known by then: who brings it in says whose it is.
    """
    if not rows:
        return None
    opened = local_day(job.opened_at)
    had = int(rows[0].said["from"])
    for one in rows:
        if _day(one) < opened or (_day(one) == opened and one.at <= job.opened_at):
            had = int(one.said["to"])
    return had if had != own else None


def _view(event: Event, *, newest: bool) -> GivingView:
    assert event.bike is not None  # such an act is always written with its bike
    both = Owner.objects.in_bulk([event.said["from"], event.said["to"]])
    gone_to = stands_for(both[event.said["to"]])
    return GivingView(
        event.pk,
        event.bike.tag,
        stands_for(both[event.said["from"]]).name,
        gone_to.name,
        gone_to.pk,
        _day(event),
        event.by.name,
        event.at,
        newest,
    )
