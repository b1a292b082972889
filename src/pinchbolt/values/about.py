"""Figures of a forecast as people say them: no digit that nobody knows, nothing below nothing."""

from math import floor, isfinite, log10


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
        return "any"
    if figure < 9.5:
        return f"{max(0.0, figure):.0f}"
    step = 10.0 ** (floor(log10(figure)) - 1)
    # A half goes up, as everybody reckons.
    return f"{floor(figure / step + 0.5) * step:,.0f}"


def worn(figure: float) -> str:
    """Return a wear as it is read off an instrument: two decimals for small figures, one for large; never below 0.

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
    text = f"{max(0.0, figure):.{1 if abs(figure) >= 20 else 2}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
