"""Which figures of a joint hold where little is known: never a stronger part than may be there; and what a bike is, by its facts."""

import pytest

from pinchbolt.engines.build import flat_facts, lowest_figures
from pinchbolt.reference import tables
from tests.reference.templates_built import built

TRADE = tables()
WITH_CASES = [row.id for row in TRADE.joints.values() if TRADE.cases_of.get(row.id)]


def may_hold(row: str) -> list[float]:
    """Greatest values that may hold where nobody looked: the joint's own, and of each case that a hand can overlook. [N·m]"""
    own = TRADE.joints[row]
    others = [case for case in TRADE.cases_of[row] if not case.when_known]
    if own.makers_figure_only or any(case.makers_figure_only for case in others):
        return [own.high * own.makers_figure_only, *(one.high for one in others if one.makers_figure_only)]
    return [own.high, *(case.high for case in others)]


@pytest.mark.parametrize("row", WITH_CASES)
def test_of_a_joint_that_nobody_looked_at_the_lowest_counts(row: str) -> None:
    """No case and no row that may hold is lower; where only the maker knows, no figure of a table stands in."""
    told = lowest_figures(TRADE, TRADE.joints[row])
    if told.makers_figure_only:
        others = [case.makers_figure_only for case in TRADE.cases_of[row] if not case.when_known]
        assert TRADE.joints[row].makers_figure_only or any(others)
    else:
        assert told.high == min(may_hold(row))


def test_both_ways_are_asked_the_row_and_a_case() -> None:
    """Of some joints the row is the lowest, of others a case: a question that is asked of one kind alone says half."""
    lowest = [
        lowest_figures(TRADE, TRADE.joints[row]).case is None
        for row in WITH_CASES
        if any(not case.when_known for case in TRADE.cases_of[row])
    ]
    assert any(lowest) and not all(lowest)


def test_a_bike_is_told_by_the_facts_of_its_parts() -> None:
    """A road bike with disc brakes as a mechanic would say it; each end by itself."""
    facts = flat_facts(built(TRADE, TRADE.templates["road-disc"], 11))
    said = {
        "bar": 31.8,
        "cassette": "c11-road",
        "rotor_front": 160.0,
        "rotor_rear": 160.0,
        "tyre_rear": "28-622",
    }
    assert said.items() <= facts.items()
    assert (facts["front_hub"], facts["rear_hub"]) == ("f-12x100", "r-12x142")
