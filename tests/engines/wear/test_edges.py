"""Where it hurts: far-gone first readings, few kilometres, many, none known, new parts. One law, so nothing contradicts."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from math import inf

import numpy as np
import pytest

from pinchbolt.engines.wear import Forecast, GaugeError, GaugeReading, WearLaw, judge
from pinchbolt.engines.wear._batch import batch_of
from pinchbolt.engines.wear._compiled import compiled
from pinchbolt.engines.wear._filter import PartArrays, until_last
from pinchbolt.engines.wear._hunt import Law, chance_of, grid_of, law_of, use_at, wear_at
from pinchbolt.engines.wear._judge import NODES
from pinchbolt.engines.wear._one import part_of
from pinchbolt.engines.wear._scale import Array
from pinchbolt.engines.wear._steps import steps
from pinchbolt.values import Interval, Verdict
from tests.engines.wear.cases import TODAY
from tests.engines.wear.rows import (
    CALIPER,
    RULE,
    THREE_POINT,
    TWO_POINT,
    WEEK,
    ask,
    law,
    laws,
    shown,
    usual_error,
)

ROTOR, PAD, RIM = "rotor-thickness-1.8", "disc-pad-lining-resin", "rim-wall-thickness"
CHAIN, CHAIN_11 = "chain-elongation-9to10", "chain-elongation-11"
BAD = {Verdict.NEXT_VISIT, Verdict.BEFORE_IT_LEAVES, Verdict.UNSAFE}
WATCHED = BAD | {Verdict.WATCH}
NOT_BAD = {Verdict.SOUND, Verdict.WATCH}
OPEN = Interval(0.75, inf)
BELOW = Interval(-inf, 0.5)


def way(seen: Forecast) -> float:
    """How far it is gone: 0 new, 1 at the limit."""
    return (seen.present.median - seen.law.new) / (seen.law.limit - seen.law.new)


# What a good mechanic says, written down before the law was asked: verdicts, wear on the way from new to the limit, km to go.
ASKED = [
    (CHAIN, None, shown(0.9), RULE, BAD, (0.95, 1.5), (-9e9, 0)),
    (CHAIN, None, shown(1.0), CALIPER, BAD, (1.1, 1.6), (-9e9, 0)),
    (CHAIN, None, shown(1.2), CALIPER, BAD, (1.2, 1.9), (-9e9, 0)),
    (CHAIN, None, shown(1.4), CALIPER, BAD, (1.2, 2.2), (-9e9, 0)),
    (CHAIN, None, shown(0.3), CALIPER, {Verdict.SOUND}, (0.3, 0.5), (800, 4000)),
    (CHAIN, None, shown(0.6), CALIPER, {Verdict.WATCH}, (0.7, 0.9), (100, 1200)),
    (ROTOR, None, shown(1.40), None, BAD, (1.1, 1.7), (-9e9, 0)),
    (ROTOR, None, shown(1.20), None, BAD, (1.3, 2.3), (-9e9, 0)),
    (ROTOR, None, shown(1.52), None, WATCHED, (0.85, 1.0), (-300, 3000)),
    (ROTOR, None, shown(1.75), None, {Verdict.SOUND}, (0.1, 0.3), (4000, 20000)),
    (ROTOR, 200.0, shown(1.52), None, WATCHED, (0.85, 1.05), (-300, 3000)),
    (ROTOR, 1000.0, shown(1.52), None, WATCHED, (0.85, 1.05), (-300, 3000)),
    (ROTOR, 500.0, shown(1.45), None, BAD, (1.0, 1.3), (-9e9, 0)),
    (ROTOR, 13000.0, shown(1.65), None, NOT_BAD, (0.35, 0.65), (5000, 40000)),
    (ROTOR, 200.0, shown(1.80), None, {Verdict.SOUND}, (-0.1, 0.1), (6000, 25000)),
    (PAD, 100.0, shown(0.6), None, WATCHED, (0.8, 1.05), (-200, 900)),
    (PAD, 100.0, shown(0.9), None, WATCHED, (0.66, 0.85), (0, 1500)),
    (PAD, 2000.0, shown(1.2), None, NOT_BAD, (0.4, 0.65), (900, 4000)),
    (PAD, None, shown(0.3), None, BAD, (1.0, 1.3), (-9e9, 0)),
    (PAD, 2500.0, shown(0.5), None, BAD, (1.0, 1.1), (-9e9, 0)),
    (RIM, 300.0, shown(1.05), None, WATCHED, (0.8, 1.05), (-500, 6000)),
    (RIM, 300.0, shown(0.95), None, BAD, (1.0, 1.2), (-9e9, 0)),
    (CHAIN_11, 200.0, OPEN, TWO_POINT, BAD, (0.95, 2.6), (-9e9, 0)),
    (CHAIN_11, 500.0, OPEN, TWO_POINT, BAD, (1.0, 2.6), (-9e9, 0)),
    (CHAIN_11, 200.0, OPEN, THREE_POINT, BAD, (1.0, 2.6), (-9e9, 0)),
    (CHAIN_11, 2100.0, shown(0.5, 0.75), THREE_POINT, BAD, (0.95, 1.5), (-9e9, 100)),
    (CHAIN, 8000.0, BELOW, THREE_POINT, NOT_BAD, (0.1, 0.85), (600, 20000)),
    (CHAIN, 8000.0, shown(0.30), CALIPER, {Verdict.SOUND}, (0.2, 0.55), (2500, 40000)),
    (CHAIN, 8000.0, shown(0.40), CALIPER, NOT_BAD, (0.4, 0.65), (2000, 20000)),
    (CHAIN, 12000.0, BELOW, THREE_POINT, NOT_BAD, (0.1, 0.85), (600, 30000)),
    (CHAIN, 1000.0, BELOW, THREE_POINT, {Verdict.SOUND}, (0.1, 0.5), (1200, 3500)),
    (CHAIN, 2000.0, shown(0.4), CALIPER, {Verdict.SOUND}, (0.45, 0.6), (900, 2400)),
    (CHAIN, 3000.0, shown(0.7), CALIPER, WATCHED, (0.85, 1.02), (0, 500)),
    (CHAIN, 200.0, shown(0.40), CALIPER, NOT_BAD, (0.3, 0.6), (200, 2600)),
]


@pytest.mark.parametrize(("row", "km", "seen", "error", "verdicts", "wear", "road"), ASKED)
def test_a_first_reading_is_answered_as_a_mechanic_would(row, km, seen, error, verdicts, wear, road):
    """Verdict, wear and road each lie where they must; verdict and figures agree."""
    found = ask(law(row), km, seen, error)
    assert found.verdict in verdicts
    assert wear[0] <= way(found) <= wear[1]
    assert road[0] <= found.to_limit.median <= road[1]


@pytest.mark.parametrize(
    ("row", "km"),
    [
        (CHAIN, None),
        (CHAIN, 200.0),
        (CHAIN, 3000.0),
        (ROTOR, None),
        (ROTOR, 200.0),
        ("rotor-thickness-2.0", 3000.0),
    ],
)
def test_the_worse_the_reading_the_worse_the_verdict(row, km):
    """From as new to twice the limit: chance and verdict never fall, wear never falls, road never grows."""
    of = law(row)
    looks = [of.new + (of.limit - of.new) * k / 10 for k in range(21)]
    found = [ask(of, km, shown(v), CALIPER if row == CHAIN else None) for v in looks]
    for less, more in pairwise(found):
        assert more.verdict.rank >= less.verdict.rank
        assert more.chance_past_limit >= less.chance_past_limit - 1e-9
        assert more.chance_past_warn >= less.chance_past_warn - 1e-9
        assert way(more) >= way(less) - 1e-6
        assert more.to_limit.median <= less.to_limit.median + 1e-6 * of.median_life


def test_reading_it_again_helps():
    """A chain of unknown distance at 1.2 % today and 1.2 % tomorrow is past its limit, surer than by one look."""
    of = law("chain-elongation-12to13")
    looks = [GaugeReading(TODAY - timedelta(days=d), shown(1.2), "rule", RULE, None, 0.15) for d in (1, 0)]
    once, twice = (judge(of, some, WEEK, TODAY, start="unknown") for some in (looks[1:], looks))
    assert once.verdict is twice.verdict is Verdict.NEXT_VISIT
    assert twice.chance_past_limit > once.chance_past_limit > 0.8


def test_a_safety_part_at_its_warning_is_never_sound():
    """Every safety row, any distance: at its warning it is watched at least, at its limit it is past."""
    for of in laws():
        if not of.safety or of.clock:
            continue
        for km in (None, 0.01 * of.median_life, 4 * of.median_life):
            assert ask(of, km, shown(of.warn)).verdict is not Verdict.SOUND, (of.id, km)
            past = ask(of, km, shown(of.limit))
            assert past.verdict is of.at_limit, (of.id, km)
            assert past.chance_past_limit == 1.0
            assert past.to_limit.wide.high <= 0.0


def contradictions(found: Forecast) -> list[str]:
    """Which figures say another thing than the chance of being past the limit."""
    past, of = found.chance_past_limit >= 0.5, found.law
    slack, day = 1e-6 * of.median_life, found.day_at_limit.median
    agree = {
        "road": (found.to_limit.median <= 0) == past or abs(found.to_limit.median) <= slack,
        "wear": (way(found) >= 1) == past or abs(way(found) - 1) < 1e-6,
        "day": day is None or (day <= found.day if past else day >= found.day),
        "verdict": not past or found.verdict.rank >= min(of.at_limit.rank, Verdict.BEFORE_IT_LEAVES.rank),
        "next look": not past or found.next_check_day == found.day,
    }
    return [what for what, good in agree.items() if not good]


@pytest.mark.parametrize("turn", [0, 1])
def test_verdict_wear_road_and_day_never_contradict(turn):
    """Every row, readings from as new to twice the limit, few, many and unknown km: past in one figure is past in all."""
    kms = (None, 150.0, 2500.0, 40000.0)
    rows = [of for of in laws() if not of.clock and of.driver == "km"]
    for i, of in enumerate(rows):
        for j, k in enumerate((0.3, 0.9, 1.02, 1.9)):
            km = kms[(i + j + 2 * turn) % 4]
            assert contradictions(ask(of, km, shown(of.new + k * (of.limit - of.new)))) == [], (of.id, k)


@pytest.mark.parametrize("row", [CHAIN, ROTOR, PAD, RIM, "tyre-tread-city"])
def test_a_part_fitted_new_today_is_new(row):
    """Wear as new, no day before its fitting, nothing to call back tomorrow."""
    found = ask(law(row), 0.0, None, start="here")
    assert abs(way(found)) < 0.02
    assert found.verdict is Verdict.SOUND
    assert found.chance_past_limit < 1e-3
    assert found.day_at_limit.wide[0] is None or found.day_at_limit.wide[0] > TODAY
    assert found.next_check_day > TODAY + timedelta(days=14)


def test_the_only_reading_contradicts_no_earlier_one():
    """Nothing is said of earlier readings where there are none, nor that it agrees with such parts beside a doubt."""
    for km in (None, 200.0):
        found = ask(law(CHAIN), km, shown(1.6), CALIPER)
        assert not any("earlier ones" in doubt for doubt in found.doubts)
        assert not any("wears like most" in reason.words for reason in found.reasons)
    early = ask(law(ROTOR), 200.0, shown(1.52))
    assert any("Was it used before" in doubt for doubt in early.doubts)


@pytest.mark.parametrize("row", [PAD, "tyre-tread-city", "tyre-knob-height", "sealant-age"])
def test_nothing_is_shown_below_nothing(row):
    """No lining thinner than 0, no age below 0, whatever is not known."""
    of = law(row)
    for seen in (None, shown(of.limit), shown(0.0)):
        found = ask(of, None, seen)
        assert found.present.wide.low >= 0.0


def test_a_better_second_reading_takes_back_a_bad_first_one():
    """Rotor 1.52 at 200 km, then 1.79 by the same caliper: sound."""
    of = law(ROTOR)
    looks = [
        GaugeReading(TODAY - timedelta(days=30), shown(1.52), "caliper", usual_error(of), 200.0, 0.15),
        GaugeReading(TODAY, shown(1.79), "caliper", usual_error(of), 500.0, 0.15),
    ]
    assert judge(of, looks, WEEK, TODAY).verdict is Verdict.SOUND


def test_a_slip_read_twice_on_one_day_says_nothing_new():
    """0.25 at 1,000 km, then 0.8 twice: on two days it is past its limit, twice by one gauge on one day it is not."""
    of = law(CHAIN)

    def looks(first: int) -> list[GaugeReading]:
        told = [(60, 0.25, 1000.0), (first, 0.8, 1005.0), (0, 0.8, 1005.0)]
        return [
            GaugeReading(TODAY - timedelta(days=d), shown(v), "caliper", CALIPER, km, 0.15)
            for d, v, km in told
        ]

    assert judge(of, looks(1), WEEK, TODAY).chance_past_limit > 0.5
    assert judge(of, looks(0), WEEK, TODAY).chance_past_limit < 0.1


def shown_at(of: WearLaw, at: float) -> Interval:
    """What is read at this share of the way to the limit."""
    return shown(of.new + at * (of.limit - of.new))


def part_read(of: WearLaw, seen: Interval, km: float | None, error: GaugeError | None = None) -> PartArrays:
    """A part of one reading, as the law takes it."""
    by = error or (CALIPER if of.part == "chain" else usual_error(of))
    look = [GaugeReading(TODAY, seen, "instrument", by, km, 0.15)]
    return part_of(of, look, steps(of, look, WEEK, TODAY, km, None), "unknown" if km is None else "told")


def median_roads(
    of: WearLaw, seen: Interval, kms: list[float | None], error: GaugeError | None = None
) -> list[float]:
    """Median road of one reading at each distance, as many parts at once."""
    batch = batch_of([part_read(of, seen, km, error) for km in kms])
    road, figures = np.zeros((len(kms), 1)), np.zeros((len(kms), 4))
    compiled()[0](batch, 0, len(kms), NODES, np.array([0.5]), 1e-7, 1e-9, road, figures)
    return [max(float(v), 0.0) for v in road[:, 0]]


@pytest.mark.parametrize("row", [of.id for of in laws() if not of.clock])
def test_more_distance_at_the_same_reading_gives_no_less_road(row):
    """From 0.4 to 4 times the usual pace, to 1e-6 of a life; beyond the pace never less than where the distance is not known."""
    of, paces = law(row), [0.4 * 10 ** (k / 11) for k in range(12)]
    for at in (0.1, 0.3, 0.6, 0.8, 0.95):
        far = [pace * at * of.median_life for pace in (*paces, 1.001, 2.0, 5.0, 10.0, 30.0)]
        *roads, unknown = median_roads(of, shown_at(of, at), [*far, None])
        for less, more in pairwise(roads[:12]):
            assert more >= less - 1e-6 * of.median_life, (at, roads)
        assert min(roads[12:]) >= unknown - 1e-6 * of.median_life, (at, roads)


def test_what_a_gauge_shows_is_told_by_the_stated_distance():
    """Below 0.5 at 500 km a chain goes as far as one that nobody has read, its life less 500; not as if 2,000 km had been ridden."""
    of = law(CHAIN_11)
    early, later = median_roads(of, BELOW, [500.0, 2000.0], TWO_POINT)
    assert early == pytest.approx(of.median_life - 500.0, rel=0.15)
    assert later < early - 200.0


def test_only_the_median_is_moved_for_the_sake_of_order():
    """A fork read at 0.3 of the way: the four in five and the wear are those of the distance that was stated; nothing contradicts."""
    of = law("fork-bush-play")
    part = part_read(of, shown_at(of, 0.3), 0.5 * 0.3 * of.median_life)
    cloud, slipped, *_ = until_last(part, NODES)
    guarded = law_of(part, cloud, slipped, 1e-7)
    plain = guarded._replace(along=None)
    grid, marks = grid_of(guarded), np.array([1.0, 1.3])

    def roads(of_law: Law, levels: list[float]) -> Array:
        laid = np.array([chance_of(of_law, np.full(len(grid), mark), grid) for mark in marks])
        return use_at(of_law, marks, np.array(levels), grid, laid, 1e-8) / of.median_life

    held, stated = (roads(which, [0.1, 0.25, 0.5, 0.75, 0.9]) for which in (guarded, plain))
    assert held[0, [0, 1, 3, 4]] == pytest.approx(stated[0, [0, 1, 3, 4]], abs=1e-6)
    assert -0.05 < held[0, 2] - stated[0, 2] < -0.01
    assert held[1] == pytest.approx(stated[1], abs=1e-6)
    now = [wear_at(which, np.array([0.1, 0.5, 0.9])) for which in (guarded, plain)]
    assert now[0] == pytest.approx(now[1], abs=1e-6)


def test_a_chain_that_wears_like_one_on_a_gear_hub_is_asked_about():
    """A third of the usual pace over six looks: is it one? An ordinary chain is never asked."""
    of = replace(law(CHAIN), hub=0.04)

    def read_at(pace: float) -> Forecast:
        looks = [
            GaugeReading(
                TODAY - timedelta(days=600 - 100 * k),
                shown(0.02 + 0.73 * pace * 1000 * k / 3000),
                "c",
                CALIPER,
                1000.0 * k,
                0.1,
            )
            for k in range(1, 7)
        ]
        return judge(of, looks, WEEK, TODAY)

    assert any("a chain of a hub gear. Is it one?" in doubt for doubt in read_at(0.3).doubts)
    assert not any("hub gear" in doubt for doubt in read_at(0.9).doubts)
