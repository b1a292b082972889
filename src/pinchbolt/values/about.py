"""Figures of a forecast as people say them: no digit that nobody knows, nothing below nothing."""

from math import floor, isfinite, log10

from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded


def about(figure: float) -> str:
    """Return a distance, or a count of days or hours, with the two digits that count; nothing left is 0.

    Args:
        figure: What a forecast says is left, or was. [km, days or h]

    Returns:
        Words for people, thousands set off by a comma; "any" for no end. [the same]

    Example:
        >>> about(2479), about(13068), about(0.4), about(-30)
        ('2,500', '13,000', '0', '0')

    Source: common practice, no source.
    """
    if not isfinite(figure):
        return worded("any")
    if figure < 9.5:
        return f"{max(0.0, figure):.0f}"
    step = 10.0 ** (floor(log10(figure)) - 1)
    # A half goes up, as everybody reckons.
    return f"{figure_text(floor(figure / step + 0.5) * step, 0)}"


def worn(figure: float) -> str:
    """Return a wear as it is read off an instrument: two decimals under 3, one above; never below 0.

    Args:
        figure: Lining, thickness, elongation, age. [the row's own unit]

    Returns:
        Words without the unit. [the same]

    Valid for: What can't be less than nothing: not for what is read to both sides of a middle.

    Example:
        >>> worn(-0.18), worn(0.6234), worn(306.387), worn(24.0)
        ('0', '0.62', '306.4', '24')

    Source: common practice, no source.
    """
    text = f"{max(0.0, figure):.{1 if abs(figure) >= 3 else 2}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def percent(share: float, places: int = 0) -> str:
    """Return a share as it is printed, with one blank before the sign.

    Example:
        >>> percent(0.04), percent(0.8182, 1)
        ('4 %', '81.8 %')
    """
    return f"{share * 100:.{places}f} %"


# Units of the tables that say what is compared, not what is counted.
_UNITS_SAID = {"ratio to new": worded("times new"), "step 0-3": worded("of 3"), "strands broken": "strands"}


def unit_words(unit: str) -> str:
    """Return a unit as it stands beside a figure: % and never percent.

    Example:
        >>> unit_words("percent"), unit_words("percent of new"), unit_words("ratio to new"), unit_words("mm")
        ('%', '% of new', 'times new', 'mm')
    """
    return _UNITS_SAID.get(unit, "%" + unit.removeprefix("percent") if unit.startswith("percent") else unit)


_TIMES = (
    (119.5, 1, worded("{count} minute{s}")),
    (47.5 * 60, 60, worded("{count} hour{s}")),
    (float("inf"), 1440, worded("{count} day{s}")),
)


def time_words(minutes: float) -> str:
    """Return a time that has passed, with the figures that count: minutes, then hours, then days.

    Args:
        minutes: How long. [min]

    Returns:
        Words for people. [-]

    Example:
        >>> time_words(1), time_words(90), time_words(2461), time_words(4400)
        ('1 minute', '90 minutes', '41 hours', '3 days')

    Source: common practice, no source.
    """
    for most, each, words in _TIMES:
        if minutes < most:
            count = floor(minutes / each + 0.5)
            return words.format(count=figure_text(count), s="" if count == 1 else "s")
    return worded("any")


def shown_words(low: float | None, high: float | None, unit: str) -> str:
    """Return what an instrument showed, as it was read: no digit more, none less.

    Args:
        low: Lower end; None, or infinite, where it is open. [the row's own unit]
        high: Upper end. [the same]
        unit: The unit in words. [-]

    Example:
        >>> shown_words(0.5, 0.75, "%"), shown_words(None, 0.5, "%"), shown_words(1.45, 1.45, "mm")
        ('between 0.5 and 0.75 %', 'below 0.5 %', '1.45 mm')

    Source: common practice, no source.
    """
    unit = unit_words(unit)
    least = low if low is not None and isfinite(low) else None
    most = high if high is not None and isfinite(high) else None
    if least is not None and most is not None:
        return (
            f"{least:g} {unit}"
            if least == most
            else worded("between {least:g} and {most:g} {unit}", least=least, most=most, unit=unit)
        )
    if most is not None:
        return worded("below {most:g} {unit}", most=most, unit=unit)
    return worded("{least:g} {unit} or more", least=least, unit=unit) if least is not None else "nothing"
