"""Cost of waiting, and ways of changing chains: the worked figures of the method, and the sense of each answer."""

from dataclasses import replace
from decimal import Decimal
from math import log

import pytest

from pinchbolt.engines.wear import (
    compare_policies,
    cost_of_waiting,
    cost_of_waiting_both,
    cost_of_waiting_pads,
    cost_of_waiting_plain,
    judge,
)
from pinchbolt.engines.wear._money import best_elongation, cost_a_km, damage_power
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values import Verdict
from tests.engines.wear.cases import CALIPER, CHAIN, MICROMETER, ROTOR, TODAY, USE, reading, value

CHAIN_PRICE, CASSETTE_PRICE = Decimal("45"), Decimal("225")
PADS = replace(
    ROTOR, part="disc pad", new=2.0, new_spread=0.2, warn=1.0, limit=0.5, median_life=2500.0, life_log_sd=0.6,
    at_limit=Verdict.BEFORE_IT_LEAVES,
)  # fmt: skip


def waiting(at_km, elongation, until):
    """Cost of waiting for a chain read by caliper."""
    seen = judge(CHAIN, [reading(at_km, value(elongation), CALIPER)], USE, TODAY)
    return cost_of_waiting(seen, chain_price=CHAIN_PRICE, cassette_price=CASSETTE_PRICE, until_next_km=until)


def test_the_damage_law_says_what_the_two_trade_facts_say():
    """Four chains changed at 0.625 take a cassette, one run to 1 % takes it: p = ln 4 / ln 1.6 = 2.95."""
    p = damage_power(0.625)
    assert p == pytest.approx(log(4) / log(1.6), rel=1e-12)
    assert 4 * 0.625**p == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(
    ("at", "printed"), [(0.46, 36.8), (0.5, 37.1), (0.625, 40.5), (0.75, 47.1), (1.0, 67.5)]
)
def test_cost_per_1000_km_of_the_worked_example(at, printed):
    """Chain 45, cassette 225, 3,000 km from nothing to 0.75 %: worked by hand, one decimal."""
    found = 1000 * cost_a_km(45, 225, damage_power(0.625), at, 0.75 / 3000)
    assert found == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize(("ratio", "printed"), [(2, 0.63), (3, 0.55), (5, 0.46), (8, 0.39)])
def test_best_elongation_by_price_ratio(ratio, printed):
    """The dearer the cassette, the earlier the chain: method notes, two decimals."""
    assert best_elongation(1.0, ratio, damage_power(0.625)) == pytest.approx(printed, abs=0.005)


def test_the_best_elongation_costs_less_than_its_neighbours():
    """A valley, not a slope: one percent to either side costs more."""
    p, best = damage_power(0.5), best_elongation(45, 225, damage_power(0.5))
    here = cost_a_km(45, 225, p, best, 1.0)
    assert here < cost_a_km(45, 225, p, 1.01 * best, 1.0)
    assert here < cost_a_km(45, 225, p, 0.99 * best, 1.0)


def test_a_young_chain_is_run_on():
    """At 0.2 % waiting 300 km costs nothing: chain life is worth more than what the cassette loses."""
    found = waiting(1000, 0.20, 300)
    assert found.expected < 0
    assert "keep using the chain" in found.words


def test_a_worn_chain_costs_by_waiting():
    """At 0.65 % waiting 800 km is expected to cost, and the sentence says how much."""
    found = waiting(2600, 0.65, 800)
    assert found.expected > 10
    assert str(found.expected) in found.words
    assert found.low <= found.expected <= found.high


def test_waiting_longer_costs_more_once_it_costs():
    """Past the best elongation each further stretch adds."""
    costs = [waiting(2600, 0.65, km).expected for km in (100, 400, 800)]
    assert costs == sorted(costs)


def test_not_waiting_costs_nothing():
    """No distance, no difference."""
    assert waiting(2600, 0.65, 0).expected == Decimal("0.00")


def both(at_km, elongation, until, rings=Decimal(40)):
    """Cost of leaving chain and cassette, of a chain read by caliper."""
    seen = judge(CHAIN, [reading(at_km, value(elongation), CALIPER)], USE, TODAY)
    return cost_of_waiting_both(
        seen, chain_price=CHAIN_PRICE, cassette_price=CASSETTE_PRICE, until_next_km=until, rings_price=rings
    )


def test_leaving_both_uses_up_what_is_left_in_both():
    """By hand for a chain of 0.3 % after 1,500 km and 500 km more: chain 45 x 0.1, cassette 225 (0.4^p - 0.3^p), p = 2.95.

    = 4.5 + 225 (0.0670 - 0.0287) = 13.1; a belief is wider than that point, so a third more or less is borne.
    """
    found = both(1500, 0.3, 500)
    assert float(found.expected) == pytest.approx(-13.1, rel=0.35)
    assert found.low <= found.expected <= found.high <= 0
    assert both(1500, 0.3, 0).expected == 0
    assert both(1500, 0.3, 800).expected < both(1500, 0.3, 400).expected


