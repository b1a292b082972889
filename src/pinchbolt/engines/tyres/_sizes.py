"""Tyre sizes: the marking, the names in inches that deceive, mounted width and rolling circumference."""

import re
from collections.abc import Sequence
from math import pi

from pinchbolt.engines.tyres._tyre_sense import cell, number
from pinchbolt.engines.tyres.tyres_types import Circumference, MountedWidth, Seats, TyreSize
from pinchbolt.errors import InputRefused, NotFound, Unknown
from pinchbolt.values import Interval, Reason
from pinchbolt.values.wording import worded

_MARKING = re.compile(r"^\s*(\d{2,3}(?:\.\d)?)\s*[-x\u2010-\u2015\u2212]\s*(\d{3})\s*$", re.IGNORECASE)
# mm of mounted width by mm of rim width over the measuring rim. Common practice, no source.
WIDTH_BY_RIM = 0.4
# How far a tyre of the same printed width may stand apart from another. From memory.
WIDTH_SPREAD = 1.0
# How high a tyre stands over its seat. Two public lists for bike computers give 0.79 of the width (47-406, 47-355) up to the
# width and 4.1 mm more, 5.6 under 28 mm; under a rider it sinks: 23-622 at 6 bar rolled 2080 mm for 2105 (0.988).
LEAST_HEIGHT, MORE_HEIGHT, MORE_UNDER_28, SINKS = 0.79, 4.1, 1.5, 0.985


def tyre_size(marking: str, bead_seats: Sequence[object] = ()) -> TyreSize:
    """Return width and bead seat of a tyre marked by the standard: 28-622 is 28 mm on a seat of 622 mm.

    Args:
        marking: As printed on the side, width first. [mm-mm]
        bead_seats: Rows of `bead_seat`; where given, only their seats are seats. [mm]

    Returns:
        The size. [mm]

    Raises:
        InputRefused: No such marking, or figures that no tyre has.

    Valid for: Markings of ISO 5775-1. Names in inches do not say the seat: see `seats_called`.

    Example:
        >>> tyre_size("32-597")
        TyreSize(width=32.0, bead_seat=597.0)

    Source: ISO 5775-1: section width, then bead seat diameter.
    """
    found = _MARKING.match(marking) if isinstance(marking, str) else None
    if not found:
        shown = marking if isinstance(marking, str) else type(marking).__name__
        sentence = worded(
            'tyre marking "{shown}": two figures in mm, width and bead seat, as in 28-622. Look '
            "for it on the tyre's side, near the bead.",
            shown=shown[:30],
        )
        raise InputRefused(sentence, {"marking": sentence})
    size = TyreSize(number("width", float(found[1])), number("bead_seat", float(found[2])))
    seats = [float(str(cell(row, "mm"))) for row in bead_seats]
    if seats and size.bead_seat not in seats:
        near = min(seats, key=lambda seat: abs(seat - size.bead_seat))
        lost = (
            f"{found[1]} x {found[2][0]}.{found[2][1:]}" if size.bead_seat < 300 else f"{found[1]}-{near:g}"
        )
        sentence = worded(
            'tyre marking "{marking}": no rim has a bead seat of {bead_seat:g} mm, the nearest '
            "is {near:g}. Was {lost} meant? Read the second number again.",
            marking=marking.strip()[:30],
            bead_seat=size.bead_seat,
            near=near,
            lost=lost,
        )
        raise InputRefused(sentence, {"marking": sentence})
    return size


def seats_called(name: str, bead_seats: Sequence[object]) -> Seats:
    """Return every bead seat that is sold under a name in inches or letters.

    Args:
        name: As the owner says it: 26 in, 700C, 28. [in]
        bead_seats: Rows of `bead_seat`: `mm` and `names`. [mm]

    Returns:
        The seats and a sentence; more than one means that the name does not decide. [mm]

    Raises:
        NotFound: No row has that name.
        InputRefused: The name is no text.

    Valid for: Names in the table. Only the seat in mm decides.

    Example:
        >>> rows = [{"mm": 559, "names": ["26 in mtb"]}, {"mm": 590, "names": ["26 x 1-3/8 in, 650A"]}]
        >>> seats_called("26 in", rows).bead_seats
        (559.0, 590.0)

    Source: ISO 5775-1 for the seats; the names are those of the trade.
    """
    if not isinstance(name, str) or not name.strip():
        raise InputRefused(
            worded("the tyre's name is empty: write it as the owner says it, such as 26 in or 700C.")
        )
    wanted = _first_word(name)
    found = []
    for row in bead_seats:
        names = [part for told in _words(cell(row, "names")) for part in told.split(",")]
        if any(_called(_first_word(part), wanted) for part in names):
            found.append(float(str(cell(row, "mm"))))
    if not found:
        raise NotFound(
            worded(
                'tyre name "{name}" is not in the table. Read the marking in mm on the tyre\'s side, '
                "such as 28-622.",
                name=name.strip()[:30],
            )
        )
    seats = ", ".join(f"{seat:g}" for seat in sorted(found))
    words = (
        worded("{name} is {seats} mm", name=name.strip(), seats=seats)
        if len(found) == 1
        else worded(
            "{name} may be {seats} mm: read the second number of the marking on the tyre's side",
            name=name.strip(),
            seats=seats,
        )
    )
    return Seats(name.strip(), tuple(sorted(found)), words)


