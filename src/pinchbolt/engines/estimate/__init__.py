"""What does the work cost, now and if it is left, with shared work counted once?"""

from pinchbolt.engines.estimate._agreed import agreed_only
from pinchbolt.engines.estimate._price import price
from pinchbolt.engines.estimate.types import (
    Block,
    LineAsked,
    LinePriced,
    Minutes,
    OperationAsked,
    PartPrice,
    Priced,
    Terms,
)

__all__ = [
    "Block",
    "LineAsked",
    "LinePriced",
    "Minutes",
    "OperationAsked",
    "PartPrice",
    "Priced",
    "Terms",
    "agreed_only",
    "price",
]
