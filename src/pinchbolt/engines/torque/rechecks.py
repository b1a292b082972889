"""Which joints are looked at again, and when: after the first ride, monthly, or all of them."""

from collections.abc import Iterable, Sequence

from pinchbolt.engines.torque.torque_types import JointSpec

# "Soon after fitting" in the joints table: nearly all rows say 100 km, a few 50. Common practice, no source.
FIRST_RIDE_KM = 100.0
MONTHLY = 1.0
# What decides the order of a list: A can throw the rider, B stops the bike, C is a nuisance.
_RANK = {"A": 0, "B": 1, "C": 2}


def first_ride(joints: Sequence[JointSpec], first_km: float = FIRST_RIDE_KM) -> tuple[JointSpec, ...]:
    """Return the joints to check within the first kilometres after fitting, those that can throw the rider first.

    Args:
        joints: Joints of one bike that were fitted or undone. [N·m]
        first_km: Distance after fitting. [km]

    Returns:
        Joints whose table asks for a check by that distance. [-]

    Valid for: Joints just fitted; paint, paste and faces settle under load.

    Source: Distances of the joints table, common practice, no source.
    """
    return _ranked(joint for joint in joints if joint.first_km is not None and joint.first_km <= first_km)


def monthly(joints: Sequence[JointSpec]) -> tuple[JointSpec, ...]:
    """Return the joints that are checked every month, those that can throw the rider first.

    Args:
        joints: Joints of one bike. [N·m]

    Returns:
        Joints whose table gives a month or less. [-]

    Valid for: Bikes in use.

    Source: Intervals of the joints table, common practice, no source.
    """
    return due_within(joints, MONTHLY)


def due_within(joints: Sequence[JointSpec], months: float) -> tuple[JointSpec, ...]:
    """Return the joints whose check falls due within *months* of the last one.

    Args:
        joints: Joints of one bike. [N·m]
        months: Time since the last check. [month]

    Returns:
        Joints due, those that can throw the rider first; then the shorter interval. [-]

    Valid for: Bikes in use; a fall or a crash asks for all joints.

    Source: Intervals of the joints table, common practice, no source.
    """
    return _ranked(
        joint for joint in joints if joint.recheck_months is not None and joint.recheck_months <= months
    )


def whole_round(joints: Sequence[JointSpec]) -> tuple[JointSpec, ...]:
    """Return every joint of a bike for a whole round with the torque wrench, those that can throw the rider first.

    Args:
        joints: Joints of one bike. [N·m]

    Returns:
        All of them; then the shorter interval. [-]

    Valid for: Any bike; which joints it has follows from its build sheet.

    Source: Classes of the joints table, common practice, no source.
    """
    return _ranked(joints)


def _ranked(joints: Iterable[JointSpec]) -> tuple[JointSpec, ...]:
    """Those that can throw the rider first, then the shorter interval, then as given."""
    return tuple(
        sorted(
            joints,
            key=lambda joint: (_RANK.get(joint.critical, len(_RANK)), joint.recheck_months or float("inf")),
        )
    )
