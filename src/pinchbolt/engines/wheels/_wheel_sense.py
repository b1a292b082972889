"""What a figure of a wheel may be, and the refusal when it is not."""

from collections.abc import Sequence
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

Floats = NDArray[np.float64]

# (least, greatest, shown unit, how many of the shown unit are one of ours). Own bounds: from a child's wheel to a cargo bike's.
RANGES: dict[str, tuple[float, float, str, float]] = {
    "erd": (0.2, 0.75, "mm", 1e3),
    "circle": (0.02, 0.2, "mm", 1e3),
    "offset": (-0.02, 0.08, "mm", 1e3),
    "rim_offset": (-0.02, 0.02, "mm", 1e3),
    "hole": (0.0015, 0.005, "mm", 1e3),
    "pair_gap": (0.004, 0.12, "mm", 1e3),
    "pull_circle": (0.01, 0.2, "mm", 1e3),
    "seat": (-0.05, 0.05, "mm", 1e3),
    "sd": (0.0, 0.01, "mm", 1e3),
    "length": (0.05, 0.4, "mm", 1e3),
    "stocked": (0.05, 0.4, "mm", 1e3),
    "gap": (-0.2, 0.7, "mm", 1e3),
    "diameter": (0.0008, 0.004, "mm", 1e3),
    "tension": (1.0, 4000.0, "N", 1.0),
    "tension_read": (0.0, 4000.0, "N", 1.0),
    "reading": (-1000.0, 10000.0, "marks", 1.0),
    "frequency": (60.0, 3000.0, "Hz", 1.0),
    "density": (1000.0, 20000.0, "kg/m3", 1.0),
    "elasticity": (1e9, 4e11, "GPa", 1e-9),
    "side": (-0.05, 0.05, "mm", 1e3),
    "up": (-0.05, 0.05, "mm", 1e3),
    "side_limit": (0.0001, 0.01, "mm", 1e3),
    "up_limit": (0.0001, 0.01, "mm", 1e3),
    "dish": (-0.03, 0.03, "mm", 1e3),
    "spread": (0.03, 1.0, "percent", 100.0),
    "greatest": (100.0, 4000.0, "N", 1.0),
}


def figure(name: str, value: object, said: str = "") -> float:
    """*value* if it is a sensible figure for *name*; else the refusal that says what is."""
    low, high, unit, to_shown = RANGES[name]
    told = (said or name).replace("_", " ")
    if isinstance(value, bool) or not isinstance(value, int | float | np.floating):
        sentence = worded(
            "{told} is {value!r}: a number is needed, {range}.",
            told=told,
            value=str(value)[:40],
            range=_range(low, high, to_shown, unit),
        )
        raise InputRefused(sentence, {said or name: sentence})
    if not isfinite(value) or not low <= value <= high:
        sentence = worded(
            "{told} is {value:g} {unit}", told=told, value=value * to_shown, unit=unit
        ).rstrip() + worded(
            ": {range}. Measure again, or look for the decimal point.",
            range=_range(low, high, to_shown, unit),
        )
        raise InputRefused(sentence, {said or name: sentence})
    return float(value)


def whole(name: str, value: object, low: int, high: int) -> int:
    """*value* if it is a whole number from *low* to *high*."""
    if isinstance(value, bool) or not isinstance(value, int | np.integer) or not low <= value <= high:
        sentence = worded(
            "{name} is {value}: a whole number from {low} to {high}. Count again.",
            name=name.replace("_", " "),
            value=str(value)[:40],
            low=low,
            high=high,
        )
        raise InputRefused(sentence, {name: sentence})
    return int(value)


def row_of(name: str, values: Sequence[float], count: int, said: str = "") -> Floats:
    """*values* as an array of *count* sensible figures; the refusal names the spoke."""
    if len(values) != count:
        sentence = worded(
            "{said}: {values} figures for {count} spokes. Read every spoke once, from spoke 1 on.",
            said=said or name,
            values=len(values),
            count=count,
        )
        raise InputRefused(sentence, {said or name: sentence})
    return np.array(
        [
            figure(name, one, worded("{said} at spoke {at}", said=said or name, at=at))
            for at, one in enumerate(values, 1)
        ]
    )


def _range(low: float, high: float, to_shown: float, unit: str) -> str:
    return worded("{low:g} to {high:g} {unit}", low=low * to_shown, high=high * to_shown, unit=unit).rstrip()
