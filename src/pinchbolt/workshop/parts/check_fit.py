"""Does it fit: the whole build of a bike, as it is or as a swap would leave it."""

from collections.abc import Collection

from pinchbolt.engines.fit import BuildVerdict, FitWord, check_build
from pinchbolt.records.models import BinPart
from pinchbolt.values import Json
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts._swap_offers import facts_at, what_of


def fit_bike(tag: str, changes: Json | None = None) -> BuildVerdict:
    """Return what the fit rules say about a bike as it is, or with *changes* to its facts.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: A value out of any sense.
    """
    build = {**facts_of_bike(bike_by_tag(tag)), **(changes or {})}
    changed: Collection[str] | None = list(changes) if changes else None
    return check_build(build, tables(), changed)


def why_it_fits(row: BinPart, tag: str) -> str:
    """Return why a part of the bins fits a bike as it is; "" where it does not, needs something besides, or nobody can tell.

    Raises:
        NotFound: No bike has this tag.
    """
    for what in what_of(row):
        facts = facts_at(row.facts, what)
        told = fit_bike(tag, dict(facts)) if facts else None
        if told is not None and told.verdict is FitWord.FITS and told.checks:
            return "; ".join(check.because for check in told.checks[:2])
    return ""
