"""A rotor of which nobody knows how thick it was when new: never called sound, never condemned, and what would settle it."""

import pytest

from pinchbolt.engines.build import Build, limits_on
from pinchbolt.engines.wear import judge_plain, law_for
from pinchbolt.reference import Tables
from pinchbolt.values import Interval, Verdict
from tests.reference.templates_built import part_on

UNKNOWN = "rotor-thickness-unknown"


def read_on(trade: Tables, **facts: float) -> list[tuple[str, bool, list[str]]]:
    """The rows of thickness that are read on a rotor, by caution or not, and what they ask."""
    rotor = part_on(trade, "rotor front", dict(facts), 1)
    found = limits_on(Build(trade, "road", (rotor,)), rotor)
    return [
        (one.row.id, one.by_caution, [ask.fact.id for ask in one.asks])
        for one in found
        if one.row.id.startswith("rotor-thickness")
    ]


@pytest.mark.parametrize(
    ("new", "row"), [(1.8, "rotor-thickness-1.8"), (2.0, "rotor-thickness-2.0"), (2.3, "rotor-thickness-2.3")]
)
def test_a_known_class_is_read_by_its_own_row(trade: Tables, new: float, row: str) -> None:
    """No caution and no question."""
    assert read_on(trade, rotor_new_mm=new) == [(row, False, [])]


def test_an_unknown_one_has_a_row_of_its_own_that_asks(trade: Tables) -> None:
    """One row, by caution; the fact that would settle it is named. A rotor of none of the classes is read there too."""
    assert read_on(trade) == [(UNKNOWN, True, ["rotor_new_mm"])]
    assert read_on(trade, rotor_new_mm=1.6) == [(UNKNOWN, False, [])]


@pytest.mark.parametrize(
    ("shown", "verdict"),
    [
        (1.95, Verdict.SOUND),  # thicker than any class allows to be worn
        (1.75, Verdict.WATCH),  # a sound 1.8, or a 2.0 past its limit: read the marking
        (1.60, Verdict.WATCH),
        (1.45, Verdict.BEFORE_IT_LEAVES),  # every class is past its limit
        (1.25, Verdict.UNSAFE),
    ],
)
def test_what_it_says_of_a_thickness(trade: Tables, shown: float, verdict: Verdict) -> None:
    """The row of 2.0 mm would condemn a sound rotor of 1.8, that of 1.8 would call a worn one of 2.0 sound."""
    assert judge_plain(trade.limits[UNKNOWN], Interval(shown, shown))[0] is verdict


def test_the_marking_settles_it(trade: Tables) -> None:
    """MIN. TH 1.8 on it: 1.75 mm is past its limit. The advice names the marking."""
    row = trade.limits[UNKNOWN]
    assert judge_plain(row, Interval(1.75, 1.75), marked_limit=1.8)[0] is Verdict.BEFORE_IT_LEAVES
    words = [one.words for one in trade.proposals.values() if UNKNOWN in one.limits and not one.operation]
    assert any("MIN. TH" in one for one in words) and "MIN. TH" in row.how


def test_nobody_forecasts_what_began_nobody_knows_where(trade: Tables) -> None:
    """Without the thickness of a new one there is no wear to speak of."""
    assert law_for(trade.limits[UNKNOWN], trade.wear_priors, speeds=None, use_class="mixed") is None
