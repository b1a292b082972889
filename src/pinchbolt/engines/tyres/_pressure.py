"""A starting pressure that the tyre, the rim and the hookless ceiling allow."""

from pinchbolt.engines.tyres._tyre_sense import number
from pinchbolt.engines.tyres.tyres_types import PressureGuide
from pinchbolt.errors import InputRefused, NoSafeAnswer
from pinchbolt.values import Interval, Reason
from pinchbolt.values.wording import worded

BAR_PER_PSI = 0.0689475729
LB_PER_KG = 2.2046226218
# Pressure at which a wheel drops by 15 % of its tyre's height: psi = 153.6 lb / mm^1.5785 - 7.1685. Fit to a published
# chart of wheel drop, from memory; the tenth each way is what riders set off it.
DROP_FACTOR, DROP_POWER, DROP_OFFSET = 153.6, 1.5785, 7.1685
GUIDE_SPREAD = 0.10
# The chart ends at 60 mm. Above, the pressure falls with the width so that a tyre of 100 mm comes to 0.4 to 0.9 bar, as fat
# bikes are ridden; a quarter each way. From memory.
CHART_WIDEST, WIDE_POWER, WIDE_SPREAD = 60.0, 1.4, 0.25
CHART_LOADS = (25.0, 75.0)
# Least pressure of tyres wider than the standard's classes foresee, by width. From memory.
WIDE_FLOORS = ((90.0, 0.3), (65.0, 0.7), (56.0, 1.0))
HOOKLESS_BAR = 5.0


def by_wheel_drop(load: float, width: float) -> float:
    """Return the pressure at which a tyre flattens by about a seventh (15 %) under a load.

    ``p = 153.6 W / b^1.5785 - 7.1685`` with p in psi, W in lb and b the width in mm, turned into bar; above 60 mm what it gives
    there times ``(60 / b)^1.4``.

    Args:
        load: On this wheel. [kg]
        width: Width as mounted. [mm]

    Returns:
        Pressure; may be below any floor for light loads. [bar]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: Tyres of 20 to 60 mm and 25 to 75 kg on the wheel; a start, not a rule.

    Example:
        >>> round(by_wheel_drop(45, 28), 1)
        5.0

    Source: Fit to a published chart of 15 % drop, from memory.
    """
    wide = number("width", width)
    on_chart = min(wide, CHART_WIDEST)
    psi: float = DROP_FACTOR * number("load", load) * LB_PER_KG / on_chart**DROP_POWER - DROP_OFFSET
    share: float = (on_chart / wide) ** WIDE_POWER
    return psi * BAR_PER_PSI * share


def floor_by_width(width: float, off_road: bool) -> float:
    """Return the least pressure that the standard gives for a tyre.

    Args:
        width: Printed width. [mm]
        off_road: Ridden off the road. [-]

    Returns:
        Least pressure. [bar]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: Where the tyre's side gives no least pressure; its marking wins.

    Example:
        >>> floor_by_width(25, off_road=False)
        3.0

    Source: ISO 5775-1: 300 kPa up to 25 mm, 200 kPa for others, 150 kPa off the road; for balloon and fat tyres from 56 mm on
        1.0, 0.7 and 0.3 bar, from memory: they are sold to be ridden below the standard's figure.
    """
    if number("width", width) <= 25:
        return 3.0
    for least, floor in WIDE_FLOORS:
        if width >= least:
            return floor
    return 1.5 if off_road else 2.0


