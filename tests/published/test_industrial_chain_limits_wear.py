"""Industrial limits of chain elongation beside the trade's: what each is for, and that ours are the narrower ones.

General drives 3 % (2 % where the drive is to run smoothly), large sprockets 200/N %, fixed centres 1.5 %: guidance of the
ASME B29.1 family and chain makers' handbooks; ISO 10823 has 3 %, 2 % and 200/N (from memory). Pitch 12.7 mm: ISO 9633, ISO 606.
An industrial sprocket is thick, of hard steel and meant to outlast many chains; its limit is where the chain climbs the teeth.
A cassette's sprockets are thin and wear with the chain: the trade's limits protect them, not the mesh.
"""

import pytest

from pinchbolt.engines.wear import elongation_percent
from pinchbolt.engines.wear._policy import RUN_OUT_AT
from pinchbolt.reference import load

GENERAL, SMOOTH, FIXED = 3.0, 2.0, 1.5


def industrial(teeth: int) -> float:
    """Permitted elongation of a general drive by its large sprocket, percent."""
    return min(GENERAL, 200.0 / teeth)


@pytest.mark.parametrize(
    ("teeth", "printed"), [(53, 3.0), (66, 3.0), (67, 2.985075), (70, 2.857143), (80, 2.5), (100, 2.0)]
)
def test_the_large_sprocket_rule_gives_the_handbooks_limits(teeth, printed):
    """min(3, 200 / N): 3 % holds up to 66 teeth; half a unit of the last digit."""
    assert industrial(teeth) == pytest.approx(printed, abs=5e-7)


def chain_limits():
    """Rows that limit the elongation of a chain in percent."""
    return [r for r in load().limits.values() if r.part == "chain" and r.unit == "percent"]


def test_every_trade_limit_of_a_chain_is_narrower_than_the_narrowest_industrial_one():
    """0.5 to 1 % against 1.5 % and more: the trade changes for the cassette's sake. 1.5 % is for fixed centres."""
    rows = chain_limits()
    assert rows
    for row in rows:
        assert 0 < float(row.limit) < FIXED, row.id


def test_a_cycle_chain_slips_about_where_an_industrial_one_is_at_its_limit():
    """Run out at 2 % (from memory) is the limit of a smooth industrial drive: beyond it the chain climbs the teeth."""
    assert pytest.approx(SMOOTH) == RUN_OUT_AT


@pytest.mark.parametrize(
    ("percent", "mm"), [(0.5, 306.324), (0.75, 307.086), (1.0, 307.848), (2.0, 310.896), (3.0, 313.944)]
)
def test_limits_as_lengths_over_24_pitches(percent, mm):
    """24 pitches of 12.7 mm are 304.8 mm (ISO 9633, ISO 606); each limit as a length, and back. Own arithmetic, 1e-12."""
    assert elongation_percent(mm, 24) == pytest.approx(percent, rel=1e-9)


def test_a_new_industrial_chain_may_measure_up_to_0_15_percent_long():
    """ISO 606 allows 0 to +0.15 % on a new chain (from memory): the trade's figure for new lies inside."""
    stated = [row for row in chain_limits() if row.new is not None]
    assert stated
    for row in stated:
        assert 0.0 <= float(row.new) <= 0.15, row.id
