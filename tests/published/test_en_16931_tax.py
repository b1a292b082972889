"""Tax of a bill against the rules file that is published with EN 16931-1 (validation artefacts, rules BR-CO-17, BR-S-08, BR-CO-15).

BR-CO-17: tax = taxable amount x rate / 100, rounded to two decimals; the published file lets it be one unit of the
currency off. Prices that include their tax can't always meet it to the coin (a gross of 0.03 at 20 % has no net that
does); one coin is all that is used of it here.
"""

from decimal import ROUND_HALF_UP, Decimal

from hypothesis import given
from hypothesis import strategies as st

from pinchbolt.engines.estimate import AtRate, tax_on

COIN = Decimal("0.01")
amounts = st.lists(
    st.builds(
        AtRate,
        st.sampled_from(["0", "5", "5.5", "7", "7.7", "8.1", "10", "17.5", "19", "20", "25.5"]).map(Decimal),
        st.integers(-99999, 999999).map(lambda coins: Decimal(coins) / 100),
    ),
    max_size=40,
)


@given(amounts)
def test_tax_is_the_rate_on_the_taxable_amount_of_its_category(charged: list[AtRate]) -> None:
    """BR-CO-17 within one coin, and one row a rate."""
    rows = tax_on(charged, "EUR")
    assert {row.rate for row in rows} == {one.rate for one in charged}
    for row in rows:
        by_rule = (row.net * row.rate / 100).quantize(COIN, ROUND_HALF_UP)
        assert abs(row.tax - by_rule) <= COIN


@given(amounts)
def test_the_totals_are_those_of_the_categories(charged: list[AtRate]) -> None:
    """BR-S-08 and BR-CO-15: what is taxed at a rate is the sum of its lines; with tax = without tax + tax."""
    rows = tax_on(charged, "EUR")
    for row in rows:
        assert row.gross == sum(one.gross for one in charged if one.rate == row.rate)
        assert row.net + row.tax == row.gross


def test_exact_where_net_prices_are_in_coins() -> None:
    """Net 100.00 at 19 % is 19.00, at 7 % 7.00: what the rule gives to the coin."""
    rows = tax_on([AtRate(Decimal(19), Decimal("119.00")), AtRate(Decimal(7), Decimal("107.00"))], "EUR")
    assert [(row.net, row.tax) for row in rows] == [(Decimal(100), Decimal(19)), (Decimal(100), Decimal(7))]
