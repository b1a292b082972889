"""The few tools to have at home: the most bolts met by five, their prices about, and what stays the workshop's."""

from decimal import Decimal

import pytest

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.reference import tables
from pinchbolt.workshop.torque.home_tools import HomeRequest, home_tools
from tests import story
from tests.story import TODAY

pytestmark = pytest.mark.django_db


def test_five_tools_for_a_touring_bike_do_what_no_other_five_do() -> None:
    """Keys and a tyre lever before a torque wrench that keeps one joint; each with a price from and to."""
    at = story.checked_in("tourer")
    found = home_tools(HomeRequest((at.tag,)), TODAY)
    assert found.proven and len(found.tools) == 5
    assert {"hex-4", "hex-5"} <= {one.id for one in found.tools}
    assert found.met + len(found.open) == found.needs
    for one in found.tools:
        assert 0 < one.price_from <= one.price_to and one.meets >= one.alone
    # A quarter either side of what the table's prices come to (from memory), to the whole unit.
    prices = [tables().tool_prices[one.id].price for one in found.tools]
    assert found.price_from == (sum(prices) * Decimal("0.75")).quantize(Decimal(1))
    assert found.price_to == (sum(prices) * Decimal("1.25")).quantize(Decimal(1))
    assert [one.price_to for one in found.tools] == [
        (price * Decimal("1.25")).quantize(Decimal(1)) for price in prices
    ]
    assert f"These 5 tools do {found.met} of {found.needs} jobs" in found.words
    # More tools never meet less, and cost no less than what the first need.
    more = home_tools(HomeRequest((at.tag,), 8), TODAY)
    assert more.met > found.met and more.price_to > found.price_to


def test_what_can_not_be_asked_is_refused() -> None:
    """No such bike; no tool."""
    at = story.checked_in("tourer")
    with pytest.raises(NotFound):
        home_tools(HomeRequest(("PB-999",)), TODAY)
    with pytest.raises(InputRefused, match="1 to 12 are possible"):
        home_tools(HomeRequest((at.tag,), 0), TODAY)