def _first_word(name: str) -> str:
    """What decides in a name: 26 x 1-3/8 in, 26 in and 26 are one; 650A and 650B are two."""
    found = re.match(r"\s*(\d+(?:\.\d+)?[a-d]?)", name.lower())
    return found[1] if found else name.strip().lower()


def _called(known: str, wanted: str) -> bool:
    """700 means 700C as well; 700C does not mean 700A."""
    return known == wanted or (wanted[-1].isdigit() and known.rstrip("abcd") == wanted)


def _words(value: object) -> tuple[str, ...]:
    return tuple(str(item) for item in value) if isinstance(value, list | tuple) else ()


def mounted_width(width: float, rim_inner: float, measuring_rims: Sequence[object]) -> MountedWidth:
    """Return how wide a tyre stands on a rim: ``printed + 0.4 (rim - measuring rim)``.

    Args:
        width: Printed width. [mm]
        rim_inner: Inner width of the rim. [mm]
        measuring_rims: Rows of `measuring_rim`: `section` (least and greatest width) and `rim`. [mm]

    Returns:
        Width as an interval of 1 mm each way. [mm]

    Raises:
        InputRefused: A figure out of any sense.
        Unknown: The table has no measuring rim for this width.

    Valid for: A tyre that has stood at pressure for a day; new ones are narrower.

    Example:
        >>> rows = [{"section": [29, 34], "rim": 21}]
        >>> mounted_width(32, 25, rows).width
        Interval(low=32.6, high=34.6)

    Source: 0.4 and the millimetre are common practice and memory; measuring rims as of 2020, checked on a public table.
    """
    printed, rim = number("width", width), number("rim_inner", rim_inner)
    for row in measuring_rims:
        ends = cell(row, "section")
        if isinstance(ends, list | tuple) and ends[0] <= printed < ends[1] + 1:
            measured_on = float(str(cell(row, "rim")))
            middle = printed + WIDTH_BY_RIM * (rim - measured_on)
            words = worded(
                "{printed:g} + {width_by_rim} x ({rim:g} - {measured_on:g}) = {middle:.1f} mm, 1 mm each way",
                printed=printed,
                width_by_rim=WIDTH_BY_RIM,
                rim=rim,
                measured_on=measured_on,
                middle=middle,
            )
            return MountedWidth(
                Interval(middle - WIDTH_SPREAD, middle + WIDTH_SPREAD),
                measured_on,
                (Reason(words, f"measuring_rim {ends[0]}-{ends[1]}", worded("common practice, no source")),),
            )
    raise Unknown(
        worded(
            "The table has no measuring rim for a tyre of {printed:g} mm: measure it mounted, "
            "after a day at pressure.",
            printed=printed,
        )
    )


def circumference(size: TyreSize) -> Circumference:
    """Return the rolling circumference of a tyre: ``pi (seat + 2 width)``, and what it may be under a rider.

    The height over the seat is 0.79 of the printed width at the least and the width and 4.1 mm at most (5.6 under 28 mm), and
    what is loaded rolls 0.985 of it at the least.

    Args:
        size: The tyre. [mm]

    Returns:
        Nominal and rolling circumference. [m]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: A pumped tyre under a rider; for a bike computer roll it out and measure.

    Example:
        >>> round(circumference(TyreSize(28.0, 622.0)).nominal, 4)
        2.13

    Source: ISO 5775-1 takes the section's height as its width (2.5 mm more under 28 mm). Two public lists for bike computers,
        112 sizes on seats of 203 to 635 mm, stand inside the interval; against the nominal figure they stand from 4.7 % below
        to 1.8 % above (tests/published/test_circumference_lists.py).
    """
    seat, width = number("bead_seat", size.bead_seat), number("width", size.width)
    nominal = pi * (seat + 2 * width) / 1000
    most = width + MORE_HEIGHT + (MORE_UNDER_28 if width < 28 else 0.0)
    rolling = Interval(pi * (seat + 2 * LEAST_HEIGHT * width) * SINKS / 1000, pi * (seat + 2 * most) / 1000)
    words = worded(
        "pi x ({seat:g} + 2 x {width:g}) mm; a tyre stands {least_height:.0f} to {most:.0f} mm high",
        seat=seat,
        width=width,
        least_height=LEAST_HEIGHT * width,
        most=most,
    )
    return Circumference(
        nominal, rolling, (Reason(words, "", worded("ISO 5775-1; lists for bike computers")),)
    )
