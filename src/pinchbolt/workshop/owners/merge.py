"""Two owners who turn out to be one person: merged, and taken apart again at any time.

A merge moves nothing but the bikes' names: who was merged points at who stands for them, and what is personal stays in rows of
each. So any merges may be undone in any order.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from pinchbolt.errors import InputRefused, NotAllowed, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, Consent, Event, Owner, OwnerWords, Role
from pinchbolt.values import Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.owners.change_owner import owner_to_change
from pinchbolt.workshop.owners.one_person import settle_bikes, stands_for
from pinchbolt.workshop.owners.outbox import tidy_outbox
from pinchbolt.workshop.owners.told_fields import (
    FIELDS,
    PHONE,
    WORDS,
    ReachWay,
    said_now,
    same_way,
    settle_fields,
    write_changes,
)

_A_DAY = timedelta(days=1)
# What the kept owner may take from the other; the limit only where it is chosen, so that a merge never lets more be spent.
MERGED = (*FIELDS, "spend_limit")
_FILLED = tuple(name for name in FIELDS if name not in ("name", "phone", "note"))


@dataclass(frozen=True, slots=True)
class MergeRequest:
    """Keep one owner, let the other go into them; `take` names the fields that come from the other. Empty ones are filled."""

    kept: int
    gone: int
    take: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class UndoMergeRequest:
    """The merge to take back, by its event."""

    merge: int


@dataclass(frozen=True, slots=True)
class TakenApart:
    """Both owners again, and in words what was written after the merge: it stays with the kept one."""

    kept: int
    gone: int
    after: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MergeView:
    """A merge that stands: its event, who went, who did it and when."""

    merge: int
    gone: str
    by: str
    at: datetime


def merge_owners(request: MergeRequest, *, by: int, key: str, now: datetime) -> int:
    """Merge two owners and return the number of the one who is kept.

    Raises:
        InputRefused: The same owner twice, or a field that can't be taken.
        NotPossibleNow: One of them was erased.
    """
    with act("owners merged", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return int(this.done_before.said["kept"])
        kept, gone = owner_to_change(request.kept), owner_to_change(request.gone)
        if kept.pk == gone.pk:
            raise InputRefused(
                worded("{name} is one owner already: choose the other one to merge with.", name=kept.name)
            )
        astray = [name for name in request.take if name not in MERGED]
        if astray:
            raise InputRefused(
                worded(
                    '"{astray}" can\'t be taken: {merged}. Choose of these.',
                    astray=astray[0][:30],
                    merged=", ".join(MERGED),
                )
            )
        this.said = {"kept": kept.pk, "gone": gone.pk, "take": sorted(request.take)}
        event = this.write()
        changes = _changes(kept, gone, request.take)
        gone.merged_into = kept
        gone.save(update_fields=["merged_into"])
        write_changes(kept, event, changes)
        settle_bikes((kept.pk, gone.pk))
        transaction.on_commit(tidy_outbox)
        return kept.pk


def undo_merge(request: UndoMergeRequest, *, by: int, key: str, now: datetime) -> TakenApart:
    """Take two owners apart again: fields, phones, bikes and consents go back where they came from.

    Raises:
        NotFound: No such merge.
        NotAllowed: It was made more than a day ago, and this person does not own the workshop.
        NotPossibleNow: It was taken back already, or the owner was erased.
    """
    with act("merge undone", by=by, key=key, now=now, request=request) as this:
        merge = Event.objects.filter(pk=request.merge, kind="owners merged").first()
        if merge is None:
            raise NotFound(
                worded("There is no merge {merge}. Choose one on the owner's page.", merge=request.merge)
            )
        kept = Owner.objects.select_for_update().get(pk=merge.said["kept"])
        gone = Owner.objects.select_for_update().get(pk=merge.said["gone"])
        if this.repeated:
            return TakenApart(kept.pk, gone.pk, _after(merge, kept))
        if this.person.role != Role.OWNER and now - merge.at > _A_DAY:
            raise NotAllowed(
                worded(
                    "{name} is {role}: a merge of more than a day ago is undone by the owner of the "
                    "workshop.",
                    name=this.person.name,
                    role=this.person.role,
                )
            )
        if kept.erased_at is not None:
            raise NotPossibleNow(
                worded(
                    "This owner was erased, with everybody merged into them: nothing is left to take apart."
                )
            )
        after = _after(merge, kept)
        together = stands_for(kept)
        this.write(corrects=merge)
        gone.merged_into = None
        gone.save(update_fields=["merged_into"])
        row = OwnerWords.objects.filter(event=merge).first()
        settle_fields(kept, row.changes if row is not None else ())
        settle_bikes((together.pk,))
        return TakenApart(kept.pk, gone.pk, after)


def merges_of(owner: int) -> tuple[MergeView, ...]:
    """Return the merges into an owner that stand, the newest first."""
    rows = Event.objects.filter(kind="owners merged", said__kept=owner, corrected_by__isnull=True)
    names = dict(Owner.objects.filter(merged_into=owner).values_list("pk", "name"))
    return tuple(
        MergeView(one.pk, names.get(one.said["gone"], ""), one.by.name, one.at)
        for one in rows.select_related("by").order_by("-pk")
    )


def _changes(kept: Owner, gone: Owner, take: Sequence[str]) -> Json:
    """What the kept owner says from now on, of what the other one said."""
    changes: Json = {}
    for name in MERGED:
        before, theirs = said_now(kept, name), said_now(gone, name)
        fills = name in _FILLED and not before
        if theirs and theirs != before and (name in take or fills):
            changes[name] = [before, theirs]
    if gone.note and kept.note and gone.note != kept.note and "note" not in take:
        changes["note"] = [kept.note, f"{kept.note}\n{gone.note}"]
    elif gone.note and not kept.note:
        changes["note"] = [kept.note, gone.note]
    if gone.phone and not kept.phone:
        changes["phone"] = [kept.phone, gone.phone]
    rung = changes.get("phone", [None, kept.phone])[1]
    offered = [*_as_way(kept.phone), *_as_way(gone.phone), *gone.ways]
    first = ReachWay(PHONE, rung).kept()
    added = [one for one in offered if not same_way(one, first)]
    if added:
        changes["ways"] = {"before": kept.ways, "added": added, "removed": []}
    return changes


def _as_way(phone: str) -> list[Json]:
    return [ReachWay(PHONE, phone).kept()] if phone else []


def _after(merge: Event, kept: Owner) -> tuple[str, ...]:
    """What was written of the kept owner after a merge, in words: nobody knows whose it is."""
    words = OwnerWords.objects.filter(owner=kept, event__gt=merge, event__kind="owner changed")
    said = [
        worded(
            "{changes} changed by {name} on {at:%d %b %Y}",
            changes=", ".join(WORDS.get(name, name) for name in row.changes),
            name=row.event.by.name,
            at=row.event.at,
        )
        for row in words.select_related("event__by")
    ]
    said += [
        worded(
            "consent, {about} by {by_way}: {yes}, {day:%d %b %Y}",
            about=row.about,
            by_way=row.by_way,
            yes=worded("yes") if row.yes else worded("no"),
            day=row.day,
        )
        for row in Consent.objects.filter(owner=kept, event__gt=merge)
    ]
    bikes = Bike.objects.filter(owner=kept, came_with__isnull=True, jobs__opened_at__gt=merge.at).distinct()
    first = [bike for bike in bikes if not bike.jobs.filter(opened_at__lte=merge.at).exists()]
    return (
        *said,
        *(
            worded("{tag} {words}, here for the first time after the merge", tag=bike.tag, words=bike.words)
            for bike in first
        ),
    )
