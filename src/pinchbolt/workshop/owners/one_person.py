"""Who is one person: owners merged into one another, followed to the one that stands for them, and back."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from pinchbolt.records.models import Bike, Job, Owner, note_look_up
from pinchbolt.workshop.acts.one_look import once_a_look


def stands_for(owner: Owner) -> Owner:
    """Return the owner under whom this one is known now."""
    while owner.merged_into is not None:
        owner = owner.merged_into
    return owner


@once_a_look
def all_of(owner: int) -> tuple[int, ...]:
    """Return the numbers of everybody who is this person: the owner, and whoever was merged into them."""
    found, further = [owner], [owner]
    while further:
        rows = Owner.objects.filter(merged_into__in=further).order_by("pk")
        further = list(rows.values_list("pk", flat=True))
        found += further
    return tuple(found)


def stays_of(owner: int) -> QuerySet[Job]:
    """Return the stays of this person's bikes: of those that they have, and of any at the time when it was theirs."""
    one = all_of(owner)
    # The bikes by themselves: by a join all stays that nobody was named for, which are nearly all, are gone through.
    now = Bike.objects.filter(Q(owner__in=one) | Q(came_with__in=one)).values("pk")
    return Job.objects.filter(Q(owner__in=one) | Q(owner__isnull=True, bike__in=now)).order_by("pk")


def settle_bikes(of: Iterable[int]) -> None:
    """Let each bike of these owners stand with whoever stands for the owner that it came with."""
    into = dict(Owner.objects.filter(merged_into__isnull=False).values_list("pk", "merged_into"))
    moved = []
    for bike in Bike.objects.filter(owner__in=list(of)):
        own = root = bike.came_with_id or bike.owner_id
        while into.get(root) is not None:
            root = int(into[root] or 0)
        came_with = own if own != root else None
        if (root, came_with) != (bike.owner_id, bike.came_with_id):
            bike.owner_id, bike.came_with_id = root, came_with
            moved.append(bike)
    Bike.objects.bulk_update(moved, ["owner", "came_with"])
    note_look_up(*of, *(bike.owner_id for bike in moved))
