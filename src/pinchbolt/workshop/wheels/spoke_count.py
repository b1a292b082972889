"""How many spokes the build sheet says a wheel has."""

from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.build_sheet import build_of

_FACT = "spoke_count"


def spokes_counted(job: int, wheel: int) -> int | None:
    """Return the count that is known of what hangs in a wheel, or None where nobody counted."""
    build = build_of(job_by_id(job).bike)
    on = build.part(wheel)
    if on is None:
        return None
    side = on.side
    for one in build.parts:
        known = one.facts.get(_FACT)
        if one.side == side and known is not None and isinstance(known.value, int):
            return known.value
    return None
