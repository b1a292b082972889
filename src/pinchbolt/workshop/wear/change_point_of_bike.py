"""When to change the chains of one bike: the ways compared at its shelf prices, its use and how often it is seen."""

from datetime import date
from decimal import Decimal

from pinchbolt.engines.build import price_of
from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Bike
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag, terms
from pinchbolt.workshop.bikes.build_sheet import build_of, sprockets_behind
from pinchbolt.workshop.rides.exposure import week_of
from pinchbolt.workshop.wear.change_point import ChangePoint, ChangePointRequest, compared
from pinchbolt.workshop.wear.part_wear import wear_law
from pinchbolt.workshop.wear.trade_laws import chain_row


def change_point_of(tag: str, today: date) -> ChangePoint:
    """Return the same for a bike: its use, its speeds, the shelf prices of its parts, and how often it is seen.

    Raises:
        NotFound: No such bike.
        NotPossibleNow: No price of its chain or cassette is known, or it has no chain row.
    """
    bike = bike_by_tag(tag)
    prices = {kind: _shelf_price(kind, bike) for kind in ("chain", "cassette")}
    speeds = sprockets_behind(build_of(bike))
    missing = [kind for kind, price in prices.items() if not price]
    if missing or not speeds:
        what = worded(" and ").join(missing) or worded("number of speeds")
        raise NotPossibleNow(
            worded(
                "{tag}: no {what} is on record, so ways of changing can't be compared. Write it in first.",
                tag=bike.tag,
                what=what,
            )
        )
    asked = ChangePointRequest(
        chain=prices["chain"] or Decimal(0),
        cassette=prices["cassette"] or Decimal(0),
        rings=rings_price(bike),
        use=bike.use_class,
        speeds=speeds,
        seen_every_km=round(seen_every(bike, today), 0),
    )
    law = wear_law(chain_row(speeds), bike, None)
    return compared(asked, law)


def seen_every(bike: Bike, today: date) -> float:
    """Return how far this bike goes between two visits, km."""
    return max(1.0, week_of(bike, today).median_km * terms().visit_every_days / 7)


def rings_price(bike: Bike) -> Decimal | None:
    """Return the shelf price of the rings that its chain runs on, or None where nobody knows."""
    return _shelf_price("chainring", bike)


def _shelf_price(kind: str, bike: Bike) -> Decimal | None:
    """The shelf price of a kind of part for this bike, or None where the table has none or a fact is missing."""
    row, _ = price_of(build_of(bike), kind)
    return row.price if row is not None else None
