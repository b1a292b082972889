"""What a hill asks of the legs: the balance of power at steady speed, both ways round."""

from math import atan, cos, sin

from pinchbolt.engines.gearing._gearing_sense import number
from pinchbolt.engines.gearing._gears import KM_H_PER_M_MIN
from pinchbolt.engines.gearing.gearing_types import Climb, Gear, Gears
from pinchbolt.errors import NoSafeAnswer
from pinchbolt.values import Interval, Reason
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

GRAVITY = 9.80665
AIR = 1.2
# Drag area [m2], rolling resistance [-] and drive efficiency [-]: least and greatest that an upright rider on a bike in
# order meets on tarmac. From memory, medium; they move the answer by a few per cent on a real hill.
DRAG_AREA = (0.30, 0.55)
ROLLING = (0.004, 0.010)
EFFICIENCY = (0.94, 0.98)
SOURCE = worded("balance of forces; drag, rolling and efficiency from memory")


def _power(
    speed_m_s: float, mass_kg: float, gradient: float, drag: float, rolling: float, efficiency: float
) -> float:
    angle = atan(gradient)
    force = mass_kg * GRAVITY * (sin(angle) + rolling * cos(angle)) + 0.5 * AIR * drag * speed_m_s**2
    return force * speed_m_s / efficiency


def climb(gear: Gear, gradient: float, mass_kg: float, cadence_rpm: float) -> Climb:
    """Return speed and power for one gear on a steady gradient at a cadence.

    ``P = (m g (sin a + c cos a) + rho A v^2 / 2) v / e`` with ``tan a = gradient``.

    Args:
        gear: The gear. [-]
        gradient: Rise by run; 8 % is 0.08. [-]
        mass_kg: Rider, bike and load. [kg]
        cadence_rpm: Turns of the crank a minute. [1/min]

    Returns:
        Speed, and power at the pedals from the easiest to the hardest bike and posture. Downhill the low end may be
        below zero: the hill drives. [km/h, W]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: Steady riding in still air on tarmac; says nothing about standing starts or loose ground.

    Example:
        >>> drive = gears([34], [34], 2.1)
        >>> climb(drive.lowest, 0.10, 85.0, 60.0).speed_km_h
        7.56

    Source: Balance of forces; air density 1.2 kg/m3, drag area 0.30 to 0.55 m2, rolling 0.004 to 0.010 and efficiency
        0.94 to 0.98 from memory.
    """
    number("gradient", gradient)
    number("mass_kg", mass_kg)
    speed_km_h = gear.development_m * number("cadence_rpm", cadence_rpm) * KM_H_PER_M_MIN
    ends = [
        _power(speed_km_h / 3.6, mass_kg, gradient, drag, rolling, efficiency)
        for drag, rolling in zip(DRAG_AREA, ROLLING, strict=True)
        for efficiency in EFFICIENCY
    ]
    words = worded(
        "{mass_kg:g} kg up {gradient} at {speed_km_h:.1f} km/h",
        mass_kg=mass_kg,
        gradient=percent(gradient, 1),
        speed_km_h=speed_km_h,
    )
    return Climb(gear, speed_km_h, Interval(min(ends), max(ends)), (Reason(words, "", SOURCE),))


def lowest_gear_for(gradient: float, mass_kg: float, power_w: float, cadence_rpm: float) -> Interval:
    """Return the development with which this power turns the cranks at this cadence on this gradient.

    The speed at which the power is spent is found by halving (the power grows with the speed on every climb), for the
    hardest and the easiest bike and posture; development is speed by cadence.

    Args:
        gradient: Rise by run; 8 % is 0.08. [-]
        mass_kg: Rider, bike and load. [kg]
        power_w: What the rider can hold. [W]
        cadence_rpm: Turns of the crank a minute that the rider wants. [1/min]

    Returns:
        Development: a lowest gear at the low end or below is low enough for every posture and tyre counted. [m]

    Raises:
        InputRefused: A figure out of any sense.
        NoSafeAnswer: No climb, no power or no cadence: any gear will do, or none.

    Valid for: Climbs; as `climb`.

    Example:
        >>> low = lowest_gear_for(0.10, 85.0, 180.0, 60.0)
        >>> round(low.low, 2), round(low.high, 2)
        (1.83, 2.03)

    Source: As `climb`.
    """
    if (
        number("gradient", gradient) <= 0
        or number("power_w", power_w) <= 0
        or number("cadence_rpm", cadence_rpm) <= 0
    ):
        raise NoSafeAnswer(
            worded(
                "No gear can be named for a gradient of {gradient}, {power_w:g} W and "
                "{cadence_rpm:g} rpm: all three must be above 0. Ask the owner for the steepest hill "
                "and their power.",
                gradient=percent(gradient, 1),
                power_w=power_w,
                cadence_rpm=cadence_rpm,
            )
        )
    hard = _speed(power_w, number("mass_kg", mass_kg), gradient, DRAG_AREA[1], ROLLING[1], EFFICIENCY[0])
    easy = _speed(power_w, mass_kg, gradient, DRAG_AREA[0], ROLLING[0], EFFICIENCY[1])
    return Interval(hard * 60 / cadence_rpm, easy * 60 / cadence_rpm)


def _speed(
    power_w: float, mass_kg: float, gradient: float, drag: float, rolling: float, efficiency: float
) -> float:
    low, high = 0.0, 40.0
    for _ in range(80):
        middle = (low + high) / 2
        if _power(middle, mass_kg, gradient, drag, rolling, efficiency) < power_w:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def low_enough(
    drive: Gears, gradient: float, mass_kg: float, power_w: float, cadence_rpm: float
) -> tuple[bool | None, str]:
    """Return whether the lowest gear is low enough for a hill, and the sentence that says it.

    Args:
        drive: The gears. [-]
        gradient: Rise by run; 8 % is 0.08. [-]
        mass_kg: Rider, bike and load. [kg]
        power_w: What the rider can hold. [W]
        cadence_rpm: The least cadence that the rider likes on a hill. [1/min]

    Returns:
        Yes, no, or None where it depends on posture and tyres; and why. [-]

    Raises:
        InputRefused: A figure out of any sense.
        NoSafeAnswer: As `lowest_gear_for`.

    Valid for: As `climb`.

    Example:
        >>> low_enough(gears([34], [34], 2.1), 0.05, 80.0, 200.0, 60.0)[0]
        True

    Source: As `climb`.
    """
    wanted = lowest_gear_for(gradient, mass_kg, power_w, cadence_rpm)
    has = drive.lowest.development_m
    words = worded(
        "lowest gear {ring}/{sprocket}, {has:.2f} m; {power_w:g} W at {cadence_rpm:g} rpm up "
        "{gradient} asks for {low:.2f} to {high:.2f} m",
        ring=drive.lowest.ring,
        sprocket=drive.lowest.sprocket,
        has=has,
        power_w=power_w,
        cadence_rpm=cadence_rpm,
        gradient=percent(gradient, 1),
        low=wanted.low,
        high=wanted.high,
    )
    if has <= wanted.low:
        return True, worded("{words}: low enough", words=words)
    if has > wanted.high:
        return False, worded("{words}: too high", words=words)
    return None, worded("{words}: cannot tell, it depends on posture and tyres", words=words)
