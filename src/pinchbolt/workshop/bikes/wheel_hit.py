"""A wheel that was hit and not looked at for cracks: its bike does not leave as ready."""

from django.db.models import QuerySet

from pinchbolt.records.models import Bike, WheelSaid
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.build_sheet import parts_on

NOT_HIT, LOOKED_AT, NOT_LOOKED_AT = HIT = (
    "no",
    as_kept("yes, looked at: no crack"),
    as_kept("yes, not looked at yet"),
)
"""Whether the wheel was hit since it was last looked at for cracks."""


@prepared
def _said_of(parts: tuple[int, ...]) -> QuerySet[WheelSaid]:
    return WheelSaid.objects.filter(part__in=parts, event__corrected_by__isnull=True).order_by("pk")


@once_a_look
def wheels_to_look_at(bike: Bike) -> tuple[str, ...]:
    """Return a sentence for each wheel on a bike that was hit and that nobody looked at since."""
    there = parts_on(bike)
    newest = {row.part_id: row.facts.get("hit") for row in _said_of(tuple(part.pk for part in there))}
    return tuple(
        worded(
            "{part}: it was hit, and nobody looked for cracks at its holes, the rim's joint and "
            "the hub. Look, then say so on its wheel sheet.",
            part=part,
        )
        for part in there
        if newest.get(part.pk) == NOT_LOOKED_AT
    )
