"""What a figure of the drive may be, and the refusal when it is not."""

from math import isfinite

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

RANGES = {
    "ring": (9, 130, "teeth"),
    "sprocket": (7, 80, "teeth"),
    "inside": (0.15, 4.0, ""),
    "circumference_m": (0.3, 3.0, "m"),
    "diameter_m": (0.1, 1.0, "m"),
    "wheel_radius_m": (0.05, 0.5, "m"),
    "crank_m": (0.08, 0.25, "m"),
    "cadence_rpm": (0.0, 250.0, "rpm"),
    "stay_mm": (150.0, 2000.0, "mm"),
    "growth_mm": (0.0, 120.0, "mm"),
    "line_mm": (20.0, 90.0, "mm"),
    "pitch_mm": (2.0, 12.0, "mm"),
    "capacity": (0, 80, "teeth"),
    "mass_kg": (5.0, 700.0, "kg"),
    "gradient": (-0.5, 0.5, ""),
    "power_w": (0.0, 2500.0, "W"),
    "pitches": (20, 400, "pitches"),
    "spare_pitches": (0, 12, "pitches"),
}


def number(name: str, value: object) -> float:
    """*value* if it is a sensible figure for *name*; else the refusal that says what is."""
    low, high, unit = RANGES[name]
    said = name.rsplit("_", 1)[0].replace("_", " ") if "_" in name else name
    shown = (
        f"{value:g}" if isinstance(value, int | float) and not isinstance(value, bool) else repr(value)[:40]
    )
    if (
        isinstance(value, bool)
        or not isinstance(value, int | float)
        or not isfinite(value)
        or not low <= value <= high
    ):
        sentence = worded("{said} is {shown} {unit}", said=said, shown=shown, unit=unit).rstrip()
        sentence = worded(
            "{sentence}: {low:g} to {high:g} {unit}", sentence=sentence, low=low, high=high, unit=unit
        ).rstrip() + worded(". Measure again, or look for the decimal point.")
        raise InputRefused(sentence, {name: sentence})
    return float(value)


def teeth(name: str, value: object) -> int:
    """A whole number of teeth or pitches, by the same ranges."""
    found = number(name, value)
    if found != int(found):
        unit = RANGES[name][2]
        sentence = worded(
            "{name} is {found:g} {unit}: a whole number. Count again.", name=name, found=found, unit=unit
        )
        raise InputRefused(sentence, {name: sentence})
    return int(found)
