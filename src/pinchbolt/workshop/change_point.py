"""When chains are best changed: each way of doing it at given prices, or at those of a bike's own parts."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from pinchbolt.engines.wear import PolicyTable, WearLaw, compare_policies
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bike
from pinchbolt.reference.rows.measure import Limit
from pinchbolt.workshop.exposure import week_of
from pinchbolt.workshop.looking_up import bike_by_tag, tables, terms
from pinchbolt.workshop.part_wear import law_by_use, wear_law
from pinchbolt.workshop.waiting import shelf_price

HONEST = (
    "At the stand the gauge decides: change when 0.5 drops in is within a few percent of knowing everything. "
    "The forecast decides when to call the bike back."
)


@dataclass(frozen=True, slots=True)
class ChangePointAsked:
    """Prices with fitting, in the workshop's currency; how far between looks, and how the bike is ridden."""

    chain: Decimal
    cassette: Decimal
    rings: Decimal | None = None
    use: str = "mixed"
    speeds: int = 11
    seen_every_km: float = 300.0


@dataclass(frozen=True, slots=True)
class ChangePoint:
    """The ways compared, and what they were asked with."""

    asked: ChangePointAsked
    table: PolicyTable
    honest: str


def change_point(asked: ChangePointAsked) -> ChangePoint:
    """Return what each way of changing chains costs per 1,000 km at these prices.

    Raises:
        InputRefused: Prices not above 0, no such use, or speeds without a chain row.
    """
    law = law_by_use(chain_row(asked.speeds), asked.use, asked.speeds)
    return _compared(asked, law)


def change_point_of(tag: str, today: date) -> ChangePoint:
    """Return the same for a bike: its use, its speeds, the shelf prices of its parts, and how often it is seen.

    Raises:
        NotFound: No such bike.
        NotPossibleNow: No price of its chain or cassette is known, or it has no chain row.
    """
    bike = bike_by_tag(tag)
    prices = {kind: shelf_price(kind, bike) for kind in ("chain", "cassette")}
    missing = [kind for kind, price in prices.items() if not price]
    if missing or not bike.speeds:
        what = " and ".join(missing) or "number of speeds"
        raise NotPossibleNow(
            f"{bike.tag}: no {what} is on record, so ways of changing can't be compared. Write it in first."
        )
    asked = ChangePointAsked(
        chain=prices["chain"] or Decimal(0),
        cassette=prices["cassette"] or Decimal(0),
        rings=shelf_price("chainring", bike),
        use=bike.use_class,
        speeds=bike.speeds,
        seen_every_km=round(seen_every(bike, today), 0),
    )
    law = wear_law(chain_row(bike.speeds), bike, None)
    return _compared(asked, law)


def seen_every(bike: Bike, today: date) -> float:
    """Return how far this bike goes between two visits, km."""
    return max(1.0, week_of(bike, today).median_km * terms().visit_every_days / 7)


def chain_row(speeds: int) -> Limit:
    """Return the row of the limits that reads a chain of this many speeds in percent."""
    for row in tables().limits.values():
        if (
            row.part == "chain"
            and row.unit == "percent"
            and speeds in row.speeds
            and row.id.startswith("chain-elongation-")
        ):
            return row
    sentence = f"speeds is {speeds}: chains of 1 and 5 to 13 speeds are in the table. Count the sprockets."
    raise InputRefused(sentence, {"speeds": sentence})


def _compared(asked: ChangePointAsked, law: WearLaw | None) -> ChangePoint:
    assert law is not None  # every chain row has a law
    table = compare_policies(
        law,
        chain_price=asked.chain,
        cassette_price=asked.cassette,
        rings_price=asked.rings,
        seen_every_km=asked.seen_every_km,
    )
    return ChangePoint(asked, table, HONEST)
