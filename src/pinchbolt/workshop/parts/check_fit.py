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


def why_it_fits_instead(row: BinPart, of: BinPart, tag: str) -> str:
    """Return why a part of the bins fits a bike in the place of another one.

    "" where it does not, needs something besides, or nobody can tell. Where nobody said at which end the other one goes, it has
    to fit at both: a rotor that fits in front is none for the rear.

    Raises:
        NotFound: No bike has this tag.
    """
    said: list[str] = []
    for what in what_of(of):
        facts = facts_at(row.facts, what) if what in what_of(row) else {}
        told = fit_bike(tag, dict(facts)) if facts else None
        if told is None or told.verdict is not FitWord.FITS or not told.checks:
            return ""
        said += [check.because for check in told.checks[:2]]
    return "; ".join(dict.fromkeys(said))
