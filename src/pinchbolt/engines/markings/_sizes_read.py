"""Tyre sizes: the pair of the standard, the size as it is sold, and both together."""

import re

from pinchbolt.engines.markings._letters import NUMBER, printed
from pinchbolt.engines.markings._parsed import Parsed, left_over
from pinchbolt.engines.markings.markings_types import DoubtKind, MarkingContext, MarkingFigure
from pinchbolt.values.wording import worded

_D = r"[\dOoQDlI|SsBZz]"
_PAIR = re.compile(rf"(?<![\w.])({_D}{{2,3}}(?:\.\d)?)\s*[-~]\s*({_D}{{3}})(?![\w])")
_SOLD = re.compile(
    rf"(?<![\w.])(?:({_D}{{3}})\s*x\s*({_D}{{2}})\s?([A-Da-d])?"
    r"|(\d{2}(?:\.\d)?)\s*x\s*(\d(?:\.\d{1,3}|[- ]\d/\d)?))(?![\w/])",
    re.IGNORECASE,
)
# Widths of cycle tyres, and how far the size as sold may stand from the pair. [mm]; common practice, no source.
NARROWEST, WIDEST, APART = 16.0, 130.0, 3.5
MM = 1e-3
MM_PER_INCH = 25.4


def tyre_sizes(text: str, context: MarkingContext) -> list[Parsed]:
    """Every way to read a tyre's size in one text: width and bead seat. [m]"""
    sold = _sold(text)
    spans = [one.span() for one in (*_PAIR.finditer(text), *_SOLD.finditer(text))]
    loose = left_over(text, spans)
    pairs = [one for match in _PAIR.finditer(text) for one in _pair(match, context, sold, loose=loose)]
    if pairs:
        return pairs
    return [one for match in _SOLD.finditer(text) for one in _as_sold(match, context, loose=loose)]


def _sold(text: str) -> str:
    found = _SOLD.search(text)
    return _written(found) if found else ""


def _written(match: "re.Match[str]") -> str:
    """The size as the trade writes it, letters made figures."""
    if match[1]:
        size, width = printed(match[1]), printed(match[2])
        return f"{size.value:g}x{width.value:g}{(match[3] or '').upper()}" if size and width else ""
    return f"{match[4]}x{match[5]}"


def _pair(match: "re.Match[str]", context: MarkingContext, sold: str, *, loose: bool) -> list[Parsed]:
    width, seat = printed(match[1]), printed(match[2])
    if width is None or seat is None or not NARROWEST <= width.value <= WIDEST:
        return []
    doubts = {DoubtKind.LETTERS} if width.letters or seat.letters else set()
    seats = [round(one / MM, 1) for one in context.bead_seats]
    if seats and seat.value not in seats:
        near = min(seats, key=lambda one: abs(one - seat.value))
        doubts.add(DoubtKind.TABLE)
        why: tuple[str, ...] = (
            worded(
                "no rim has a bead seat of {value:g} mm, the nearest is {near:g}", value=seat.value, near=near
            ),
        )
        return [_size(width.value, seat.value, doubts, why, checked=False, loose=loose)]
    why = (worded("{value:g} mm is a bead seat of the tables", value=seat.value),) if seats else ()
    if not seats:
        doubts.add(DoubtKind.TABLE)
    checked = False
    if sold and context.size_seats is not None and (known := context.size_seats(sold)) is not None:
        same = (
            seat.value in [round(one / MM, 1) for one in known] and abs(_width(sold) - width.value) <= APART
        )
        checked = same
        doubts |= set() if same else {DoubtKind.TABLE}
        why += (
            worded("{sold} is sold on this seat", sold=sold)
            if same
            else worded("{sold} is another size", sold=sold),
        )
    return [_size(width.value, seat.value, doubts, why, checked=checked, loose=loose)]


def _as_sold(match: "re.Match[str]", context: MarkingContext, *, loose: bool) -> list[Parsed]:
    sold = _written(match)
    known = context.size_seats(sold) if context.size_seats is not None and sold else None
    if not known:
        return []
    doubts = {DoubtKind.LETTERS} if match[1] and not (match[1] + match[2]).isdigit() else set()
    if len(known) > 1:
        doubts.add(DoubtKind.TABLE)
    return [
        _size(
            _width(sold),
            round(seat / MM, 1),
            doubts,
            (worded("{sold} is sold on {seat:g} mm", sold=sold, seat=seat / MM),),
            checked=False,
            loose=loose,
        )
        for seat in known
    ]


def _size(
    width: float, seat: float, doubts: set[DoubtKind], why: tuple[str, ...], *, checked: bool, loose: bool
) -> Parsed:
    figures = (
        MarkingFigure("width", width * MM, "m", worded("{width:g} mm wide", width=width)),
        MarkingFigure("bead_seat", seat * MM, "m", worded("bead seat {seat:g} mm", seat=seat)),
    )
    return Parsed(figures, f"{width:g}-{seat:g}", frozenset(doubts), why, checked, loose)


def _width(sold: str) -> float:
    """Width of a size as sold. [mm]"""
    size, _, across = sold.partition("x")
    if len(size) == 3 and size.isdigit():
        found = re.match(NUMBER, across.rstrip("ABCD"))
        return float(found[0]) if found else 0.0
    whole, _, part = across.replace(" ", "-").partition("-")
    top, _, bottom = part.partition("/")
    return (float(whole) + (float(top) / float(bottom) if bottom else 0.0)) * MM_PER_INCH
