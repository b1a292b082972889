"""The law as loops says what the law as arrays says: run here as it stands, so that any slip in it is seen within seconds.

`test_many_chains` holds the compiled form to the same; it needs half a minute to compile first.
"""

from dataclasses import replace
from datetime import timedelta
from math import erfc, exp, inf, sqrt

import numpy as np
import pytest

from pinchbolt.engines.wear import GaugeError, GaugeReading, RateOfUse, trade_chains
from pinchbolt.engines.wear import _batch as arrays
from pinchbolt.engines.wear import _loops as loops
from pinchbolt.engines.wear import _loops_guard as loops_guard
from pinchbolt.engines.wear import _loops_hunt as hunting
from pinchbolt.engines.wear._chain_batch import chain_batch
from pinchbolt.engines.wear._filter import cut_off, told
from pinchbolt.engines.wear._forecast_chains import stories
from pinchbolt.engines.wear._guard import LEAST_OF_NODE, MOST_NODES, mixed
from pinchbolt.engines.wear._judge import NODES as RATES
from pinchbolt.engines.wear._loops_filter import full
from pinchbolt.engines.wear._normal import probit
from pinchbolt.engines.wear._one import part_of
from pinchbolt.engines.wear._steps import steps
from pinchbolt.reference.loader import tables
from ratios.wear import chain_lines
from ratios.wear_lives import lives, workshops
from tests.engines.wear.cases import TODAY
from tests.engines.wear.rows import CALIPER, RULE, THREE_POINT, law, shown, usual_error

NODES = 7  # rates: few, so that loops are soon done; both forms take any number
CHAIN, ROTOR, HOLLOW = "chain-elongation-9to10", "rotor-thickness-1.8", "rim-pad-groove"
EITHER = GaugeError(0.12, 0.05, 0.04, stories=((0.5, 0.0, 0.025), (0.5, 0.17, 0.065)))
GROWING = GaugeError(0.0, 0.03, 0.03, growth=0.02, growth_sd=0.015)
# Row, readings (days ago, shown, km, instrument, its error), how the fitting is known, use from the last reading to now.
PARTS = {
    "one value": (CHAIN, [(0, shown(0.3), 1200.0, "rule", RULE)], "told", 0.0),
    "distance not known": (CHAIN, [(0, shown(0.9), None, "rule", RULE)], "unknown", 0.0),
    "far beyond the usual pace": (CHAIN, [(0, shown(0.1), 9000.0, "caliper", CALIPER)], "told", 0.0),
    "half-way beyond the pace": (CHAIN, [(0, shown(0.4), 2600.0, "caliper", CALIPER)], "told", 300.0),
    "a gauge that may push": (
        CHAIN,
        [(60, shown(0.35), 900.0, "rule", RULE), (0, shown(0.5, 0.75), 1700.0, "two-point", EITHER)],
        "told",
        100.0,
    ),
    "below a mark": (CHAIN, [(0, shown(None, 0.5), 1000.0, "three-point", THREE_POINT)], "told", 0.0),
    "below a mark, another part": (CHAIN, [(0, shown(None, 0.5), None, "three-point", THREE_POINT)], "unknown", 0.0),
    "past a mark": (CHAIN, [(0, shown(0.75, None), 300.0, "three-point", THREE_POINT)], "told", 0.0),
    "read twice that day": (
        CHAIN,
        [(40, shown(0.2), 900.0, "rule", RULE), (0, shown(0.8), 950.0, "rule", RULE), (0, shown(0.82), 950.0, "rule", RULE)],
        "here",
        0.0,
    ),
    "the same side twice": (
        CHAIN,
        [(0, shown(0.5, 0.75), 800.0, "gauge", THREE_POINT), (0, shown(0.5, 0.75), 800.0, "gauge", THREE_POINT)],
        "here",
        50.0,
    ),
    "better than expected": (
        CHAIN,
        [(60, shown(0.5), 1500.0, "caliper", CALIPER), (0, shown(0.1), 2000.0, "caliper", CALIPER)],
        "told",
        0.0,
    ),
    "a gauge whose error grows": (
        CHAIN,
        [(60, shown(0.2), 900.0, "gauge", GROWING), (0, shown(0.45), 1900.0, "gauge", GROWING)],
        "used",
        0.0,
    ),
    "brake at its warning": (ROTOR, [(0, shown(1.59), 6000.0, "micrometer", None)], "told", 0.0),
    "brake past its limit": (ROTOR, [(0, shown(1.45), 500.0, "micrometer", None)], "told", 200.0),
    "brake taken back": (
        ROTOR,
        [(30, shown(1.52), 200.0, "caliper", CALIPER), (0, shown(1.79), 500.0, "caliper", CALIPER)],
        "told",
        0.0,
    ),
    "not read yet": (ROTOR, [], "here", 2000.0),
}  # fmt: skip


