"""Markings of one figure and its unit: thickness that is left, diameter, speed; and a battery's volts, hours and energy."""

import re
from dataclasses import replace

from pinchbolt.engines.markings._letters import NUMBER, Printed, printed
from pinchbolt.engines.markings._parsed import MIN, Parsed, left_over, shown
from pinchbolt.engines.markings.markings_types import DoubtKind, MarkingContext, MarkingFigure
from pinchbolt.values.wording import worded

MM = 1e-3
M_S_PER_KM_H, M_S_PER_MPH = 1000 / 3600, 1609.344 / 3600
# Bounds where nothing is known of the place: no part is thinner or thicker. [m], [m/s]; common practice, no source.
THIN, ROUND, FAST = (0.3 * MM, 6.0 * MM), (5.0 * MM, 60.0 * MM), (5 * M_S_PER_KM_H, 60 * M_S_PER_KM_H)
_TH = re.compile(r"th(?:ick(?:ness)?)?\b|t\.?h\.", re.IGNORECASE)
_SPEEDS = ((r"k[mn]\s?/?\s?h", "km/h", M_S_PER_KM_H), (r"m\.?p\.?h", "mph", M_S_PER_MPH))


def thicknesses(text: str, context: MarkingContext) -> list[Parsed]:
    """Every way to read what must be left of a rotor, a pad or a rim's wall. [m]"""
    told = bool(MIN.search(text) or _TH.search(text))
    return _lengths(
        text,
        "thickness",
        THIN,
        context,
        doubts=set() if told else {DoubtKind.NO_UNIT},
        named="MIN " if told else "",
    )


def diameters(text: str, context: MarkingContext) -> list[Parsed]:
    """Every way to read a diameter. [m]"""
    return _lengths(text, "diameter", ROUND, context, doubts=set(), named="")


def speeds(text: str, context: MarkingContext) -> list[Parsed]:
    """Every way to read a speed. [m/s]"""
    found = []
    for pattern, name, factor in _SPEEDS:
        for match in re.finditer(rf"({NUMBER})\s*(?:{pattern})", text, re.IGNORECASE):
            number = printed(match[1])
            if number is not None:
                figure = MarkingFigure(
                    "speed", number.value * factor, "m/s", f"{shown(number.value, number.decimals)} {name}"
                )
                one = Parsed((figure,), figure.words, _letters(number), loose=left_over(text, [match.span()]))
                found.append(_bounded(one, FAST, context))
    return found


def _lengths(
    text: str,
    name: str,
    widest: tuple[float, float],
    context: MarkingContext,
    *,
    doubts: set[DoubtKind],
    named: str,
) -> list[Parsed]:
    found = []
    for match in re.finditer(rf"({NUMBER})\s*(mm|nm|rnm|mrn)?(?![\w/])", _opened(text), re.IGNORECASE):
        number = printed(match[1])
        if number is None or not re.search(r"\d", match[1]):
            continue
        loose = left_over(text, [match.span()])
        here = set(doubts) | _letters(number)
        if name == "thickness" and match[2]:
            here.discard(DoubtKind.NO_UNIT)
        for value, decimals, more in _ways(number):
            figure = MarkingFigure(name, value * MM, "m", f"{shown(value, decimals)} mm")
            one = Parsed((figure,), named + figure.words, frozenset(here | more), loose=loose)
            one = _bounded(one, widest, context)
            # A figure with its point put back is worth saying only where the place allows it.
            if not more or DoubtKind.RANGE not in one.doubts:
                found.append(one)
    return found


def _opened(text: str) -> str:
    """Signs that stand right before a figure as blanks, length kept."""
    return re.sub(r"[=:Øø]", " ", text)


def _ways(number: Printed) -> list[tuple[float, int, set[DoubtKind]]]:
    """As printed, and with the point that may be lost: 15 may be 1.5, 155 may be 1.55 or 15.5."""
    ways: list[tuple[float, int, set[DoubtKind]]] = [(number.value, number.decimals, set())]
    if not number.decimals and number.value >= 10:
        ways.append((number.value / 10, 1, {DoubtKind.POINT}))
        if number.value >= 100:
            ways.append((number.value / 100, 2, {DoubtKind.POINT}))
    return ways


def _letters(number: Printed) -> frozenset[DoubtKind]:
    return frozenset({DoubtKind.LETTERS} if number.letters else ())


def _bounded(one: Parsed, widest: tuple[float, float], context: MarkingContext) -> Parsed:
    low = context.least if context.least is not None else widest[0]
    high = context.greatest if context.greatest is not None else widest[1]
    if all(low * 0.999 <= figure.value <= high * 1.001 for figure in one.figures):
        return one
    return replace(one, doubts=one.doubts | {DoubtKind.RANGE})


_BATTERY = (
    ("voltage", r"v(?![a-z])", "V", "V", 1.0),
    ("charge", r"a\s?h", "Ah", "C", 3600.0),
    ("energy", r"w\s?h", "Wh", "J", 3600.0),
)
_SENSE = {"voltage": (12.0, 80.0), "charge": (2.0, 60.0), "energy": (80.0, 2500.0)}


def batteries(text: str, context: MarkingContext) -> list[Parsed]:
    """Volts, ampere-hours and watt-hours of one text; all three must be one energy. [V], [C], [J]"""
    del context
    read: dict[str, Printed] = {}
    figures, spans = [], []
    doubts: set[DoubtKind] = set()
    for name, pattern, unit, si, factor in _BATTERY:
        match = re.search(rf"({NUMBER})\s*(?:{pattern})", text, re.IGNORECASE)
        number = printed(match[1]) if match else None
        if match is None or number is None:
            continue
        read[name] = number
        spans.append(match.span())
        figures.append(
            MarkingFigure(name, number.value * factor, si, f"{shown(number.value, number.decimals)} {unit}")
        )
        doubts |= _letters(number)
        if not _SENSE[name][0] <= number.value <= _SENSE[name][1]:
            doubts.add(DoubtKind.RANGE)
    if len(read) < 2:
        return []
    checked = False
    why: tuple[str, ...] = ()
    if len(read) == 3:
        checked = _one_energy(read["voltage"], read["charge"], read["energy"])
        product = read["voltage"].value * read["charge"].value
        why = (
            worded(
                "{voltage:g} V x {charge:g} Ah is {energy:.0f} Wh",
                voltage=read["voltage"].value,
                charge=read["charge"].value,
                energy=product,
            ),
        )
        doubts |= set() if checked else {DoubtKind.UNITS}
    words = ", ".join(one.words for one in figures)
    return [Parsed(tuple(figures), words, frozenset(doubts), why, checked, left_over(text, spans))]


def _one_energy(volts: Printed, hours: Printed, energy: Printed) -> bool:
    """Whether volts times ampere-hours can be the energy, each within half a unit of its last figure."""
    least = (volts.value - volts.half) * (hours.value - hours.half)
    greatest = (volts.value + volts.half) * (hours.value + hours.half)
    return least - energy.half <= energy.value <= greatest + energy.half
