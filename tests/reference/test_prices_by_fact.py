"""A shelf price by what the part is; what nobody has read is priced all the same, and its name says so."""

from decimal import Decimal

import pytest

from pinchbolt.engines.build import Build, FactValue, PartOn, price_of
from pinchbolt.reference import tables


def bike(kind: str, part: str, facts: dict[str, object], bike_kind: str = "road") -> Build:
    """A bike with one part at its rear, of which this is known."""
    known = {name: FactValue(value, "read off the part") for name, value in facts.items()}  # type: ignore[arg-type]
    parts = (PartOn(1, tables().kinds[part], kind, known),)
    motor = (PartOn(2, tables().kinds["motor"], ""),) if bike_kind == "ebike" else ()
    return Build(tables(), bike_kind, (*parts, *motor))


def priced(part: str, facts: dict[str, object], bike_kind: str = "road") -> tuple[str, Decimal]:
    """Name and price of the row that is meant."""
    build = bike("rear", part, facts, bike_kind)
    row, asks = price_of(build, part, build.parts[0])
    assert row is not None and asks == ()
    return row.id, row.price


@pytest.mark.parametrize(
    ("size", "row"),
    [
        (140, "rotor-140"),
        (160, "rotor-160"),
        (180, "rotor-180"),
        (183, "rotor-180"),
        (203, "rotor-203"),
        (165, "rotor"),
    ],
)
def test_a_rotor_is_priced_by_its_size(size: int, row: str) -> None:
    """A size of no row has the plain one."""
    assert priced("rotor", {"rotor": size})[0] == row


def test_a_rotor_whose_size_nobody_read_has_a_price_that_says_so() -> None:
    """A price that waits for a fact would leave the rotor off the estimate."""
    name, price = priced("rotor", {})
    assert name == "rotor-unread" and "not read" in tables().prices[name].name
    known = [row.price for row in tables().prices.values() if row.part == "rotor" and row.when]
    assert min(known) < price < max(known)


def test_a_bigger_rotor_never_costs_less() -> None:
    """From 140 to 220 mm the price rises."""
    prices = [priced("rotor", {"rotor": size})[1] for size in (140, 160, 180, 200, 220)]
    assert prices == sorted(set(prices))


@pytest.mark.parametrize(
    ("facts", "kind", "row"),
    [
        ({"tread": "slick"}, "road", "tyre-slick"),
        ({"tread": "city"}, "city", "tyre-city"),
        ({"tread": "knobs"}, "mtb", "tyre-knobs"),
        ({}, "road", "tyre-unread"),
        ({"tread": "city"}, "kids", "tyre-child"),
        ({}, "kids", "tyre-child"),
        ({"tread": "knobs"}, "ebike", "tyre-e-bike"),
    ],
)
def test_a_tyre_is_priced_by_its_tread_and_by_who_rides_it(
    facts: dict[str, object], kind: str, row: str
) -> None:
    """A child's and an e-bike's are what they are, whatever their tread."""
    assert priced("tyre", facts, kind)[0] == row
