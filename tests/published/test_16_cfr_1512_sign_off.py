"""Sign-off values against 16 CFR Part 1512 (United States, requirements for bicycles) and its kin.

Values as read in the published text of the regulation: 1512.11(b) tyre clearance, 1512.11(a) spokes, 1512.5 brakes;
ISO 4210-2 cl. 4.6.1 as read in a national adoption; UK SI 1983/1176 reg. 7 and 10.
Tolerance: none, these are limits; ours must be at least as strict.
"""

import pytest

from pinchbolt.engines.build import Build, PartOn, items_for
from pinchbolt.engines.wear import judge_plain
from pinchbolt.reference import tables
from pinchbolt.values import Interval, Verdict

CLEARANCE_MM = 1.6  # 16 CFR 1512.11(b): 1/16 in in any position of the wheel
RIM_BRAKE_ADOPTION_MM = 0.6  # national adoption of ISO 4210-2 cl. 4.10, mountain and racing


def test_a_tyre_with_less_room_than_the_regulation_asks_never_leaves() -> None:
    """At 1.6 mm and below the verdict is before it leaves or worse; our own limit is the stricter one."""
    row = tables().limits["wheel-clearance"]
    assert isinstance(row.limit, float) and row.limit > CLEARANCE_MM
    for gap in (0.0, 0.8, CLEARANCE_MM):
        verdict, _ = judge_plain(row, Interval(gap, gap))
        assert verdict.rank >= Verdict.BEFORE_IT_LEAVES.rank


def test_one_missing_spoke_is_past_the_limit() -> None:
    """1512.11(a): no missing spokes."""
    row = tables().limits["spoke-broken"]
    verdict, _ = judge_plain(row, Interval(1.0, 1.0))
    assert verdict.rank >= Verdict.BEFORE_IT_LEAVES.rank
    assert judge_plain(row, Interval(0.0, 0.0))[0] is Verdict.SOUND


@pytest.mark.parametrize("end", ["front", "rear"])
def test_a_brake_at_each_end_is_on_every_list_and_so_is_one_that_is_missing(end: str) -> None:
    """ISO 4210-2 cl. 4.6.1 and UK SI 1983/1176 reg. 7: two independent brakes; reg. 10: they must work."""
    kind = tables().kinds["brake"]
    bare, braked = (
        Build(tables(), "road", parts) for parts in ((), (PartOn(1, kind, "front"), PartOn(2, kind, "rear")))
    )
    for build, item in ((bare, f"so-no-{end}-brake"), (braked, f"so-brake-{end}")):
        assert item in {row.id for row in items_for(build)}
        assert tables().signoff[item].if_not is Verdict.UNSAFE
        assert tables().signoff[item].second


def test_a_rim_brake_wheel_is_warned_of_at_the_strictest_adoption() -> None:
    """ISO 4210-2 cl. 4.10 in the adoption that was read: 0.6 mm for mountain and racing bicycles."""
    row = tables().limits["runout-lateral-rim-brake"]
    assert row.warn is not None and row.warn <= RIM_BRAKE_ADOPTION_MM
