"""An owner's page: who they are, how they are reached, what they said yes to, their bikes, and what was changed by whom."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Q

from pinchbolt.records.models import Bike, Bill, Event, Owner, OwnerWords
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import owner_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.owners.consent import ConsentView, consents_of
from pinchbolt.workshop.owners.find import owners_of_name, owners_of_phone, phones_of
from pinchbolt.workshop.owners.merge import MERGED, MergeView, merges_of
from pinchbolt.workshop.owners.one_person import all_of, stays_of
from pinchbolt.workshop.owners.told_fields import WORDS, ReachWay, said_now


@dataclass(frozen=True, slots=True)
class OwnersBike:
    """A bike of an owner, and where it is: in words, "" where it is not here; `job` is its open stay."""

    tag: str
    words: str
    where: str
    job: int | None
    last_here: date | None


@dataclass(frozen=True, slots=True)
class OwnerChange:
    """One act about an owner: what was done, who did it and when."""

    at: datetime
    by: str
    words: str


@dataclass(frozen=True, slots=True)
class AlikeOwner:
    """Somebody with the same phone or name, of whom nobody said that it is somebody else."""

    owner: int
    name: str
    bikes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OwnerView:
    """An owner as their page shows them. `number` stays when all else is erased; `seen` is the newest act about their fields."""

    number: int
    name: str
    fields: Mapping[str, str]
    ways: tuple[ReachWay, ...]
    spend_limit: Decimal | None
    phones: tuple[str, ...]
    seen: int
    is_erased: bool
    bikes: tuple[OwnersBike, ...]
    consents: tuple[ConsentView, ...]
    merges: tuple[MergeView, ...]
    alike: tuple[AlikeOwner, ...]
    bills: tuple[str, ...]
    changes: tuple[OwnerChange, ...]


@dataclass(frozen=True, slots=True)
class MergeRow:
    """A field of two owners, side by side."""

    name: str
    words: str
    kept: str
    gone: str


def owner_view(owner: int) -> OwnerView:
    """Return an owner's page; of one who was merged into another, that other's.

    Raises:
        NotFound: No such owner.
    """
    row = owner_by_id(owner)
    one = all_of(row.pk)
    newest = OwnerWords.objects.filter(owner=row).order_by("-event").values_list("event", flat=True).first()
    bills = Bill.objects.filter(job__in=stays_of(row.pk)).order_by("year", "number")
    return OwnerView(
        number=row.pk,
        name=row.name,
        fields={
            name: str(said_now(row, name) or "") for name in WORDS if name not in ("ways", "spend_limit")
        },
        ways=tuple(ReachWay(way["kind"], way["value"], way.get("whose", "")) for way in row.ways),
        spend_limit=row.spend_limit,
        phones=phones_of(row),
        seen=newest or 0,
        is_erased=row.erased_at is not None,
        bikes=tuple(_bike(bike) for bike in row.bikes.order_by("tag").prefetch_related("jobs")),
        consents=consents_of(row.pk),
        merges=merges_of(row.pk),
        alike=() if row.erased_at is not None else _alike(row),
        bills=tuple(str(bill) for bill in bills),
        changes=_changes(one),
    )


def merge_rows(kept: int, gone: int) -> tuple[MergeRow, ...]:
    """Return the fields in which two owners differ and both say something.

    Raises:
        NotFound: No such owner.
    """
    one, other = owner_by_id(kept), owner_by_id(gone)
    rows = [
        MergeRow(name, WORDS[name], str(said_now(one, name) or ""), str(said_now(other, name) or ""))
        for name in MERGED
    ]
    return tuple(row for row in rows if row.gone and row.kept != row.gone)


def _bike(bike: Bike) -> OwnersBike:
    jobs = sorted(bike.jobs.all(), key=lambda job: job.opened_at)
    # The newest stay alone can be open: a bike is not checked in twice.
    state = job_state(jobs[-1]) if jobs else None
    here = state is not None and not state.ended
    return OwnersBike(
        bike.tag,
        bike.words,
        state.words if state is not None and here else "",
        jobs[-1].pk if here else None,
        jobs[-1].opened_at.date() if jobs else None,
    )


def _alike(row: Owner) -> tuple[AlikeOwner, ...]:
    found = {one.pk: one for phone in phones_of(row) for one in owners_of_phone(phone)}
    found |= {one.pk: one for one in owners_of_name(row.name)}
    found.pop(row.pk, None)
    if not found:
        return ()
    told = Event.objects.filter(kind="owners told apart").filter(Q(said__one=row.pk) | Q(said__other=row.pk))
    apart = {said[name] for said in told.values_list("said", flat=True) for name in ("one", "other")}
    return tuple(
        AlikeOwner(one.pk, one.name, tuple(one.bikes.order_by("tag").values_list("tag", flat=True)))
        for one in found.values()
        if one.pk not in apart
    )[:5]


def _changes(one: tuple[int, ...]) -> tuple[OwnerChange, ...]:
    rows = OwnerWords.objects.filter(owner__in=one).select_related("event__by").order_by("-event")[:50]
    told = [
        (row.event, f"{row.event.kind}: {', '.join(WORDS.get(name, name) for name in sorted(row.changes))}")
        for row in rows
    ]
    further = ("consent said", "merge undone", "told what we hold", "owner erased")
    about = Q(said__owner__in=list(one)) | Q(corrects__owner_words__owner__in=one)
    for event in Event.objects.filter(about, kind__in=further).select_related("by").order_by("-pk")[:50]:
        what = (
            worded(": {said} by {event_said}", said=event.said["about"], event_said=event.said["by_way"])
            if event.kind == "consent said"
            else ""
        )
        told.append((event, f"{event.kind}{what}"))
    newest = sorted(told, key=lambda line: -line[0].pk)[:50]
    return tuple(
        OwnerChange(event.at, event.by.name, words.replace(": \n", "").rstrip(": "))
        for event, words in newest
    )