@pytest.mark.parametrize("elongation", [0.55, 0.7, 1.4])
def test_a_worse_chain_does_not_make_waiting_look_better(elongation):
    """Past its warning of 0.5 % each km takes of the rings as well: no saving is told, however much is left in the cassette."""
    with pytest.raises(Unknown, match="wears the rings too"):
        both(4000, elongation, 500)


def test_without_the_price_of_the_rings_no_saving_is_told():
    """What they lose is on nobody's sheet; and that is said, not nought."""
    with pytest.raises(Unknown, match="rings is not known without their price: no saving"):
        both(1500, 0.3, 500, rings=None)


def test_a_cassette_that_is_gone_cannot_be_lost_twice():
    """At 1.3 % the words say that chain and cassette go together; the extra cost is not above the cassette."""
    found = waiting(5000, 1.3, 2000)
    assert found.expected < CASSETTE_PRICE
    assert "cassette is probably gone" in found.words


def test_pads_near_the_plate_threaten_the_rotor():
    """0.3 mm of lining and 1,500 km to go: the rotor's price is at stake. 1.8 mm and 200 km: pads are run on."""
    thin = judge(PADS, [reading(2300, value(0.3), MICROMETER)], USE, TODAY)
    thick = judge(PADS, [reading(300, value(1.8), MICROMETER)], USE, TODAY)
    prices = {"pad_price": Decimal(25), "rotor_price": Decimal(45)}
    assert cost_of_waiting_pads(thin, until_next_km=1500, **prices).expected > 20
    assert cost_of_waiting_pads(thick, until_next_km=200, **prices).expected < 0


def test_what_costs_the_same_later_costs_nothing_by_waiting():
    """Until it fails: the words say so."""
    assert cost_of_waiting_plain("brake cable").expected == 0
    assert "until it fails" in cost_of_waiting_plain("brake cable").words


def test_a_price_of_nothing_is_refused():
    """A price must be above 0."""
    seen = judge(CHAIN, [], USE, TODAY, exposure_now=100.0)
    with pytest.raises(InputRefused):
        cost_of_waiting(seen, chain_price=Decimal(0), cassette_price=CASSETTE_PRICE, until_next_km=100)


def test_ways_of_changing_are_ranked_as_a_range():
    """With a dear cassette 0.5 beats 0.75, seldom looks move the best earlier, and rotation saves a few percent."""
    often = compare_policies(CHAIN, chain_price=CHAIN_PRICE, cassette_price=CASSETTE_PRICE, seen_every_km=250)
    cost = {way.id: way.a_thousand for way in often.ways}
    assert cost["change-at-0.5"] < cost["change-at-0.75"]
    assert often.best_at_percent.low < 0.46 < often.best_at_percent.high
    assert cost["rotate-3"] < cost["rotate-2"] < cost["change-at-0.75"]
    assert cost["rotate-3"] > Decimal("0.9") * cost["change-at-0.75"]
    seldom = compare_policies(
        CHAIN, chain_price=CHAIN_PRICE, cassette_price=CASSETTE_PRICE, seen_every_km=1500
    )
    assert {way.id: way.a_thousand for way in seldom.ways}["change-at-0.5"] > cost["change-at-0.5"]


def test_without_the_price_of_the_rings_running_out_is_not_ranked():
    """The rings go with chain and cassette: the figure is a least one, no way is measured by it, and the reason says so."""
    table = compare_policies(CHAIN, chain_price=CHAIN_PRICE, cassette_price=CASSETTE_PRICE)
    ways = {way.id: way for way in table.ways}
    assert ways["run-out"].a_thousand < ways["change-at-0.5"].a_thousand
    # Of every other way the whole price is known.
    assert [name for name, way in ways.items() if way.at_least] == ["run-out"]
    assert not ways["run-out"].as_good_as_best
    assert ways["change-at-0.5"].as_good_as_best
    assert any("cannot be told whether that pays" in reason.words for reason in table.reasons)


@pytest.mark.parametrize(
    ("rings", "pays", "said"),
    [("20", True, "until they slip is about the cheapest"), ("400", False, "costs more than the best way")],
)
def test_the_answer_may_be_to_run_it_out(rings, pays, said):
    """Cheap rings: all run out together is as good as the best, and it is said. Dear ones: it is not, and that is said."""
    table = compare_policies(
        CHAIN, chain_price=CHAIN_PRICE, cassette_price=Decimal(70), rings_price=Decimal(rings)
    )
    out = next(way for way in table.ways if way.id == "run-out")
    assert out.as_good_as_best is pays
    assert not out.at_least
    assert any(said in reason.words for reason in table.reasons)


def test_a_cheap_cassette_is_run_longer():
    """Cassette at twice the chain: changing at 0.75 is as good as at 0.5 or better."""
    cheap = compare_policies(CHAIN, chain_price=Decimal(30), cassette_price=Decimal(40), seen_every_km=250)
    cost = {way.id: way.a_thousand for way in cheap.ways}
    assert cost["change-at-0.75"] < cost["change-at-0.5"]
