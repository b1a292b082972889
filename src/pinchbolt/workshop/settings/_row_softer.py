"""Where a row of the workshop's own is less careful than the trade's."""

from pinchbolt.reference.rows.base import Row
from pinchbolt.values import Verdict
from pinchbolt.workshop.settings.row_fields import fields_on


def softer_fields(table: str, ours: Row | None, trade: Row | None) -> tuple[str, ...]:
    """Return the fields, as people call them, in which our row lets pass what the trade's row stops; a row without a trade's has none."""
    if ours is None or trade is None:
        return ()
    return tuple(
        one.words
        for one in fields_on(table, ours)
        if _is_softer(
            _way(table, trade, one.name) or one.softer, getattr(ours, one.name), getattr(trade, one.name)
        )
    )


def _way(table: str, row: Row, name: str) -> str:
    """Which way a figure of a limit is softer: later in the direction in which the part gets worse."""
    if table != "limit" or name in ("at_limit", "how"):
        return ""
    if name.endswith("_low"):
        return "down"
    if name.endswith("_high"):
        return "up"
    direction = getattr(row, "direction", "")
    return {"up": "up", "down": "down", "band": "up"}.get(direction, "")


def _is_softer(way: str, ours: object, trade: object) -> bool:
    if not way or ours == trade:
        return False
    if way == "any":
        # Which readings a gauge's own error lets pass hangs on the limit: a wear limit from below, a play from above.
        return True
    if isinstance(ours, Verdict) and isinstance(trade, Verdict):
        return ours.rank < trade.rank
    if isinstance(ours, bool) and isinstance(trade, bool):
        return trade and not ours
    if isinstance(ours, int | float) and isinstance(trade, int | float):
        return ours > trade if way == "up" else ours < trade
    # Where the trade has a figure and we have none, nothing stops it any more.
    return trade is not None and ours is None
