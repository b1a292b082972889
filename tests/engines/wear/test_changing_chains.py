"""Ways of changing chains against a simulation: bikes that are looked at now and then, growth that comes with jumps."""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from pinchbolt.engines.wear import compare_policies
from pinchbolt.engines.wear._changing import looked_at
from pinchbolt.engines.wear._money import TIMELY_AT, TIMELY_WEIGHT, best_elongation, cost_a_km, damage_power
from pinchbolt.engines.wear._policy import NEAR_BEST
from tests.engines.wear.cases import CHAIN

# Independent jumps only, so that the simulation draws exactly what the law says: a gamma process of variance noise x.
JUMPS = replace(CHAIN, new=0.03, slow_sd=0.0)
BIKES, CHAINS = 3000, 40
CASES = [(45, 225, 3000.0, 300.0), (30, 60, 1900.0, 800.0), (60, 400, 4200.0, 1500.0)]


def simulated(law, chain, cassette, every, at, rng):
    """Mean over bikes of what 1,000 km cost, with its standard error: each chain is changed at the first look past *at*."""
    rate = np.exp(-np.log(law.median_life) + law.life_log_sd * rng.standard_normal(BIKES))
    rate = np.broadcast_to(rate[:, None] * (law.limit - law.new), (BIKES, CHAINS))
    length, worn, running = np.zeros(rate.shape), np.full(rate.shape, law.new), np.ones(rate.shape, bool)
    noise = float(law.noise)
    while running.any():
        jumps = rng.gamma(every / noise, noise, int(running.sum()))
        length[running] += every
        worn[running] += rate[running] * jumps
        running = worn < at
    damage = sum(
        share * worn ** damage_power(float(timely))
        for timely, share in zip(TIMELY_AT, TIMELY_WEIGHT, strict=True)
    )
    bikes = 1000 * (chain + cassette * damage).sum(1) / length.sum(1)
    return float(bikes.mean()), float(bikes.std() / np.sqrt(BIKES))


@pytest.mark.parametrize(("chain", "cassette", "life", "every"), CASES)
def test_a_way_costs_what_a_simulation_says(chain, cassette, life, every):
    """Changing at 0.5 and at 0.75: within three standard errors of 3,000 drawn bikes of 40 chains each, and 1 % for forty."""
    rng = np.random.default_rng(20301)
    law = replace(JUMPS, median_life=life)
    table = compare_policies(
        law, chain_price=Decimal(chain), cassette_price=Decimal(cassette), seen_every_km=every
    )
    cost = {way.id: float(way.a_thousand) for way in table.ways}
    for at in (0.5, 0.75):
        mean, error = simulated(law, chain, cassette, every, at, rng)
        assert cost[f"change-at-{at:g}"] == pytest.approx(mean, abs=3 * error + 0.01 * mean)


@pytest.mark.parametrize(("chain", "cassette", "life", "every"), CASES)
def test_the_best_range_is_the_one_that_a_simulation_finds(chain, cassette, life, every):
    """Inside the range it costs within five percent of the best that was simulated, outside of it more; steps of 0.05."""
    rng = np.random.default_rng(20302)
    law = replace(JUMPS, median_life=life)
    best = compare_policies(
        law, chain_price=Decimal(chain), cassette_price=Decimal(cassette), seen_every_km=every
    ).best_at_percent
    grid = np.arange(0.2, 0.951, 0.05)
    seed = int(rng.integers(2**31))
    # The same draws for each: differences between them are then sharper than each by itself.
    cost = np.array(
        [simulated(law, chain, cassette, every, at, np.random.default_rng(seed))[0] for at in grid]
    )
    near = grid[cost <= NEAR_BEST * cost.min()]
    assert best.low == pytest.approx(near[0], abs=0.06)
    assert best.high == pytest.approx(near[-1], abs=0.06)


def test_who_is_seen_seldom_changes_earlier():
    """The longer between two looks, the further a chain runs past the mark: the mark moves down and the cost goes up."""
    tables = [
        compare_policies(JUMPS, chain_price=Decimal(45), cassette_price=Decimal(225), seen_every_km=every)
        for every in (100.0, 400.0, 1600.0)
    ]
    lows = [table.best_at_percent.low for table in tables]
    assert lows == sorted(lows, reverse=True)
    costs = [min(way.a_thousand for way in table.ways if not way.at_least) for table in tables]
    assert costs == sorted(costs)


@pytest.mark.parametrize(("chain", "cassette", "life", "every"), CASES)
def test_the_range_and_the_table_say_the_same(chain, cassette, life, every):
    """A way inside the best range costs at most what the best mark costs and five percent; one outside of it costs more."""
    table = compare_policies(
        replace(CHAIN, new=0.03, median_life=life), chain_price=Decimal(chain), cassette_price=Decimal(cassette),
        seen_every_km=every, change_at=(0.3, 0.4, 0.5, 0.6, 0.75), rotate=(),
    )  # fmt: skip
    best = table.best_at_percent
    marks = {
        float(way.id.removeprefix("change-at-")): float(way.a_thousand)
        for way in table.ways
        if "at-" in way.id
    }
    inside = [cost for at, cost in marks.items() if best.low <= at <= best.high]
    outside = [cost for at, cost in marks.items() if not best.low - 0.005 <= at <= best.high + 0.005]
    assert inside
    assert max(inside) < min(outside)
    assert max(inside) <= NEAR_BEST * min(marks.values()) * 1.0005


def test_looks_without_jumps_end_where_counting_says():
    """Growth without unevenness: a mark at 1,000 km, looked at every 300, is seen at 1,200 km, four looks on."""
    looks = looked_at(300.0, (1e-3, 0.0, 500.0))
    assert looks.length_km(1000.0) == pytest.approx(1200.0, rel=0.005)
    assert looks.length_km(100.0) == pytest.approx(300.0, rel=0.005)


def test_many_looks_overshoot_by_half_a_look_and_the_jumps():
    """Renewal theory: the mean overshoot of a far mark is E[X^2] / 2 E[X], with X the growth between two looks.

    Source: limit of the mean residual life, standard result (Feller 1971, XI.4, from memory).
    """
    every, noise = 300.0, 120.0
    looks = looked_at(every, (noise, 0.0, 500.0))
    far = 20_000.0
    assert looks.length_km(far) - far == pytest.approx((every**2 + noise * every) / (2 * every), rel=0.02)


def test_km_are_counted_from_new():
    """A chain that comes with 0.03 % has 0.47 to go to 0.5, not 0.5; the best mark is where the slope of the cost is nought."""
    p = damage_power(0.625)
    assert cost_a_km(45, 225, p, 0.5, 1.0, new=0.03) == pytest.approx(
        cost_a_km(45, 225, p, 0.5, 1.0) * 0.5 / 0.47
    )
    best = best_elongation(45, 225, p, new=0.03)
    around = [cost_a_km(45, 225, p, best * by, 1.0, new=0.03) for by in (0.99, 1.0, 1.01)]
    assert around[1] == min(around)
    assert best_elongation(45, 225, p, new=0.0) < best
