"""Does it fit: the whole build of a bike, as it is or as a swap would leave it."""

from collections.abc import Collection

from pinchbolt.engines.fit import BuildVerdict, check_build
from pinchbolt.values import Json
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.common.trade_tables import tables


def fit_bike(tag: str, changes: Json | None = None) -> BuildVerdict:
    """Return what the fit rules say about a bike as it is, or with *changes* to its facts.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: A value out of any sense.
    """
    build = {**facts_of_bike(bike_by_tag(tag)), **(changes or {})}
    changed: Collection[str] | None = list(changes) if changes else None
    return check_build(build, tables(), changed)
