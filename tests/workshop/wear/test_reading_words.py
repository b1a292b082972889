"""A judged reading in one line: what the instrument shows and what it means, side by side."""

import re
from datetime import date

import pytest

from pinchbolt.records.models import Instrument
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.questions.part_by_hand import PartByHandRequest, part_by_hand
from pinchbolt.workshop.stays.at_the_counter import owner_sentence
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.wear.reading_words import gauge_words, reading_words
from tests.story import NOW, checked_in, walked_round


def said(row, shown, **asked):
    """The line of one reading by hand."""
    return reading_words(
        part_by_hand(PartByHandRequest(limit=row, **asked), date(2030, 5, 1)).forecast, shown
    )


def test_what_is_shown_and_what_it_means_stand_side_by_side():
    """A chain read by caliper: the figure, what it most likely is and between what, and how far in round figures."""
    line = said("chain-elongation-5to8", "0.4 %", km=2000, value=0.4, instrument="vernier")
    assert re.fullmatch(
        r"chain: read 0\.4 %, now about 0\.\d+ % \(likely 0\.\d+ to 0\.\d+\); limit 0\.75 % in about "
        r"[\d,]+0 km \(likely [\d,]+0 to [\d,]+0\)\.",
        line,
    )


def test_nothing_below_nothing_is_said():
    """Pads on the plate: the range of the lining ends at 0."""
    line = said("disc-pad-lining-resin", "0 mm", km=4000, value=0.0)
    assert "(likely 0 to " in line
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
    assert "which also reads the rollers, now about" in found.words


def dropped_in(low: float, km: float) -> FindingView:
    """A two-point gauge drops in at its mark on a chain of a road bike."""
    there = checked_in()
    chain = next(part for part in parts_on(there.record.bike) if part.kind == "chain")
    gauge = Instrument.objects.get(table_id="chain-gauge-go-nogo")
    asked = ReadingRequest(there.job, chain.pk, "chain-elongation-12to13", gauge.pk, low=low, distance_km=km)
    return take_reading(asked, by=there.first, key=there.key(), now=NOW).finding


@pytest.mark.django_db
def test_a_gauge_that_drops_in_at_the_limit_is_never_told_as_less() -> None:
    """Whatever its known error makes of that: mechanic and owner hear what it showed, and nobody is told to ride on."""
    limit = tables().limits["chain-elongation-12to13"].limit
    found = dropped_in(float(str(limit)), 900.0)
    assert found.forecast is not None and found.forecast.shows_limit and not found.forecast.is_past
    assert f"the gauge shows its limit of {limit:g} % already" in found.words
    told = owner_sentence(found)
    assert "our gauge shows its limit already" in told and "measure it again" in told
    assert "othing to do" not in told and "should last" not in told


@pytest.mark.django_db
def test_a_gauge_that_drops_in_below_the_limit_says_how_far_it_is() -> None:
    """Only the limit itself is told so."""
    found = dropped_in(0.3, 900.0)
    assert found.forecast is not None and not found.forecast.shows_limit
    assert "already" not in found.words
