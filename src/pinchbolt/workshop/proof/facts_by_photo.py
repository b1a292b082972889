"""Facts of a bike's parts that stand on a marking with its photo: what an answer of fit rests on can be looked at again."""

from dataclasses import dataclass

from pinchbolt.errors import NotFound
from pinchbolt.records.models import PartDescription
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.table_words import value_in_words
from pinchbolt.workshop.common.trade_tables import tables


@dataclass(frozen=True, slots=True)
class FactByPhoto:
    """A fact as it was read, in words, and the act that bears its photo."""

    words: str
    event: int


def facts_by_photo(tag: str) -> tuple[FactByPhoto, ...]:
    """Return the facts of a bike that stand as a photo shows them; none of a bike that is not on record."""
    try:
        build = build_of(bike_by_tag(tag))
    except NotFound:
        return ()
    parts = {part.id: part for part in build.parts}
    rows = PartDescription.objects.filter(part__in=parts, event__proof__isnull=False)
    found = []
    for row in rows.filter(event__corrected_by__isnull=True).order_by("pk"):
        part = parts[row.part_id]
        for name, value in row.facts.items():
            # What was said otherwise since is no longer what the photo shows.
            if value is not None and part.value(name) == value:
                fact = tables().facts.get(name)
                unit = f" {fact.unit}" if fact and fact.unit else ""
                said = f"{part.words}: {fact.name if fact else name} {value_in_words(name, value)}{unit}"
                found.append(FactByPhoto(worded("{said}, marked, photo", said=said), row.pk))
    return tuple(found)