def one_part(name):
    """The part as the law takes it."""
    row, looks, start, further = PARTS[name]
    of = law(row)
    readings = [
        GaugeReading(TODAY - timedelta(days=d), seen, tool, error or usual_error(of), km, 0.15)
        for d, seen, km, tool, error in looks
    ]
    now = (readings[-1].exposure if readings else 0.0) if further == 0.0 else further
    if readings and further and readings[-1].exposure is not None:
        now = readings[-1].exposure + further
    way = steps(of, readings, RateOfUse(70.0, 0.5), TODAY, now, None)
    return part_of(of, readings, way, start)._replace(ahead=0.05)


def both(batch, levels=(0.1, 0.5, 0.9)):
    """What arrays and loops answer: quantiles and figures of each."""
    n, answers = len(batch.mu), []
    for form in (arrays, hunting):
        quantiles, figures = np.zeros((n, len(levels))), np.zeros((n, 4))
        form.foretell(batch, 0, n, NODES, np.array(levels), LEAST_OF_NODE, 1e-9, quantiles, figures)
        answers.append((quantiles, figures))
    return answers


@pytest.mark.parametrize("name", PARTS)
def test_one_part_as_loops_is_the_part_as_arrays(name):
    """Quantiles to a millionth of a life, chance, odds, share of the other kind and of a slip to 1e-7."""
    part = one_part(name)
    (road, figures), (other_road, other) = both(arrays.batch_of([part]))
    assert other_road == pytest.approx(road, abs=1e-6 * exp(-part.mu))
    assert other == pytest.approx(figures, rel=1e-7, abs=1e-7, nan_ok=True)
    assert 0.0 <= figures[0, 0] <= 1.0
    assert (np.diff(road[0]) >= 0.0).all()


@pytest.fixture(scope="module")
def chains():
    """Six drawn chains with bench closings, one of them on a gear hub, one with a distance that nobody stated."""
    g = np.random.default_rng(23)
    trade = trade_chains(tables().wear_priors)
    lines = chain_lines(lives(workshops(6, g), g), closing="bench")
    lines.km[1, 0] = np.nan
    lines = replace(lines, hub=np.arange(6) == 2, start=np.array([0, 1, 2, 3, 4, 4]))
    tuning = replace(trade.tuning, ahead=0.1, bend=1.06)
    return chain_batch(lines, trade, tuning, stories(lines, ("0",), trade)).batch


def test_many_chains_as_loops_are_the_chains_as_arrays(chains):
    """The same of chains as they come from files."""
    (road, figures), (other_road, other) = both(chains)
    assert other_road == pytest.approx(road, abs=1e-2)
    assert other == pytest.approx(figures, rel=1e-7, abs=1e-7, nan_ok=True)


def test_evidence_and_its_slopes_as_loops_are_those_as_arrays(chains):
    """What learning goes by: log evidence, slope by rate and by each bias; and the slope by rate is that of the evidence."""
    n, answers, h = len(chains.mu), [], 1e-4
    one_story = chains._replace(
        bias=chains.bias * np.array([[1.0], [0.0]]) + np.array([[0.0], [1.0]]) * [0, 0, 1]
    )
    for form in (arrays, hunting):
        evidence, by_rate, by_bias = np.zeros(n), np.zeros(n), np.zeros((n, chains.bias.shape[1]))
        form.weigh(one_story, 0, n, NODES, evidence, by_rate, by_bias)
        answers.append((evidence, by_rate, by_bias))
    for plain, other in zip(*answers, strict=True):
        assert other == pytest.approx(plain, rel=1e-8, abs=1e-8)
    moved = np.zeros(n), np.zeros(n)
    for up, to in zip((h, -h), moved, strict=True):
        shifted = one_story._replace(mu=one_story.mu + up)
        # Fine enough a grid, so that moving it by a hair moves nothing but the mean.
        arrays.weigh(shifted, 0, n, 60, to, np.zeros(n), np.zeros((n, chains.bias.shape[1])))
    fine = np.zeros(n)
    arrays.weigh(one_story, 0, n, 60, np.zeros(n), fine, np.zeros((n, chains.bias.shape[1])))
    assert fine == pytest.approx((moved[0] - moved[1]) / (2 * h), abs=0.02)


