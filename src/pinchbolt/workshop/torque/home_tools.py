"""Which few tools an owner should have at home for these bikes: the most bolts met, then the least money."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from pinchbolt.engines.kits import CoverJoint, best_few
from pinchbolt.records.models import Bike
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.torque._kit_files import BY_HAND
from pinchbolt.workshop.torque.choose_kit import KitRequest, able_tools, joints_of_bikes, tools_of_table

AT_HOME = "roadside"
FEW = 5
"""Tools that an owner is told to have at home, where nobody says how many."""
_SPREAD = Decimal("0.25")
"""What shops ask for such a tool lies so far either side of the table's price. From memory."""


@dataclass(frozen=True, slots=True)
class HomeRequest:
    """Bikes by tag, and how many tools there may be."""

    bikes: tuple[str, ...]
    most: int = FEW


@dataclass(frozen=True, slots=True)
class HomeTool:
    """One of the tools: what it meets, what it alone meets of them, and what such a tool costs, about."""

    id: str
    name: str
    meets: int
    alone: int
    price_from: Decimal
    price_to: Decimal


@dataclass(frozen=True, slots=True)
class HomeView:
    """The tools, the most for their money first; what they meet of what these bikes need at home, and what stays open."""

    tools: tuple[HomeTool, ...]
    met: int
    needs: int
    price_from: Decimal
    price_to: Decimal
    open: tuple[str, ...]
    proven: bool
    words: str


def home_tools(request: HomeRequest, today: date) -> HomeView:
    """Return the few tools to have at home for these bikes.

    Raises:
        InputRefused: No bike, too many, or a number of tools that can't be.
        NotFound: No bike has this tag.
    """
    asked = KitRequest(request.bikes, AT_HOME, "price", "critical", "table")
    bikes = [bike_by_tag(tag) for tag in dict.fromkeys(request.bikes)]
    wanted = [one for one in joints_of_bikes(bikes, asked).joints if BY_HAND not in one.drives]
    joints = [
        CoverJoint(one.id, one.name, one.drives, one.window is not None, one.heads, one.bits, one.held)
        for one in wanted
    ]
    # What has no price in the table is no tool that an owner buys.
    tools = [tool for tool in able_tools(wanted, tools_of_table(), today) if tool.price is not None]
    found = best_few(joints, tools, request.most)
    names = {tool.id: tool.name for tool in tools}
    return HomeView(
        tools=tuple(
            HomeTool(one.id, names[one.id], one.meets, one.alone, *_about([one.price])) for one in found.tools
        ),
        met=found.met,
        needs=found.needs,
        price_from=_about([found.price])[0],
        price_to=_about([found.price])[1],
        open=tuple(need.words for need in found.open),
        proven=found.proven,
        words=worded(
            "These {tools} tools do {met} of {needs} jobs on the bolts. The workshop does the "
            "rest, and what is set to a torque.",
            tools=len(found.tools),
            met=found.met,
            needs=found.needs,
        ),
    )


def home_tools_of_owner(tag: str, most: int, today: date) -> tuple[tuple[str, ...], HomeView]:
    """Return the tags of every bike of a bike's owner, and the few tools to have at home for all of them.

    Raises:
        InputRefused: More bikes than are packed at once, or a number of tools that can't be.
        NotFound: No bike has this tag.
    """
    owner = bike_by_tag(tag).owner_id
    bikes = tuple(Bike.objects.filter(owner=owner).order_by("tag").values_list("tag", flat=True))
    return bikes, home_tools(HomeRequest(bikes, most), today)


def _about(prices: Sequence[Decimal]) -> tuple[Decimal, Decimal]:
    """From and to what such tools cost, to the whole unit."""
    middle = sum(prices, Decimal(0))
    return (middle * (1 - _SPREAD)).quantize(Decimal(1)), (middle * (1 + _SPREAD)).quantize(Decimal(1))
