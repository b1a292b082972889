"""Tension by a deflection gauge with its own table, and what a known weight says about it."""

from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.wheels._wheel_sense import Floats, figure
from pinchbolt.errors import InputRefused, Unknown
from pinchbolt.values import Interval
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

# A gauge that is further out than this on a known weight is not read from. Common practice, no source.
MOST_OUT = 0.10
GRAVITY = 9.80665


@dataclass(frozen=True, slots=True)
class GaugeTable:
    """A gauge's own table for one kind of spoke: readings and the tensions in N that go with them."""

    spoke: str
    readings: tuple[float, ...]
    tensions: tuple[float, ...]
    reading_sd: float = 0.5


@dataclass(frozen=True, slots=True)
class GaugeCheck:
    """What a known weight says: tension hung and read in N, relative error, and whether the gauge may be read from."""

    hung: float
    read: Interval
    out: float
    usable: bool
    words: str


def tension_by_gauge(table: GaugeTable, reading: float) -> Interval:
    """Return the tension that a gauge's reading stands for, with two sd of the reading either side.

    Between the table's points a monotone cubic (slopes limited so that it nowhere turns back); outside of them nothing.

    Args:
        table: The gauge's table for this kind of spoke. [N]
        reading: What it shows. [-]

    Returns:
        Tension, two sd of the reading either side, kept inside the table. [N]

    Raises:
        InputRefused: A table that turns back, or with fewer than two points.
        Unknown: A reading outside the table.

    Valid for: The kind of spoke that the table was made for, tyre flat.

    Example:
        >>> table = GaugeTable("2.0 round", (15.0, 20.0, 25.0), (500.0, 800.0, 1250.0), reading_sd=0.0)
        >>> tension_by_gauge(table, 20.0)
        Interval(low=800.0, high=800.0)

    Source: Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238, as scipy's PCHIP does it.
    """
    marks, pulls = _sound(table)
    shown = figure("reading", reading)
    least, most = float(marks.min()), float(marks.max())
    if not least <= shown <= most:
        raise Unknown(
            worded(
                "The gauge shows {shown:g}, and its table for {spoke} spokes goes from {least:g} to "
                "{most:g}: outside of it the tension cannot be told. Look at the spoke's kind, or "
                "use the table that covers it.",
                shown=shown,
                spoke=table.spoke,
                least=least,
                most=most,
            )
        )
    doubt = 2 * table.reading_sd
    ends = np.clip([shown - doubt, shown + doubt], least, most)
    low, high = sorted(float(one) for one in _between(marks, pulls, ends))
    return Interval(low, high)


def check_gauge(table: GaugeTable, reading: float, mass: float) -> GaugeCheck:
    """Return what a spoke with a known mass hung on it says about a gauge.

    Args:
        table: The gauge's table for the spoke that hangs. [N]
        reading: What it shows. [-]
        mass: What hangs on the spoke. [kg]

    Returns:
        Tension hung and read, error, and whether it may be read from. [N]

    Raises:
        InputRefused: A mass that hangs less than 20 N or more than 4000 N.
        Unknown: A reading outside the table.

    Valid for: The point that was checked and near it; check a second weight where the wheel's tension is far from it.

    Example:
        >>> table = GaugeTable("2.0 round", (15.0, 20.0, 25.0), (500.0, 800.0, 1250.0))
        >>> check_gauge(table, 20.0, 80.0).words
        'hung 785 N, reads 800 N: 2 % high, inside 10 %'

    Source: Standard gravity 9.80665 m/s2; the 10 % is common practice, no source.
    """
    hung = mass * GRAVITY
    if not 20 <= hung <= 4000:
        sentence = worded(
            "mass is {mass:g} kg: 2.1 to 400 kg. Weigh it, and hang it from a loose spoke of the same kind.",
            mass=mass,
        )
        raise InputRefused(sentence, {"mass": sentence})
    marks, pulls = _sound(table)
    read = tension_by_gauge(table, reading)
    middle = float(_between(marks, pulls, np.array([reading]))[0])
    out = middle / hung - 1
    usable = abs(out) <= MOST_OUT
    way = "high" if out >= 0 else "low"
    verdict = (
        worded("inside {most_out}", most_out=percent(MOST_OUT))
        if usable
        else worded("too far out: have it set, and do not read from it")
    )
    return GaugeCheck(
        hung,
        read,
        out,
        usable,
        worded(
            "hung {hung:.0f} N, reads {middle:.0f} N: {out:.0f} % {way}, {verdict}",
            hung=hung,
            middle=middle,
            out=abs(out) * 100,
            way=way,
            verdict=verdict,
        ),
    )


def _sound(table: GaugeTable) -> tuple[Floats, Floats]:
    marks, pulls = np.array(table.readings, dtype=float), np.array(table.tensions, dtype=float)
    if len(marks) < 2 or len(marks) != len(pulls):
        raise InputRefused(
            worded(
                "The gauge's table for {spoke} spokes has {marks} readings and {pulls} tensions: two "
                "pairs at least.",
                spoke=table.spoke,
                marks=len(marks),
                pulls=len(pulls),
            )
        )
    order = np.argsort(marks, kind="stable")
    marks, pulls = marks[order], pulls[order]
    steps = np.diff(pulls)
    if not (np.isfinite(marks).all() and np.isfinite(pulls).all() and (np.diff(marks) > 0).all()):
        raise InputRefused(
            worded(
                "The gauge's table for {spoke} spokes has a reading twice, or one that is no number.",
                spoke=table.spoke,
            )
        )
    if not ((steps > 0).all() or (steps < 0).all()):
        raise InputRefused(
            worded(
                "The gauge's table for {spoke} spokes turns back: tension goes one way as the "
                "reading grows. Look for a figure that was typed wrong.",
                spoke=table.spoke,
            )
        )
    return marks, pulls


def _between(marks: Floats, pulls: Floats, at: Floats) -> Floats:
    """Monotone cubic through the points."""
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415 - needed here only

    return np.asarray(PchipInterpolator(marks, pulls)(at), dtype=float)