@pytest.mark.parametrize("laws", [1, 2])
def test_a_law_has_room_at_every_node_up_to_whole_eights(laws):
    """Compiled loops look at no bounds: whatever the number of components, the last node's last eight still lies in the room."""
    for components in range(1, 200):
        room = loops_guard.stack_room(components, laws)
        most = MOST_NODES * laws * full(0, components)
        assert all(one.size >= most for one in room[:4])
        assert room[4].size > MOST_NODES * laws


def test_probits_side_by_side_are_those_one_by_one():
    """Middle, tails and what is as good as 0: probit and bell of eight chances are those of the one-by-one form."""
    chance = np.array([0.0, 1e-12, 0.01, 0.0243, 0.3, 0.5, 0.98, 1.0 - 1e-6])
    z, bell = np.zeros(8), np.zeros(8)
    loops.probits_and_bells(chance, z, bell)
    assert z == pytest.approx([loops.probit_and_bell(p)[0] for p in chance], abs=1e-7)
    assert bell == pytest.approx([loops.probit_and_bell(p)[1] for p in chance], rel=1e-6)
    assert probit(chance) == pytest.approx(z, abs=1e-7)


@pytest.mark.parametrize("at", [-0.5, 0.2, 1.4])
@pytest.mark.parametrize("above", [-1.0, 1.0])
def test_an_open_end_tells_what_the_interval_tells(at, above):
    """All below a mark, or all from it on: factor, slope, drop and chance of a slip are those of the interval."""
    expected, variance, slip = np.array([0.1, 0.5, 1.2]), np.array([0.01, 0.04, 0.02]), np.full(3, 0.02)
    ends = (at, inf) if above > 0 else (-inf, at)
    whole, other = [np.zeros(3) for _ in range(4)], [np.zeros(3) for _ in range(4)]
    loops.told_of_interval(expected, variance, *ends, slip, 0.4, 0, 3, *whole)
    loops.told_of_open_end(expected, variance, at, above, slip, 0.4, 0, 3, *other)
    for mine, plain in zip(other, whole, strict=True):
        # Beyond 8.3 deviations nothing changes that counts.
        assert mine == pytest.approx(plain, rel=1e-8, abs=1e-7)


@pytest.mark.parametrize("name", PARTS)
def test_the_rates_that_are_taken_are_as_good_as_many_more(name):
    """By the rates that one part and many are judged by, and by six times as many: chance to 0.005, the road of half such
    parts to 0.03 of a life."""
    part = one_part(name)
    answers = []
    for nodes in (RATES, 6 * RATES):
        road, figures = np.zeros((1, 3)), np.zeros((1, 4))
        arrays.foretell(
            arrays.batch_of([part]),
            0,
            1,
            nodes,
            np.array([0.1, 0.5, 0.9]),
            LEAST_OF_NODE,
            1e-9,
            road,
            figures,
        )
        answers.append((road[0, 1] / exp(-part.mu), figures[0, 0]))
    (road, chance), (fine_road, fine_chance) = answers
    assert chance == pytest.approx(fine_chance, abs=0.005)
    assert road == pytest.approx(fine_road, abs=0.03)


