"""What a bike's build sheet answers of a question that is asked by hand: fields that are then filled in."""

from collections.abc import Mapping

from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.bikes.movable import apart


def _fields(*rows: str) -> Mapping[str, tuple[str, ...]]:
    """Field of a question = facts of the build, first that is known; {end} is the wheel in question."""
    told = [row.partition(" = ") for row in rows]
    return {field: tuple(facts.split()) for field, _, facts in told}


CHAIN = _fields(
    "stay_mm = chainstay_mm",
    "ring = ring_big",
    "sprocket = sprocket_big",
    "small_ring = ring_small",
    "small_sprocket = sprocket_small",
    "capacity = capacity",
)
TYRE = _fields(
    "marking = tyre_{end} tyre",
    "rim_inner_mm = rim_inner_{end} rim_inner",
    "rim_seat_mm = rim_bsd_{end} rim_bsd",
    "hooked = hook_{end} hook",
    "allowed_hookless = tyre_allowed_hookless_{end} tyre_allowed_hookless",
    "opening_mm = opening_{end} opening",
    "tyre_max_bar = tyre_max_bar_{end} tyre_max_bar",
    "rim_max_bar = rim_max_bar_{end} rim_max_bar",
    "racing = racing",
)


def told_of_bike(tag: str, fields: Mapping[str, tuple[str, ...]], end: str = "rear") -> dict[str, object]:
    """Return what a bike's build sheet knows of a question's fields.

    Raises:
        NotFound: No bike has this tag.
    """
    facts = apart(facts_of_bike(bike_by_tag(tag)))
    found: dict[str, object] = {}
    for field, names in fields.items():
        value = next((facts[at] for name in names if facts.get(at := name.format(end=end)) is not None), None)
        if value is not None:
            found[field] = value
    return found
