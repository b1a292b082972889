"""A worse last reading never tells a better story, whatever the row and what came before: 200 histories of every row."""

from dataclasses import replace

import numpy as np
import pytest

from pinchbolt.engines.wear._filter import until_last
from pinchbolt.engines.wear._hunt import chance_of, law_of
from pinchbolt.engines.wear._judge import NODES
from tests.engines.wear.cases import reading, value
from tests.engines.wear.rows import law, usual_error
from tests.fuzz.wear_orders import (
    SWEEP,
    distance_faults,
    fall_with_distance,
    faults,
    figures,
    history,
    measured,
    part_with,
    told_faults,
)

HISTORIES, TOLD = 200, 15  # a row; `make fuzz-wear` runs 20,000
# Laid side by side: numbers with gaps between them would have everything compiled once more.
FEWER = np.ascontiguousarray(SWEEP[::6])


@pytest.mark.parametrize("row", [of.id for of in measured()])
def test_a_worse_last_reading_never_tells_a_better_story(row):
    """Random histories with slips, unknown distances and other starts: chances to 1e-9 at every distance, swept once."""
    assert faults(law(row), HISTORIES, 7) == []


@pytest.mark.parametrize("row", [of.id for of in measured()])
def test_what_is_told_is_in_the_same_order(row):
    """Of fifteen histories as they are told: chance to 1e-9, road to 1e-6 of a life; the sweep says the same to 1e-5."""
    assert told_faults(law(row), TOLD, 8, FEWER) == []


@pytest.mark.parametrize("row", [of.id for of in measured()])
def test_more_distance_at_a_first_reading_gives_no_less_road(row):
    """Six random first readings of every row at sixteen distances; `make fuzz-wear` asks of 200 a row."""
    assert distance_faults(law(row), 6, 11) == []


@pytest.mark.parametrize(
    ("misread", "at"), [(0.07, 0.47), (0.035, 0.65), (0.045, 1.017)], ids=["early", "late", "past the limit"]
)
def test_where_few_know_how_far_it_went_more_distance_gives_no_less_road_either(misread, at):
    """Play of a lower jockey wheel, felt by hand: slips are so likely that past the usual pace the law of an unknown distance governs.

    What the stated distance alone says there is told to nobody, and had the median fall by 0.042 lives short of that pace.
    """
    of = replace(law("jockey-play-lower"), misread=misread, life_log_sd=0.273)
    looked = reading(1000, value(of.new), usual_error(of), share=0.15)
    paces = np.exp(np.linspace(np.log(0.4), np.log(4.1), 41))
    assert fall_with_distance(of, looked, "here", at, paces) <= 1e-6


@pytest.mark.parametrize(
    ("row", "misread", "spread", "lives"),
    [
        ("cassette-chains-used", 0.0048661, 0.4722785, 0.0145678),
        ("cassette-chains-used", 0.0041713, 0.5045195, 0.0121603),
        ("chain-elongation-11", 0.0307426, 0.6467086, 8.9665561),
        ("jockey-play-lower", 0.0307426, 0.6467086, 8.9665561),
    ],
)
def test_a_worse_first_reading_gives_no_more_road_near_new_and_far_past(row, misread, spread, lives):
    """Near new after a few kilometres the pace of a reading moves fast; far past, the chance that it is past need not rise with the road.

    Both had the road rise with a worse reading, by 0.002 and by 0.06 of a life.
    """
    of = replace(law(row), misread=misread, life_log_sd=spread)
    looks = [reading(lives * of.median_life, value(of.new), usual_error(of), share=0.15)]
    told = figures(
        of, looks, "told", np.concatenate([np.linspace(-0.02, 0.1, 49), np.linspace(0.8, 2.0, 49)])
    )
    assert np.diff(told, axis=0).min() >= -1e-6
    assert not ((told[:, 0] < 0.9) & (told[:, 3] > 0.0)).any(), "by today it is less likely than that"


def test_a_node_is_passed_over_only_where_none_comes_near_between_two_points():
    """A chain read far past its limit, and again 500 km on: a tenth of the roads lay 0.03 of a life off, between points far apart."""
    of = replace(law("chain-elongation-5to8"), misread=0.0159315, life_log_sd=0.5334905)
    first, again = (lives * of.median_life for lives in (1.0580376, 1.3098387))
    looks = [
        reading(first, value(1.1579726), usual_error(of), days_ago=30, share=0.15),
        reading(again, value(of.new), usual_error(of), share=0.15),
    ]
    told = figures(of, looks, "here", np.linspace(0.3, 0.7, 33))
    assert np.diff(told, axis=0).min() >= -1e-6


def test_a_road_is_not_taken_for_found_where_another_node_becomes_the_worst_on_the_way():
    """Lift at a chainring, past the limit, slips of 7 %: nine chances of ten lay where a tangent and a cubic met by chance."""
    of = replace(law("chainring-lift"), misread=0.0724706, life_log_sd=0.4135583)
    looks = [reading(5606, value(of.new), usual_error(of), share=0.15)]
    told = figures(of, looks, "told", np.linspace(0.97, 1.04, 36))
    assert np.diff(told[:, 1:], axis=0).min() >= -1e-6


def test_a_reading_far_from_all_others_rests_on_what_weighed_next_to_nothing():
    """0.2, 0.5 and 0.58 percent, then less than a new chain shows: the chance is that of all components, to 1e-6.

    What weighed less than 1e-8 before was left out once, which moved it by 2e-4.
    """
    error = usual_error(law("chain-elongation-5to8"))
    looks = [
        reading(km, value(at), error, share=0.15)
        for km, at in ((614, 0.202), (1438, 0.498), (1774, 0.579), (5027, -0.146))
    ]
    part = part_with(replace(law("chain-elongation-5to8"), misread=0.0066, life_log_sd=1.09), looks, "here")
    told = []
    for least in ({}, {"least": 0.0}):
        cloud, slipped, *_ = until_last(part, NODES, **least)
        told.append(chance_of(law_of(part, cloud, slipped, 0.0), np.ones(1), np.zeros(1))[0])
    assert told[0] == pytest.approx(told[1], abs=1e-6)


def test_without_the_guard_it_would(monkeypatch):
    """The same sweep with only the node at the reading itself: chances fall and roads grow, so the sweep can see it."""
    from pinchbolt.engines.wear import _batch, _guard
    from tests.fuzz import wear_orders

    alone = lambda part, anchor, z: (np.array([z]), np.array([-np.inf]), 1.0)  # noqa: E731
    monkeypatch.setattr(_guard, "value_nodes", alone)
    monkeypatch.setattr(wear_orders, "compiled", lambda: (_batch.foretell, None))
    g = np.random.default_rng(3)
    falls = []
    for _ in range(6):
        varied, looks, start = history(law("chain-elongation-9to10"), g)
        falls.append((-np.diff(figures(varied, looks, start, SWEEP[::6]), axis=0)).max())
    assert max(falls) > 0.01