@pytest.mark.parametrize("a", [0.0, 0.3, 1.0, 2.5, 5.0, 7.5])
def test_bell_and_tail_are_those_of_the_error_function(a):
    """Source: Phi(-a) = erfc(a / sqrt 2) / 2, by the standard library."""
    bell, tail = loops.bell_and_tail(a)
    assert bell == pytest.approx(exp(-a * a / 2), rel=1e-12)
    assert tail == pytest.approx(erfc(a / sqrt(2)) / 2, rel=1e-9)
    assert loops.integral(-a) == pytest.approx(tail, rel=1e-9)
    assert loops.integral(a) == pytest.approx(1 - tail, rel=1e-12)
    assert loops.probit(tail) == pytest.approx(-a, abs=1e-7)
    assert loops.tail_over_bell(a) == pytest.approx(tail / (bell / sqrt(2 * np.pi)), rel=1e-8)


def test_a_mixture_and_its_slope():
    """Three components at eight uses: the chance is that of the arrays, its slope what a step of a metre finds."""
    weight, rate = np.array([0.2, 0.5, 0.3]), np.array([2e-4, 4e-4, 9e-4])
    wear, var = np.array([0.3, 0.4, 0.2]), np.array([0.01, 0.02, 0.03])
    use = np.linspace(-500.0, 3000.0, 8)

    def chance(at):
        spread = 100.0 * np.abs(at) + 0.01 * at * at
        return mixed(weight, rate, wear, var, np.ones(len(at)), at, spread), spread

    found, slope = np.zeros(8), np.zeros(8)
    by = np.sign(use) * 50.0 + 0.01 * use
    loops.mixed(weight, rate, wear, var, 0, 3, 1.0, use, chance(use)[1], by, found, slope)
    assert found == pytest.approx(chance(use)[0], abs=1e-12)
    assert slope == pytest.approx((chance(use + 1e-3)[0] - chance(use - 1e-3)[0]) / 2e-3, rel=1e-5, abs=1e-12)


@pytest.mark.parametrize("slip", [0.0, 0.02])
@pytest.mark.parametrize(
    ("low", "high"), [(0.4, 0.4), (0.4, 0.7), (-inf, 0.4), (0.7, inf), (2.5, 2.5), (1.9, inf)]
)
def test_what_a_reading_tells_each_component(low, high, slip):
    """Factor, slope, drop of variance and chance of a slip of three components: loops and arrays alike."""
    expected, variance = np.array([0.1, 0.5, 1.2]), np.array([0.01, 0.04, 0.02])
    slips = np.full(3, slip)
    plain = told(expected, variance, low, high, slips, 0.4)
    total, first, drop, after = np.zeros(3), np.zeros(3), np.zeros(3), np.zeros(3)
    filled = slips, 0.4, 0, 3, total, first, drop, after
    top = 0.0
    if slip == 0.0:
        top = loops.told_exactly(expected, variance, low, high, *filled)
    elif low == high:
        loops.told_of_value(expected, variance, low, *filled)
    else:
        loops.told_of_interval(expected, variance, low, high, *filled)
    for mine, other in zip((total, first, drop, after, top), plain, strict=True):
        # Beyond 8.3 deviations nothing changes that counts.
        assert mine == pytest.approx(other, rel=1e-8, abs=1e-7)


@pytest.mark.parametrize(
    "ends", [(-1.0, 0.5), (1.0, 2.0), (-3.0, -1.0), (0.5, inf), (-inf, -0.5), (9.0, 9.5)]
)
def test_a_cut_off_normal_has_the_moments_that_a_fine_sum_gives(ends):
    """Source: chance, mean and mean square of a normal between two ends, summed over 200,000 steps."""
    a, b = ends
    x = np.linspace(max(a, -12.0), min(b, 12.0), 200001)
    dense = np.exp(-0.5 * x * x) / sqrt(2 * np.pi)
    whole, mean, square = (np.trapezoid(dense * f, x) for f in (np.ones(len(x)), x, x * x))
    log_like, first, second = loops.cut_off(a, b)
    assert log_like == pytest.approx(np.log(whole), abs=1e-5)
    # Slopes by the mean of a normal at 0: first = mean of what is left, second = 1 less its mean square, turned round.
    assert first == pytest.approx(mean / whole, rel=1e-4)
    assert second == pytest.approx(-(1.0 - square / whole), abs=1e-4)
    for mine, plain in zip((log_like, first, second), cut_off(np.array([a]), np.array([b])), strict=True):
        assert mine == pytest.approx(float(plain[0]), rel=1e-8)
