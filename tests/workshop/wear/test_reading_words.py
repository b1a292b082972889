"""A judged reading in one line: what the instrument shows and what it means, side by side."""

import re
from datetime import date

import pytest

from pinchbolt.records.models import Instrument
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.questions.part_by_hand import PartByHandRequest, part_by_hand
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.wear.reading_words import gauge_words, reading_words
from tests.story import checked_in, walked_round


def said(row, shown, **asked):
    """The line of one reading by hand."""
    return reading_words(
        part_by_hand(PartByHandRequest(limit=row, **asked), date(2030, 5, 1)).forecast, shown
    )


def test_what_is_shown_and_what_it_means_stand_side_by_side():
    """A chain read by caliper: the figure, what it most likely is and between what, and how far in round figures."""
    line = said("chain-elongation-5to8", "0.4 percent", km=2000, value=0.4, instrument="vernier")
    assert re.fullmatch(
        r"chain: read 0\.4 percent, most likely 0\.\d+ percent \(0\.\d+ to 0\.\d+\); limit 0\.75 percent in about "
        r"[\d,]+0 km \(8 in 10: [\d,]+0 to [\d,]+0\)\.",
        line,
    )


def test_nothing_below_nothing_is_said():
    """Pads on the plate: the range of the lining ends at 0."""
    line = said("disc-pad-lining-resin", "0 mm", km=4000, value=0.0)
    assert "(0 to " in line
    assert "-" not in line


def test_a_clock_is_said_without_a_most_likely():
    """Twenty months are twenty months."""
    line = said("brake-fluid-age-glycol", "20 months", value=20)
    assert line == "brake fluid, glycol (DOT 4, 5.1): 20 months; limit 24 months in about 120 days."


@pytest.mark.django_db
def test_a_gauge_that_pushes_the_rollers_says_so():
    """The two-point gauge of the story reads the rollers too; a caliper of a rotor reads nothing besides."""
    chain, rotor = tables().limits["chain-elongation-11"], tables().limits["rotor-thickness-1.8"]
    two_point, caliper = Instrument(table_id="chain-gauge-go-nogo"), Instrument(table_id="caliper")
    assert "which also reads the rollers" in gauge_words(two_point, chain)
    assert gauge_words(caliper, rotor) == gauge_words(None, chain) == ""
    found = next(
        one
        for one in findings_of(walked_round(checked_in()).record)
        if one.limit.startswith("chain-elongation")
    )
    assert "which also reads the rollers, most likely" in found.words
