"""What leaving a finding until the next visit is expected to cost, with this bike's prices and rate of use."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Protocol

from pinchbolt.engines.wear import (
    CostOfWaiting,
    Forecast,
    cost_of_waiting,
    cost_of_waiting_cassette,
    cost_of_waiting_pads,
    cost_of_waiting_plain,
)
from pinchbolt.records.models import Bike, Finding
from pinchbolt.values.money import money_text
from pinchbolt.workshop.exposure import week_of
from pinchbolt.workshop.looking_up import terms
from pinchbolt.workshop.part_wear import forecast_of, wear_law
from pinchbolt.workshop.trade_tables import tables


class Priced(Protocol):
    """A part with a price."""

    @property
    def name(self) -> str:
        """What it is."""

    @property
    def each(self) -> Decimal:
        """Price of one."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """Expected extra cost of leaving it (below 0: leaving saves; None: not known) and why, in sentences."""

    cost: Decimal | None
    reasons: tuple[str, ...]


def waiting_for(
    finding: Finding, operation: str, parts: Sequence[Priced], bike: Bike, today: date
) -> Waiting:
    """Return what leaving this finding until the next visit costs."""
    limit = tables().limits.get(finding.limit)
    law = wear_law(limit, bike, None) if limit else None
    own = sum((part.each for part in parts), Decimal(0))
    if limit is None or law is None or finding.part is None or own <= 0:
        return Waiting(None, ("What waiting costs is not known for this line.",))
    forecast = forecast_of(finding.part, limit, law, bike, today)
    found = _of_part(forecast, finding.part.kind, operation, own, bike, _until_next_km(bike, today))
    low, high = (money_text(end, terms().currency) for end in (found.low, found.high))
    interval = f"8 in 10: {low} to {high}" if found.low != found.high else ""
    return Waiting(
        found.expected,
        tuple(filter(None, (found.words, interval, *(reason.words for reason in found.reasons)))),
    )


def _of_part(
    forecast: Forecast, kind: str, operation: str, own: Decimal, bike: Bike, km: float
) -> CostOfWaiting:
    if kind == "chain" and operation == "cassette":
        return cost_of_waiting_cassette(forecast, cassette_price=own, until_next_km=km)
    if kind == "chain":
        cassette = shelf_price("cassette", bike)
        return (
            cost_of_waiting(
                forecast,
                chain_price=own,
                cassette_price=cassette,
                until_next_km=km,
                currency=terms().currency,
            )
            if cassette
            else cost_of_waiting_plain(kind)
        )
    rotor = shelf_price("rotor", bike)
    if kind == "pads" and rotor:
        return cost_of_waiting_pads(
            forecast, pad_price=own, rotor_price=rotor, until_next_km=km, currency=terms().currency
        )
    return cost_of_waiting_plain(kind)


def shelf_price(kind: str, bike: Bike) -> Decimal | None:
    """Return the shelf price of a part for this bike's speeds, or None where the table has none."""
    fits = [
        row
        for row in tables().prices.values()
        if row.part == kind and (not row.speeds or bike.speeds in row.speeds)
    ]
    best = max(fits, key=lambda row: bool(row.speeds), default=None)
    return best.price if best else None


def _until_next_km(bike: Bike, today: date) -> float:
    return week_of(bike, today).median_km * terms().visit_every_days / 7