def pressure_guide(
    load: float,
    width: float,
    *,
    hooked: bool,
    tyre_max: float | None = None,
    rim_max: float | None = None,
    tyre_min: float | None = None,
    off_road: bool = False,
    mounted: float | None = None,
    hookless_max: float = HOOKLESS_BAR,
) -> PressureGuide:
    """Return a pressure to start from, held between floor and ceiling.

    The guide is the pressure at which the tyre flattens by about a seventh, a tenth each way.
    ``ceiling = min(tyre, rim, 5.0 if hookless)``; nothing above it is
    ever given. The floor is the tyre's own marking, else the standard's.

    Args:
        load: On this wheel, rider and bike and load. [kg]
        width: Printed width. [mm]
        hooked: Whether the rim has hooks. [-]
        tyre_max: Greatest pressure marked on the tyre. [bar]
        rim_max: Greatest pressure marked on the rim. [bar]
        tyre_min: Least pressure marked on the tyre. [bar]
        off_road: Ridden off the road. [-]
        mounted: Width as mounted, if it was measured. [mm]
        hookless_max: Ceiling on a rim without hooks. [bar]

    Returns:
        Start, floor and ceiling, and what the guide ran into. [bar]

    Raises:
        InputRefused: A figure out of any sense.
        NoSafeAnswer: No marking at all and a hooked rim (the ceiling is not known), or a floor above the ceiling.

    Valid for: Wheels of ordinary size on firm ground. A start for the owner to ride and change; markings win.

    Example:
        >>> guide = pressure_guide(45, 28, hooked=False, tyre_max=6.5, rim_max=5.0)
        >>> (guide.ceiling, guide.start.high <= 5.0)
        (5.0, True)

    Source: ISO 5775-1 for the floor; ISO 5775-2 and the tyre and rim organisation for 5.0 bar without hooks; the
        guide is from memory.
    """
    if not isinstance(hooked, bool) or not isinstance(off_road, bool):
        raise InputRefused(
            worded("hooks and ground are given as yes or no. Feel for the hook under the rim's edge.")
        )
    limits = [(number("tyre_max", tyre_max), worded("the tyre's marking"))] if tyre_max is not None else []
    limits += [(number("rim_max", rim_max), worded("the rim's marking"))] if rim_max is not None else []
    limits += (
        [] if hooked else [(number("rim_max", hookless_max), worded("no hooks: the ceiling for such rims"))]
    )
    if not limits:
        raise NoSafeAnswer(
            worded(
                "No pressure can be given: the greatest pressure of tyre and rim is not known. Read "
                "the tyre's side and the rim's label."
            )
        )
    ceiling, by = min(limits)
    floor = number("tyre_min", tyre_min) if tyre_min is not None else floor_by_width(width, off_road)
    if floor > ceiling:
        raise NoSafeAnswer(
            worded(
                "No pressure is safe: the tyre wants {floor:.1f} bar at least and {by} allows "
                "{ceiling:.1f}. Choose another tyre, or ask the makers of both.",
                floor=floor,
                by=by,
                ceiling=ceiling,
            )
        )
    stands = width if mounted is None else mounted
    guide = by_wheel_drop(load, stands)
    spread = GUIDE_SPREAD if stands <= CHART_WIDEST else WIDE_SPREAD
    low, high = guide * (1 - spread), guide * (1 + spread)
    held = "ceiling" if high > ceiling else "floor" if low < floor else ""
    start = Interval(min(max(low, floor), ceiling), min(max(high, floor), ceiling))
    reasons: tuple[Reason, ...] = (
        Reason(
            worded(
                "the tyre flattens by about a seventh under {load:g} kg: {guide:.1f} bar, {spread} each way",
                load=load,
                guide=guide,
                spread=worded("a tenth") if spread == GUIDE_SPREAD else worded("a quarter"),
            ),
            "",
            worded("fit to a published chart, from memory"),
        ),
        Reason(
            worded("never above {ceiling:.1f} bar: {by}", ceiling=ceiling, by=by),
            "",
            worded("the lower of tyre and rim wins (ISO 4210-2, ISO 5775-2)"),
        ),
        Reason(
            worded("never below {floor:.1f} bar", floor=floor),
            "",
            worded("the tyre's marking") if tyre_min is not None else "ISO 5775-1",
        ),
    )
    too_narrow = _too_narrow(load, guide, low, ceiling)
    reasons = (*reasons, *_outside_chart(load, stands))
    return PressureGuide(start, floor, ceiling, by, held, guide, too_narrow, reasons)


def _outside_chart(load: float, stands: float) -> tuple[Reason, ...]:
    """What is said of a load or a width that the chart does not have."""
    if CHART_LOADS[0] <= load <= CHART_LOADS[1] and stands >= 20:
        return ()
    outside = worded(
        "{load:g} kg on {stands:g} mm stands outside the chart (25 to 75 kg, 20 mm and "
        "more): less sure than it looks",
        load=load,
        stands=stands,
    )
    return (Reason(outside, "", worded("validity of the guide")),)


def _too_narrow(load: float, wanted: float, low: float, ceiling: float) -> str:
    """What is said of a tyre that may not be pumped as hard as its load wants; empty where it may."""
    if low <= ceiling:
        return ""
    enough = next(
        (width for width in range(20, 141) if by_wheel_drop(load, width) * (1 - GUIDE_SPREAD) <= ceiling),
        None,
    )
    wider = (
        worded(" {enough} mm carries it at {ceiling:.1f} bar.", enough=enough, ceiling=ceiling)
        if enough
        else ""
    )
    return worded(
        "Wanted {wanted:.1f} bar for {load:g} kg on this wheel, ceiling {ceiling:.1f}: too "
        "narrow for this load. The tube pinches or the rim strikes the ground.{wider}",
        wanted=wanted,
        load=load,
        ceiling=ceiling,
        wider=wider,
    )


def wheel_loads(total: float, front_share: float = 0.45) -> tuple[float, float]:
    """Return the load on the front and the rear wheel.

    Args:
        total: Rider, bike and load. [kg]
        front_share: Share on the front wheel; a stretched racing posture 0.45, upright 0.35. [-]

    Returns:
        Front and rear. [kg]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: Level ground. Put each wheel on a scale to know.

    Example:
        >>> wheel_loads(100, 0.4)
        (40.0, 60.0)

    Source: From memory; ISO 4210-2 wants a quarter of the mass on the front wheel at least.
    """
    if isinstance(total, bool) or not isinstance(total, int | float) or not 10 <= total <= 500:
        raise InputRefused(
            worded("total mass is {total!r} kg: 10 to 500 kg. Ask the owner, with luggage.", total=total),
            {"total": worded("10 to 500 kg")},
        )
    share = number("share", front_share)
    return total * share, total * (1 - share)
