"""A reading as it is said at the bench, with or without its unit, in the unit of its row; asks where it fits another."""

import re
from dataclasses import dataclass
from math import isfinite

from pinchbolt.errors import InputRefused, Meant
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values.units import (
    days_per_month,
    days_per_year,
    km_per_mile,
    m_per_inch,
    mm_per_24_pitches,
    n_per_kgf,
    n_per_lbf,
)
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import slip_of_the_point
from pinchbolt.workshop.common.usual import usual_range

_MM_PER_INCH = 1000 * m_per_inch


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit that a row can be said in: value in the row's unit = figure x factor + offset.

    `guessed` where a bare figure that can't be in the row's own unit is asked about in this one.
    """

    words: str
    names: tuple[str, ...]
    factor: float = 1.0
    offset: float = 0.0
    guessed: bool = False

    def in_row(self, figure: float) -> float:
        """Return the figure in the row's unit, without the digits that no instrument shows."""
        return float(f"{figure * self.factor + self.offset:.5g}")


MOST_SIGNS = 40  # what is longer than that is no figure with its unit
_INCH = ("in", "inch", "inches", '"', "″")
_LENGTHS = (
    Unit("mm", ("mm", "millimetre", "millimetres")),
    Unit("in", _INCH, _MM_PER_INCH, guessed=True),
    Unit("cm", ("cm",), 10.0),
    Unit("thou", ("thou", "mil"), _MM_PER_INCH / 1000),
)
_PERCENT = Unit("%", ("%", "percent", worded("per cent")))
_UNITS: dict[str, tuple[Unit, ...]] = {
    "mm": _LENGTHS,
    "percent": (_PERCENT, Unit(worded("as a share"), ("share",), 100.0, guessed=True)),
    "share": (Unit("share", ("share",)), Unit("%", _PERCENT.names, 0.01, guessed=True)),
    "months": (
        Unit("months", ("months", "month", "mo")),
        Unit("days", ("days", "day", "d"), 1 / days_per_month, guessed=True),
        Unit("weeks", ("weeks", "week"), 7 / days_per_month),
        Unit("years", ("years", "year", "y"), 12.0),
    ),
    "years": (
        Unit("years", ("years", "year", "y")),
        Unit("months", ("months", "month", "mo"), 1 / 12, guessed=True),
        Unit("days", ("days", "day", "d"), 1 / days_per_year, guessed=True),
        Unit("weeks", ("weeks", "week"), 7 / days_per_year),
    ),
    "km": (Unit("km", ("km",)), Unit("miles", ("miles", "mile", "mi"), km_per_mile)),
    "h": (Unit("h", ("h", "hours", "hour")), Unit("min", ("min", "minutes"), 1 / 60, guessed=True)),
    "N": (
        Unit("N", ("n",)),
        Unit("kgf", ("kgf", "kg"), n_per_kgf, guessed=True),
        Unit("lbf", ("lbf", "lb"), n_per_lbf),
    ),
}
# On a chain in percent a rule or caliper shows the length of 24 pitches.
_CHAIN_PERCENT = (
    _PERCENT,
    Unit(worded("mm over 24 pitches"), ("mm",), 100 / mm_per_24_pitches, -100.0, guessed=True),
    Unit(worded("in over 24 pitches"), _INCH, 100 * _MM_PER_INCH / mm_per_24_pitches, -100.0, guessed=True),
)
_SAID = re.compile(
    r"(?P<figure>[-+−]?[\d.,][\d., \u2009\u202f]*?(?:(?<!/)\d*\s*/\s*\d+)?)\s*(?P<unit>[^\d\s.,/].*)?"
)
_FRACTION = re.compile(r"(?:(?P<whole>\d+)\s+)?(?P<top>\d+)\s*/\s*(?P<bottom>[1-9]\d*)")
# Of a share both figures are said as they were read: 5.2 of 5.5, 75/80.
_OF = re.compile(r"(?P<shown>\d+(?:[.,]\d+)?)\s*(?:of|/)\s*(?P<whole>\d+(?:[.,]\d+)?)", re.IGNORECASE)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(,\d{3})+(\.\d+)?")


def units_of(limit: LimitRow) -> tuple[Unit, ...]:
    """Return the units in which a reading of this row can be said, its own first."""
    if limit.is_elongation:
        return _CHAIN_PERCENT
    head = limit.unit.split()[0] if limit.unit else ""
    return _UNITS.get(head, (Unit(limit.unit, (limit.unit.lower(),)),))


