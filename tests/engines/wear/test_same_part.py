"""Is it the same chain? The worked examples of the method, and what must hold."""

from dataclasses import replace

import pytest

from pinchbolt.engines.wear import Stories, same_part
from pinchbolt.errors import InputRefused
from tests.engines.wear.cases import (
    BELOW,
    BETWEEN,
    CALIPER,
    CHAIN,
    THREE_POINT,
    USE,
    reading,
    steadily,
    value,
)

# Worked in the project's method notes with a simulation of their own; odds for a new chain to 1. A likelihood of slips that
# is spread differently moves them by up to a half, so the bound is a factor of 1.6.
WORKED = [
    ([(2600, BETWEEN), (3000, BELOW)], THREE_POINT, 37),
    ([(1500, BELOW), (6000, BELOW)], THREE_POINT, 20),
    ([(2200, value(0.55)), (3000, value(0.12))], CALIPER, 232),
    ([(2200, value(0.55)), (2500, value(0.50))], CALIPER, 1 / 77),
]


@pytest.mark.parametrize(("looks", "error", "to_one"), WORKED)
def test_odds_of_the_worked_examples(looks, error, to_one):
    """Mixed use, distances by the owner's word."""
    readings = [
        reading(
            r.exposure,
            r.shown,
            error,
            days_ago=(looks[-1][0] - r.exposure) // 10,
            instrument="gauge",
            share=0.15,
        )
        for r in steadily(looks, error, "gauge")
    ]
    # Worked with one normal of rates and every chain new at fitting.
    plain = replace(CHAIN, tail=0.0, stories=Stories((0.0, 0.0), (0.0, 0.0)))
    odds_new = 1 / same_part(plain, readings, USE).odds_same
    assert to_one / 1.6 < odds_new < to_one * 1.6


def test_the_prior_of_a_change_in_silence_is_weighed_in():
    """Where changes in silence are common the same readings leave less belief in the old chain."""
    looks = steadily([(2600, BETWEEN), (3000, BELOW)], THREE_POINT, "gauge")
    chances = [same_part(CHAIN, looks, USE, prior_changed=p).chance_same for p in (0.02, 0.10, 0.50)]
    assert chances == sorted(chances, reverse=True)
    # P(new) 0.43 / 0.80 / 0.97 in the method notes; two digits, same tolerance of the odds as above.
    assert chances == pytest.approx([0.57, 0.20, 0.03], abs=0.13)


def test_a_chain_that_wore_on_is_the_one_on_record():
    """0.2, 0.3, 0.4 over 2,000 km: many to one for the same chain, in words."""
    found = same_part(
        CHAIN, steadily([(1000, value(0.2)), (1500, value(0.3)), (2000, value(0.4))], CALIPER, "c"), USE
    )
    assert found.odds_same > 20
    assert "fit the chain on record" in found.words


def test_a_brand_new_reading_after_a_worn_one_is_a_new_chain():
    """0.6 and then 0.05: a new chain, in words."""
    found = same_part(CHAIN, steadily([(2500, value(0.6)), (2900, value(0.05))], CALIPER, "c"), USE)
    assert found.odds_same < 0.02
    assert "another chain than the one on record" in found.words


def test_one_reading_proves_no_more_than_slips_allow():
    """However absurd, one reading against the record stays within 3 over the share of slips, as a slip it may be."""
    found = same_part(CHAIN, steadily([(2500, value(0.74)), (2510, value(0.0))], CALIPER, "c"), USE)
    assert 1 / found.odds_same < 60 * 3 / CHAIN.misread


def test_one_reading_is_not_enough_to_ask():
    """The sentence asks for one more."""
    with pytest.raises(InputRefused) as refused:
        same_part(CHAIN, [reading(1000, BELOW)], USE)
    assert "Take one more" in refused.value.sentence
