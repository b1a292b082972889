"""How parts wear by the trade's tables alone, without a bike on record."""

from pinchbolt.engines.wear import WearLaw, law_for
from pinchbolt.errors import InputRefused
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables

# Speeds that only a hub has: its chain runs on one sprocket and is read by the row of single speed.
_HUB_GEARS = (2, 3, 4)


def law_by_use(limit: LimitRow, use: str, speeds: int | None, marked: float | None = None) -> WearLaw | None:
    """Return how this kind of part wears in a class of use, without a bike, by the trade's priors and the early school."""
    return law_for(limit, tables().wear_priors, speeds=speeds, use_class=use, marked_limit=marked)


def chain_row(speeds: int) -> LimitRow:
    """Return the row of the limits that reads a chain of this many speeds in percent."""
    for row in tables().limits.values():
        if (
            row.is_elongation
            and (1 if speeds in _HUB_GEARS else speeds) in row.speeds
            and row.id.startswith("chain-elongation-")
        ):
            return row
    sentence = worded(
        "speeds is {speeds}: chains of 1 to 14 sprockets are in the table. Count the sprockets.",
        speeds=speeds,
    )
    raise InputRefused(sentence, {"speeds": sentence})
