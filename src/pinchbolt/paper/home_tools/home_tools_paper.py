"""What the sheet of tools for the home says: each tool with what it does and what it costs about, and what stays the workshop's."""

from datetime import datetime

from pinchbolt.paper.paper_facts import bike_head, money
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.torque.home_tools import HomeTool, HomeView, home_tools_of_owner

_SHOWN = 8  # of what stays open; the rest is counted, so that the sheet stays one page


def home_tools_values(tag: str, most: int, now: datetime) -> dict[str, object]:
    """Return the values of the sheet: the tools for every bike of this bike's owner."""
    bikes, seen = home_tools_of_owner(tag, most, local_day(now))
    return {
        **bike_head(worded("Tools for your home"), tag, now, []),
        "bikes": ", ".join(bikes),
        "words": seen.words,
        "tools": [_tool(one) for one in seen.tools],
        "price": _range(seen),
        "open": list(seen.open[:_SHOWN]),
        "more": worded("And {open} more.", open=len(seen.open) - _SHOWN) if len(seen.open) > _SHOWN else "",
    }


def _tool(one: HomeTool) -> dict[str, object]:
    return {"name": one.name, "meets": str(one.meets), "alone": str(one.alone), "price": _range(one)}


def _range(one: HomeTool | HomeView) -> str:
    return worded("{money} to {one_money}", money=money(one.price_from), one_money=money(one.price_to))
