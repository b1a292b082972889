"""What a figure of a tyre or rim may be, and the refusal when it is not."""

from collections.abc import Mapping
from math import isfinite

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

RANGES = {
    "width": (15.0, 140.0, "mm"),
    "rim_inner": (10.0, 110.0, "mm"),
    "bead_seat": (100.0, 800.0, "mm"),
    "load": (5.0, 350.0, "kg"),
    "tyre_max": (0.3, 20.0, "bar"),
    "tyre_min": (0.2, 15.0, "bar"),
    "rim_max": (0.3, 20.0, "bar"),
    "opening": (20.0, 200.0, "mm"),
    "runout": (0.0, 15.0, "mm"),
    "share": (0.2, 0.8, ""),
}


def number(name: str, value: object) -> float:
    """*value* if it is a sensible figure for *name*; else the refusal that says what is."""
    low, high, unit = RANGES[name]
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float)
        or not isfinite(value)
        or not low <= value <= high
    ):
        shown = (
            f"{value:g}"
            if isinstance(value, int | float) and not isinstance(value, bool)
            else repr(value)[:40]
        )
        said = worded(
            "{name} is {shown} {unit}", name=name.replace("_", " "), shown=shown, unit=unit
        ).rstrip()
        sentence = worded(
            "{said}: {low}. Read the marking again, or measure.",
            said=said,
            low=worded("{low:g} to {high:g} {unit}", low=low, high=high, unit=unit).rstrip(),
        )
        raise InputRefused(sentence, {name: sentence})
    return float(value)


def cell(row: object, name: str) -> object:
    """A field of a typed row or a mapping; None where it is absent."""
    return row.get(name) if isinstance(row, Mapping) else getattr(row, name, None)
