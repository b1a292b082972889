"""Consent: what an owner said yes or no to, by which way, on which day and how. A merge never widens it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from pinchbolt.records.models import ABOUT, BY_WAY, Consent, Event, Owner
from pinchbolt.workshop.acts.one_look import once_a_look


@dataclass(frozen=True, slots=True)
class ConsentView:
    """What stands: `yes` None where nobody said, or where two owners who were merged had not both said yes."""

    about: str
    by_way: str
    yes: bool | None
    day: date | None = None
    how: str = ""
    told_to: str = ""


@once_a_look
def consents_of(owner: int) -> tuple[ConsentView, ...]:
    """Return what stands for each thing and way; of owners who were merged, no wins, and yes only where each had said it.

    What was said after a merge was asked of the one person, and settles it.
    """
    merges = _merges_into(owner)
    rows = Consent.objects.filter(owner__in=[owner, *merges]).select_related("event__by").order_by("event")
    newest = {(row.owner_id, row.about, row.by_way): row for row in rows}
    return tuple(
        _standing(owner, merges, {pk: row for (pk, *what), row in newest.items() if what == [about, way]}, (about, way))
        for about in ABOUT
        for way in BY_WAY
    )  # fmt: skip


def look_up_consents(owners: Collection[int]) -> None:
    """Find what stands for many owners with two questions, where a look is open; those who were merged are asked one by one."""
    merged = set(Owner.objects.filter(merged_into__in=owners).values_list("merged_into", flat=True))
    rows = Consent.objects.filter(owner__in=owners).select_related("event__by").order_by("event")
    said: dict[int, dict[tuple[str, str], Consent]] = {owner: {} for owner in owners if owner not in merged}
    for row in rows:
        if row.owner_id in said:
            said[row.owner_id][row.about, row.by_way] = row
    whats = [(about, way) for about in ABOUT for way in BY_WAY]
    consents_of.many(
        {
            (owner,): tuple(
                _standing(owner, {}, {owner: told[what]} if what in told else {}, what) for what in whats
            )
            for owner, told in said.items()
        }
    )


def may_reach(owner: int, about: str, by_way: str) -> bool:
    """Whether an owner may be written to or rung about this: only where a yes stands."""
    return any(one.yes is True and (one.about, one.by_way) == (about, by_way) for one in consents_of(owner))


def _merges_into(owner: int) -> dict[int, tuple[int, int]]:
    """Who was merged into an owner, also by others: {gone: (into whom, by which event)}."""
    found: dict[int, tuple[int, int]] = {}
    further = [owner]
    while further:
        gone = list(Owner.objects.filter(merged_into__in=further).values_list("pk", "merged_into"))
        further = [pk for pk, _ in gone]
        found.update({pk: (int(into or 0), 0) for pk, into in gone})
    if not found:
        return {}
    merges = Event.objects.filter(
        kind="owners merged", said__kept__in=[owner, *found], corrected_by__isnull=True
    )
    for event, said in merges.order_by("pk").values_list("pk", "said"):
        if said["gone"] in found:
            found[said["gone"]] = (said["kept"], event)
    return found


def _standing(
    owner: int, merges: Mapping[int, tuple[int, int]], said: Mapping[int, Consent], what: tuple[str, str]
) -> ConsentView:
    """What stands of one thing and way, for an owner with whoever was merged into them."""
    own = said.get(owner)
    told_at = own.pk if own is not None else 0
    before = [
        _standing(gone, merges, said, what)
        for gone, (into, event) in merges.items()
        if into == owner and event > told_at
    ]
    words = [own.yes if own is not None else None, *(one.yes for one in before)]
    yes = False if False in words else True if all(words) else None
    row = own
    if yes is False and (own is None or own.yes):
        return next(
            ConsentView(*what, False, one.day, one.how, one.told_to) for one in before if one.yes is False
        )
    if row is None or yes is None:
        return ConsentView(*what, yes)
    return ConsentView(*what, yes, row.day, row.how, row.event.by.name)
