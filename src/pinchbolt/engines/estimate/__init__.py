"""What does the work cost, line by line, with shared work counted once, and how much tax is in it?"""

from pinchbolt.engines.estimate._add_up import add_up, tax_on
from pinchbolt.engines.estimate._discount import take_off
from pinchbolt.engines.estimate._price import price
from pinchbolt.engines.estimate.estimate_types import (
    AtRate,
    Block,
    LinePriced,
    LineToPrice,
    Minutes,
    OperationToPrice,
    PartPrice,
    PricedEstimate,
    TaxAtRate,
    Terms,
)

__all__ = [
    "AtRate",
    "Block",
    "LinePriced",
    "LineToPrice",
    "Minutes",
    "OperationToPrice",
    "PartPrice",
    "PricedEstimate",
    "TaxAtRate",
    "Terms",
    "add_up",
    "price",
    "take_off",
    "tax_on",
]
