"""When chains are best changed: each way of doing it at given prices."""

from dataclasses import dataclass
from decimal import Decimal

from pinchbolt.engines.wear import PolicyTable, WearLaw, compare_policies
from pinchbolt.values.wording import worded
from pinchbolt.workshop.wear.trade_laws import chain_row, law_by_use

HONEST = worded(
    "At the stand, go by the gauge: changing when 0.5 drops in is nearly as cheap as it "
    "gets. Use the forecast to choose the call-back day."
)


@dataclass(frozen=True, slots=True)
class ChangePointRequest:
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

    asked: ChangePointRequest
    table: PolicyTable
    honest: str


def change_point(request: ChangePointRequest) -> ChangePoint:
    """Return what each way of changing chains costs per 1,000 km at these prices.

    Raises:
        InputRefused: Prices not above 0, no such use, or speeds without a chain row.
    """
    law = law_by_use(chain_row(request.speeds), request.use, request.speeds)
    return compared(request, law)


def compared(request: ChangePointRequest, law: WearLaw | None) -> ChangePoint:
    """Return the ways compared for chains that wear by *law*."""
    assert law is not None  # every chain row has a law
    table = compare_policies(
        law,
        chain_price=request.chain,
        cassette_price=request.cassette,
        rings_price=request.rings,
        seen_every_km=request.seen_every_km,
    )
    return ChangePoint(request, table, HONEST)
