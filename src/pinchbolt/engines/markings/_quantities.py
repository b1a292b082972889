"""Torque and pressure: a number or a range with its unit, MAX and MIN, and a second unit that must agree."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pinchbolt.engines.markings._letters import APART, NUMBER, Printed, printed
from pinchbolt.engines.markings._parsed import MAX, MIN, Parsed, left_over, shown
from pinchbolt.engines.markings.markings_types import DoubtKind, MarkingContext, MarkingFigure
from pinchbolt.values.units import n_m_per_kgf_cm, n_m_per_lbf_ft, n_m_per_lbf_in, pa_per_bar, pa_per_psi
from pinchbolt.values.wording import worded

_DOT, _L = r"[\s\-.·*:'/xe]{0,3}", r"[il1|u(/]"
# How a unit is printed, with what readers make of it; its name here; what one of it is in SI. NIST SP 811 (2008), B.8.
_TORQUE: tuple[tuple[str, str, float], ...] = (
    (rf"[il1|]n{_DOT}{_L}{{1,2}}bf?s?|{_L}bf?s?{_DOT}[il1|]n", "in·lb", n_m_per_lbf_in),
    (rf"ft{_DOT}{_L}{{1,2}}bf?s?|{_L}bf?s?{_DOT}ft", "lbf·ft", n_m_per_lbf_ft),
    (rf"kgf?{_DOT}cm", "kgf·cm", n_m_per_kgf_cm),
    (rf"[nh]{_DOT}(?:m|rn)(?![a-z])", "N·m", 1.0),
)
_PRESSURE: tuple[tuple[str, str, float], ...] = (
    (r"b[a4]r", "bar", pa_per_bar),
    (r"p\.?[s5]\.?[il1|]", "psi", pa_per_psi),
    (r"kp[a4]", "kPa", 1000.0),
)
# The bounds of any part of a bicycle, where nothing is known of the place. [N·m], [Pa]; common practice, no source.
WIDEST: Mapping[str, tuple[float, float]] = {"N·m": (0.3, 120.0), "Pa": (0.5e5, 20e5)}
# How far two units may stand apart where the finer one was rounded to the coarser. Own choice.
APART_AT_MOST = 0.04


@dataclass(frozen=True, slots=True)
class _Amount:
    """A number or a range as printed, its unit, and where it stands in the text."""

    low: Printed | None
    high: Printed
    unit: str
    factor: float
    span: tuple[int, int]

    @property
    def ends(self) -> tuple[Printed, ...]:
        return (self.high,) if self.low is None else (self.low, self.high)


def torques(text: str, context: MarkingContext) -> list[Parsed]:
    """Every way to read a torque in one text. [N·m]"""
    return _readings(text, _TORQUE, "N·m", context)


def pressures(text: str, context: MarkingContext) -> list[Parsed]:
    """Every way to read a pressure in one text. [Pa]"""
    return _readings(text, _PRESSURE, "Pa", context)


def agree(one: Printed, factor: float, other: Printed, other_factor: float) -> bool:
    """Whether two printed numbers are one quantity: the finer is the coarser converted, or the coarser the finer rounded.

    Args: both numbers, and what one of their units is in SI.
    """
    coarse, fine = (one, factor), (other, other_factor)
    if one.half / max(one.value, 1e-9) < other.half / max(other.value, 1e-9):
        coarse, fine = fine, coarse
    converted = coarse[0].value * coarse[1] / fine[1]
    if abs(converted - fine[0].value) <= fine[0].half * 1.02:
        return True
    rounded = fine[0].value * fine[1] / coarse[1]
    return (
        abs(rounded - coarse[0].value) <= coarse[0].half * 1.02
        and abs(converted / fine[0].value - 1) <= APART_AT_MOST
    )


def _readings(
    text: str, units: Sequence[tuple[str, str, float]], si: str, context: MarkingContext
) -> list[Parsed]:
    amounts = _amounts(text, units)
    if not amounts:
        return _without_unit(text, units[-1] if si == "N·m" else units[0], si, context)
    first = next((one for one in amounts if one.unit in ("N·m", "bar")), amounts[0])
    others = [one for one in amounts if one is not first]
    doubts: set[DoubtKind] = set()
    why: list[str] = []
    checked = False
    for other in others:
        if len(other.ends) == len(first.ends) and all(
            agree(a, first.factor, b, other.factor) for a, b in zip(first.ends, other.ends, strict=True)
        ):
            checked = True
            why.append(worded("{first} and {other} are the same", first=_said(first), other=_said(other)))
        else:
            doubts.add(DoubtKind.UNITS)
            why.append(worded("{said} is {in_}", said=_said(other), in_=_in(other, first)))
    if any(end.letters for end in first.ends):
        doubts.add(DoubtKind.LETTERS)
    loose = left_over(text, [one.span for one in amounts])
    found = [_parsed(text, first, si, doubts, why, checked=checked, loose=loose)]
    if DoubtKind.UNITS in doubts:
        found += [_parsed(text, other, si, doubts, why, checked=False, loose=loose) for other in others]
    return [
        each for one in found for each in _with_its_point(text, _ranged(one, si, context), first, si, context)
    ]


def _amounts(text: str, units: Sequence[tuple[str, str, float]]) -> list[_Amount]:
    found: list[_Amount] = []
    for pattern, name, factor in units:
        for match in re.finditer(rf"({NUMBER})(?:{APART}({NUMBER}))?\s*(?:{pattern})", text, re.IGNORECASE):
            start, end = match.span()
            if any(start < one.span[1] and one.span[0] < end for one in found):
                continue
            low, high = printed(match[1]), printed(match[2]) if match[2] else None
            if low is None or (match[2] and high is None):
                continue
            amount = (
                _Amount(None, low, name, factor, (start, end))
                if high is None
                else _Amount(low, high, name, factor, (start, end))
            )
            if amount.low is None or amount.low.value < amount.high.value:
                found.append(amount)
    return sorted(found, key=lambda one: one.span)


def _without_unit(text: str, unit: tuple[str, str, float], si: str, context: MarkingContext) -> list[Parsed]:
    """A number or a range alone: worth choosing from, where the place bounds it, never sure."""
    match = re.search(rf"({NUMBER})(?:{APART}({NUMBER}))?", text)
    if match is None or context.greatest is None or not re.search(r"\d", match[0]):
        return []
    low, high = printed(match[1]), printed(match[2]) if match[2] else None
    if low is None or (high is not None and low.value >= high.value):
        return []
    amount = _Amount(low if high else None, high or low, unit[1], unit[2], match.span())
    one = _parsed(
        text, amount, si, {DoubtKind.NO_UNIT}, [], checked=False, loose=left_over(text, [amount.span])
    )
    return [] if DoubtKind.RANGE in _ranged(one, si, context).doubts else [one]


def _parsed(
    text: str,
    amount: _Amount,
    si: str,
    doubts: set[DoubtKind],
    why: Sequence[str],
    *,
    checked: bool,
    loose: bool,
) -> Parsed:
    at_most, at_least = bool(MAX.search(text)), bool(MIN.search(text))
    names = (
        ("least", "greatest")
        if amount.low is not None
        else ("least",)
        if at_least and not at_most
        else ("greatest",)
    )
    figures = tuple(
        MarkingFigure(name, end.value * amount.factor, si, f"{shown(end.value, end.decimals)} {amount.unit}")
        for name, end in zip(names, amount.ends, strict=True)
    )
    label = "" if amount.low is not None else "MAX " if at_most else "MIN " if at_least else ""
    return Parsed(figures, label + _said(amount), frozenset(doubts), tuple(why), checked, loose)


def _said(amount: _Amount) -> str:
    ends = worded(" to ").join(shown(end.value, end.decimals) for end in amount.ends)
    return f"{ends} {amount.unit}"


def _in(amount: _Amount, other: _Amount) -> str:
    return (
        worded(" to ").join(f"{end.value * amount.factor / other.factor:.3g}" for end in amount.ends)
        + f" {other.unit}"
    )


def bounds(si: str, context: MarkingContext) -> tuple[float, float]:
    """Least and greatest that the place allows, or any part at all. [as *si*]"""
    low, high = WIDEST[si]
    return (
        context.least if context.least is not None else low,
        context.greatest if context.greatest is not None else high,
    )


def _ranged(one: Parsed, si: str, context: MarkingContext) -> Parsed:
    low, high = bounds(si, context)
    if all(low * 0.999 <= figure.value <= high * 1.001 for figure in one.figures):
        return one
    return replace(one, doubts=one.doubts | {DoubtKind.RANGE})


def _with_its_point(
    text: str, one: Parsed, amount: _Amount, si: str, context: MarkingContext
) -> list[Parsed]:
    """A reading without a point, and the same with the one it may have lost: where both can be, neither is sure."""
    low, high = bounds(si, context)
    whole = all(end.value >= 10 and not end.decimals for end in amount.ends)
    if one.checked or not whole or DoubtKind.UNITS in one.doubts:
        return [one]
    if not all(low <= end.value * amount.factor / 10 <= high for end in amount.ends):
        return [one]
    ends = [Printed(end.value / 10, 1, end.letters) for end in amount.ends]
    moved = _Amount(ends[0] if amount.low else None, ends[-1], amount.unit, amount.factor, amount.span)
    doubts = {*one.doubts, DoubtKind.POINT} - {DoubtKind.RANGE}
    other = _parsed(
        text, moved, si, doubts, [worded("with a point that may be lost")], checked=False, loose=one.loose
    )
    return [replace(one, doubts=one.doubts | {DoubtKind.POINT}), other]
