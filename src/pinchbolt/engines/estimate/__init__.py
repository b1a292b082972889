"""What does the work cost, now and if it is left, with shared work counted once?"""

from pinchbolt.engines.estimate._agreed import agreed_only
from pinchbolt.engines.estimate._price import price
from pinchbolt.engines.estimate.estimate_types import (
    Block,
    LinePriced,
    LineToPrice,
    Minutes,
    OperationToPrice,
    PartPrice,
    PricedEstimate,
    Terms,
)

__all__ = [
    "Block",
    "LinePriced",
    "LineToPrice",
    "Minutes",
    "OperationToPrice",
    "PartPrice",
    "PricedEstimate",
    "Terms",
    "agreed_only",
    "price",
]
