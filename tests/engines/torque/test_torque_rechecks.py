"""Which bolts are looked at again, and when."""

from pinchbolt.engines.torque import JointSpec, TorqueRange, due_within, first_ride, monthly, whole_round
from pinchbolt.reference import tables


def whole_table() -> list[JointSpec]:
    """Every joint of the trade table as the engine takes it."""
    return [
        JointSpec(
            row.id,
            row.name,
            row.parts,
            TorqueRange(row.low, row.high, row.typical, row.source),
            critical=row.critical,
            recheck_months=row.recheck,
            first_km=row.first_km,
        )
        for row in tables().joints.values()
    ]


def test_bar_stem_crank_and_pedals_are_looked_at_after_the_first_ride() -> None:
    """Trade page 3.3: new bar, stem, crank, pedals after 100 km."""
    ids = {joint.id for joint in first_ride(whole_table())}
    assert {"stem-face-4", "stem-steerer-2", "crank-pinch-2", "pedal"} <= ids
    assert "bottle-boss" not in ids
    assert {joint.id for joint in first_ride(whole_table(), 50.0)} < ids


def test_axles_and_child_seats_are_monthly() -> None:
    """Rows of one month in the joints table."""
    ids = {joint.id for joint in monthly(whole_table())}
    assert {"thru-front", "thru-rear", "quick-release", "child-seat-block"} <= ids
    assert ids < {joint.id for joint in due_within(whole_table(), 3)}


def test_a_whole_round_leaves_no_joint_out() -> None:
    """Which joints a bike has is told by its build sheet; the round takes all of them, once."""
    assert sorted(joint.id for joint in whole_round(whole_table())) == sorted(tables().joints)


def test_what_can_throw_the_rider_comes_first() -> None:
    """Critical A before B before C, in every list."""
    for found in (first_ride(whole_table()), monthly(whole_table()), whole_round(whole_table())):
        assert [joint.critical for joint in found] == sorted(joint.critical for joint in found)


def test_a_joint_without_intervals_is_in_the_round_only() -> None:
    """No distance and no months: never due by itself, always in the whole round."""
    plain = JointSpec("j", "j", ("a",), TorqueRange(4, 6, 5, "x"))
    assert first_ride([plain]) == monthly([plain]) == ()
    assert whole_round([plain]) == (plain,)
