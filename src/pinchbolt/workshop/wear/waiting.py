"""What leaving a finding until the next visit is expected to cost, with this bike's prices and rate of use."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Protocol

from pinchbolt.engines.build import Build, PartOn, price_of
from pinchbolt.engines.wear import (
    CostOfWaiting,
    Forecast,
    cost_of_waiting,
    cost_of_waiting_cassette,
    cost_of_waiting_pads,
    cost_of_waiting_plain,
)
from pinchbolt.records.models import Bike, Finding, Part
from pinchbolt.values.money import money_text
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.bikes.build_sheet import build_of, kind_row
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.rides.exposure import week_of
from pinchbolt.workshop.wear.part_wear import forecast_of, wear_law


class HasPrice(Protocol):
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
    finding: Finding, operation: str, parts: Sequence[HasPrice], bike: Bike, today: date
) -> Waiting:
    """Return what leaving this finding until the next visit costs."""
    limit = tables().limits.get(finding.limit)
    law = wear_law(limit, bike, None) if limit else None
    own = sum((part.each for part in parts), Decimal(0))
    if limit is None or law is None or finding.part is None or own <= 0:
        return Waiting(None, ("What waiting costs is not known for this line.",))
    forecast = forecast_of(finding.part, limit, law, bike, today)
    found = _of_part(forecast, finding.part, operation, own, bike, _until_next_km(bike, today))
    low, high = (money_text(end, terms().currency) for end in (found.low, found.high))
    interval = f"8 in 10: {low} to {high}" if found.low != found.high else ""
    return Waiting(
        found.expected,
        tuple(filter(None, (found.words, interval, *(reason.words for reason in found.reasons)))),
    )


def _of_part(
    forecast: Forecast, part: Part, operation: str, own: Decimal, bike: Bike, km: float
) -> CostOfWaiting:
    """What waiting costs by what a worn part does to others: a chain wears what it runs on, pads ruin what they rub on."""
    build = build_of(bike)
    kind = kind_row(part.kind)
    on = build.part(part.pk)
    worn = _dearest(kind.wears, build)
    replaces = {
        name for row in tables().proposals.values() if row.operation == operation for name in row.replaces
    }
    if not replaces.isdisjoint(kind.wears):
        return cost_of_waiting_cassette(forecast, cassette_price=own, until_next_km=km)
    if worn is not None:
        return cost_of_waiting(
            forecast, chain_price=own, cassette_price=worn, until_next_km=km, currency=terms().currency
        )
    ruined = _dearest(kind.ruins, build, on)
    if ruined is not None:
        return cost_of_waiting_pads(
            forecast, pad_price=own, rotor_price=ruined, until_next_km=km, currency=terms().currency
        )
    return cost_of_waiting_plain(kind.id)


def _dearest(kinds: Sequence[str], build: Build, on: PartOn | None = None) -> Decimal | None:
    """The shelf price of what this bike has of these kinds, the dearest; None where it has none or no price is known."""
    side = on.side if on is not None else ""
    rows = [price_of(build, part.kind.id, part)[0] for kind in kinds for part in build.of_kind(kind, side)]
    return max((row.price for row in rows if row is not None), default=None)


def shelf_price(kind: str, bike: Bike) -> Decimal | None:
    """Return the shelf price of a kind of part for this bike, or None where the table has none or a fact is missing."""
    row, _ = price_of(build_of(bike), kind)
    return row.price if row is not None else None


def _until_next_km(bike: Bike, today: date) -> float:
    return week_of(bike, today).median_km * terms().visit_every_days / 7