def measured(said: float | str, limit: LimitRow, field: str, name: str) -> float:
    """Return a reading in the row's unit: a figure, or words such as "12 1/16 in" or "60 months".

    A figure without a unit is taken in the row's own, if a part of this kind can show it at all; else the refusal asks
    whether another unit, or another place of the point, was meant, and carries the value to confirm.

    Raises:
        InputRefused: No figure, a unit that this row is not read in, or a value that no such part shows.
    """
    own, *others = units_of(limit)
    least, greatest = usual_range(limit)
    if isinstance(said, str):
        figure, unit = _read(said, limit, field, name)
        value = figure if unit is None or unit is own else unit.in_row(figure)
    else:
        figure, unit, value = said, None, said
    if isfinite(value) and least <= value <= greatest:
        return value
    shown = f"{figure:g} {limit.unit if unit is None else unit.words}"
    fits = worded(
        "{least:g} to {greatest:g} {unit} is possible", least=least, greatest=greatest, unit=limit.unit
    )
    if unit is not None and unit is not own:
        sentence = worded(
            "{name} is {shown}, which is {value:g} {unit}: {fits}. Measure and type it again.",
            name=name,
            shown=shown,
            value=value,
            unit=limit.unit,
            fits=fits,
        )
        raise InputRefused(sentence, {field: sentence})
    meant: list[Meant] = []
    asks: list[str] = []
    if isfinite(figure) and unit is None:
        for other in others:
            if other.guessed and least <= (value := other.in_row(figure)) <= greatest:
                meant.append(Meant(value, f"{value:g} {limit.unit} ({figure:g} {other.words})"))
                asks.append(
                    worded(
                        "{figure:g} {words}? Did you mean {value:g} {unit}?",
                        figure=figure,
                        words=other.words,
                        value=value,
                        unit=limit.unit,
                    )
                )
    slip = slip_of_the_point(figure, least, greatest)
    if slip is not None:
        meant.append(Meant(slip, f"{slip:g} {limit.unit}"))
        asks.append(worded("Was {slip:g} meant?", slip=slip))
    sentence = worded(
        "{name} is {shown}: {fits}. {asks}",
        name=name,
        shown=shown,
        fits=fits,
        asks=" ".join(asks) or worded("Measure and type it again."),
    )
    raise InputRefused(sentence, {field: sentence}, meant)


def _read(said: str, limit: LimitRow, field: str, name: str) -> tuple[float, Unit | None]:
    """The figure and the unit that was said with it, if any."""
    units = units_of(limit)
    both = _OF.fullmatch(said.strip()) if limit.unit.startswith("share") and len(said) <= MOST_SIGNS else None
    if both is not None and (whole := _figure(both["whole"])):
        return float(f"{(_figure(both['shown']) or 0.0) / whole:.5g}"), None
    found = _SAID.fullmatch(said.strip()) if len(said) <= MOST_SIGNS else None
    figure = _figure(found["figure"]) if found else None
    if found is None or figure is None:
        sentence = worded(
            '{name} is "{said}": a number in {unit} is needed. Type what the gauge shows.',
            name=name,
            said=said.strip()[:40],
            unit=limit.unit,
        )
        raise InputRefused(sentence, {field: sentence})
    named = (found["unit"] or "").strip().lower().rstrip(".")
    if not named:
        return figure, None
    unit = next((one for one in units if named in (*one.names, one.words.lower())), None)
    if unit is None and named == limit.unit.lower():
        unit = units[0]
    if unit is None:
        known = ", ".join(dict.fromkeys(one.names[0] for one in units))
        sentence = worded(
            '{name} is said in "{named}": {known} can be read here. Say it in one of them.',
            name=name,
            named=named[:20],
            known=known,
        )
        raise InputRefused(sentence, {field: sentence})
    return figure, unit


def _figure(text: str) -> float | None:
    """A figure as it is written: point or comma, thousands by commas, or a fraction such as 12 1/16."""
    text = " ".join(text.replace("−", "-").split())
    if (fraction := _FRACTION.fullmatch(text.lstrip("+"))) is not None:
        return float(fraction["whole"] or 0) + int(fraction["top"]) / int(fraction["bottom"])
    text = text.replace(" ", "")
    if _THOUSANDS.fullmatch(text):
        text = text.replace(",", "")
    elif text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    try:
        return float(text)
    except ValueError:
        return None
