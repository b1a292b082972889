"""A wheel that was hit and not looked at for cracks: its bike does not leave as ready."""

from pinchbolt.records.models import Bike, WheelSaid
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.build_sheet import parts_on

NOT_HIT, LOOKED_AT, NOT_LOOKED_AT = HIT = ("no", "yes, looked at: no crack", "yes, not looked at yet")
"""Whether the wheel was hit since it was last looked at for cracks."""


@once_a_look
def wheels_to_look_at(bike: Bike) -> tuple[str, ...]:
    """Return a sentence for each wheel on a bike that was hit and that nobody looked at since."""
    there = parts_on(bike)
    newest = {
        row.part_id: row.facts.get("hit")
        for row in WheelSaid.objects.filter(part__in=there, event__corrected_by__isnull=True).order_by("pk")
    }
    return tuple(
        f"{part}: it was hit, and nobody looked for cracks at its holes, the rim's joint and the hub. Look, then say so on its wheel sheet."
        for part in there
        if newest.get(part.pk) == NOT_LOOKED_AT
    )
