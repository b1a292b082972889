"""Stock: what may be asked for, how many to keep, what to order tonight of whom, numbers under bar codes."""

from pinchbolt.engines.stock._croston import NowAndThen, now_and_then
from pinchbolt.engines.stock._demand import of_known_bikes, of_walk_ins, together
from pinchbolt.engines.stock._gtin import check_digit, gtin_of
from pinchbolt.engines.stock._levels import (
    OnceOnly,
    expected_short,
    lot_size,
    marks,
    newsvendor,
    normal_loss,
    order_up_to,
)
from pinchbolt.engines.stock._orders import most_packs, order_tonight, plan_cost
from pinchbolt.engines.stock.stock_types import (
    Demand,
    OrderedPart,
    OrderPlan,
    PartToStock,
    SoldBy,
    StockMarks,
    SupplierOrder,
    SupplierTerms,
)

__all__ = [
    "Demand",
    "NowAndThen",
    "OnceOnly",
    "OrderPlan",
    "OrderedPart",
    "PartToStock",
    "SoldBy",
    "StockMarks",
    "SupplierOrder",
    "SupplierTerms",
    "check_digit",
    "expected_short",
    "gtin_of",
    "lot_size",
    "marks",
    "most_packs",
    "newsvendor",
    "normal_loss",
    "now_and_then",
    "of_known_bikes",
    "of_walk_ins",
    "order_tonight",
    "order_up_to",
    "plan_cost",
    "together",
]
