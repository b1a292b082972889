"""What lies ahead of a part, in words: the same on the rule, at the stand, at the counter, on paper and on the command line."""

from datetime import date

from pinchbolt.values.about import about

_USE = {"km": "km", "h": "hours", "days": "days"}


def is_past(chance: float) -> bool:
    """Whether a part is more likely past its limit than not."""
    return chance > 0.5


def use_words(driver: str) -> str:
    """Return the unit of use in words: km, hours, days."""
    return _USE[driver]


def sure_words(chance: float) -> str:
    """Return a chance as people hear it: 87%; never a 100% that nobody knows.

    Example:
        >>> sure_words(0.874), sure_words(0.9999)
        ('87%', 'over 99%')
    """
    return "over 99%" if chance > 0.99 else f"{chance:.0%}"


def left_words(low: float, high: float, unit: str = "") -> str:
    """Return what is left by its two ends, with the digits that count.

    Args:
        low: Least use that is left; below 0 it is passed. [km, h or days]
        high: Most use that is left; infinite where there is no end. [the same]
        unit: In words, where it does not stand beside it already. [-]

    Example:
        >>> from math import inf
        >>> left_words(310, 1013), left_words(310, inf, "km"), left_words(120, 120)
        ('310 to 1,000', '310 km or more', '120')
    """
    least, most = about(low), about(high)
    if most == "any":
        return f"{least} {unit}".rstrip() + " or more"
    return f"{least if least == most else f'{least} to {most}'} {unit}".rstrip()


def danger_words(danger: float, unit: str, chance: float, left: float, driver: str) -> str:
    """Return where a part past its limit is no longer ridden, and how far off that is.

    Args:
        danger: The figure. [unit]
        unit: The part's own. [-]
        chance: Chance that it is past it already. [-]
        left: Likely use up to it. [driver's unit]
        driver: What use is counted in: km, h or days. [-]

    Example:
        >>> danger_words(0.2, "mm", 0.1, 312.0, "km")
        'not ridden from 0.2 mm on, in about 310 km'
        >>> danger_words(0.2, "mm", 0.9, -40.0, "km")
        'past 0.2 mm, from where it is not ridden (90% sure)'
    """
    if is_past(chance):
        return f"past {danger:g} {unit}, from where it is not ridden ({sure_words(chance)} sure)"
    return f"not ridden from {danger:g} {unit} on, in about {about(max(left, 0.0))} {use_words(driver)}"


def day_words(day: date | None) -> str:
    """Return a day as people write it: 14 Feb 2027; None stands for 'not within ten years'."""
    return f"{day.day} {day:%b %Y}" if day else "not within ten years"


def about_day(day: date | None) -> str:
    """Return a likely day: about 14 Feb 2027, or that it is not within ten years."""
    return f"about {day_words(day)}" if day else day_words(None)


def days_between(first: date | None, last: date | None) -> str:
    """Return the days between which something lies; nothing where even the first is not within ten years.

    Example:
        >>> days_between(date(2026, 12, 20), None)
        '20 Dec 2026 to later than ten years ahead'
    """
    if first is None:
        return ""
    return f"{day_words(first)} to {day_words(last) if last else 'later than ten years ahead'}"
