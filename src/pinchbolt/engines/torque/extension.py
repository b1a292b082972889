"""What an adapter between tool and bolt does to the torque."""

from math import cos, isfinite, radians

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded


def extended_setting(torque: float, arm: float, extension: float, angle_deg: float = 0.0) -> float:
    """Return the setting of a wrench with an adapter on it, for a wanted torque on the bolt.

    setting = torque * L / (L + E cos a), L from drive to grip mark, E the adapter's length, a its angle to the handle
    (0: in line and longer; 90: square; 180: turned back).

    Args:
        torque: Torque wanted on the bolt. [N·m]
        arm: Drive to grip mark, L. [mm]
        extension: Drive to bolt, E. [mm]
        angle_deg: Angle between adapter and handle. [degree]

    Returns:
        What to set the wrench to. [N·m]

    Raises:
        InputRefused: Values not finite or not above 0, or an adapter turned back as far as the grip.

    Valid for: A hand on the grip mark, pulling square to the wrench. A click wrench measures at its drive.

    Example:
        >>> round(extended_setting(5.5, arm=250.0, extension=25.0), 6)
        5.0

    Source: Lever arithmetic; handbook example 80 N·m, 40 cm, 5 cm: 71.1 N·m.
    """
    return torque / _gain(torque, arm, extension, angle_deg)


def delivered(setting: float, arm: float, extension: float, angle_deg: float = 0.0) -> float:
    """Return the torque on the bolt from a wrench with an adapter on it.

    torque = setting * (L + E cos a) / L.

    Args:
        setting: What the wrench is set to. [N·m]
        arm: Drive to grip mark, L. [mm]
        extension: Drive to bolt, E. [mm]
        angle_deg: Angle between adapter and handle. [degree]

    Returns:
        Torque on the bolt. [N·m]

    Raises:
        InputRefused: As for `extended_setting`.

    Valid for: As for `extended_setting`.

    Example:
        >>> round(delivered(100.0, arm=500.0, extension=150.0), 6)
        130.0

    Source: Lever arithmetic; handbook example 100 N·m, lever 500 to 650 mm: 130 N·m.
    """
    return setting * _gain(setting, arm, extension, angle_deg)


def _gain(torque: float, arm: float, extension: float, angle_deg: float) -> float:
    """Torque on the bolt per torque at the drive."""
    if not all(isfinite(value) for value in (torque, arm, extension, angle_deg)) or torque <= 0 or arm <= 0:
        raise InputRefused(
            worded(
                "torque is {torque:g} N·m and the arm {arm:g} mm: both are above 0. Measure from "
                "drive to grip mark.",
                torque=torque,
                arm=arm,
            )
        )
    if extension < 0:
        raise InputRefused(
            worded(
                "the adapter is {extension:g} mm: it is 0 or longer. Turned back is an angle of 180.",
                extension=extension,
            )
        )
    gain = (arm + extension * cos(radians(angle_deg))) / arm
    if gain <= 0:
        raise InputRefused(
            worded(
                "the adapter is {extension:g} mm turned back on an arm of {arm:g} mm: it must be "
                "shorter than the arm. Use a shorter adapter or turn it.",
                extension=extension,
                arm=arm,
            )
        )
    return gain
