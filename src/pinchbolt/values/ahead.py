"""What lies ahead of a part, in words: the same on the rule, at the stand, at the counter, on paper and on the command line."""

from datetime import date
from math import floor

from pinchbolt.values.about import about
from pinchbolt.values.wording import worded

# Chances from which a word is used; under the last of them nothing is said.
_LIKELY = ((0.95, ""), (0.75, worded("almost certainly")), (0.5, "probably"), (0.05, worded("may be")))
_OFTEN = ((0.5, "mostly"), (0.2, "often"), (0.05, worded("now and then")))
_SURE = ((0.95, "sure"), (0.75, worded("almost sure")), (0.5, worded("fairly sure")))
# Under so many days a day is said, under so many a third of a month.
_WEEKS, _MONTHS = 21, 60
_USE = {"km": "km", "h": "hours", "days": "days"}


def is_past(chance: float) -> bool:
    """Whether a part is more likely past its limit than not."""
    return chance > 0.5


def use_words(driver: str) -> str:
    """Return the unit of use in words: km, hours, days."""
    return _USE[driver]


def sure_words(chance: float) -> str:
    """Return how sure something is, in words; never a certainty that nobody has.

    Example:
        >>> sure_words(0.874), sure_words(0.9999), sure_words(0.3)
        ('almost sure', 'sure', 'not sure')
    """
    return next((words for least, words in _SURE if chance >= least), worded("not sure"))


def chance_words(chance: float, what: str) -> str:
    """Return how likely something is, in words: flat from 95 % on, nothing under 5 %.

    Args:
        chance: 0 to 1. [-]
        what: What is likely, such as "past its limit". [-]

    Example:
        >>> chance_words(0.97, "past its limit"), chance_words(0.8, "past its limit"), chance_words(0.6, "past its limit")
        ('past its limit', 'almost certainly past its limit', 'probably past its limit')
        >>> chance_words(0.05, "past its limit"), chance_words(0.049, "past its limit")
        ('may be past its limit', '')

    Source: our own scale; common practice, no source.
    """
    for least, before in _LIKELY:
        if chance >= least:
            return f"{before} {what}".lstrip()
    return ""


def odds_words(odds: float) -> str:
    """Return odds that somebody chooses by, as they are said over the counter: so many in ten, never rounded up.

    Args:
        odds: That a day is kept, that a length does. 0 to 1. [-]

    Example:
        >>> [odds_words(one) for one in (0.04, 0.56, 0.8, 0.899, 0.97)]
        ['hardly', '5 in 10', '8 in 10', '8 in 10', 'nearly sure']

    Valid for: What is chosen by it alone; all else is said with `chance_words`. What is computed keeps the figure.

    Source: our own scale; common practice, no source.
    """
    if odds >= _SURE[0][0]:
        return worded("nearly sure")
    tenths = floor(odds * 10 + 0.005)
    return f"{tenths} in 10" if tenths else "hardly"


def often_words(share: float) -> str:
    """Return how often something is so, on bikes like this one or at such times.

    Args:
        share: Of all of them. 0 to 1. [-]

    Example:
        >>> often_words(0.6), often_words(0.3), often_words(0.1), often_words(0.0125)
        ('mostly', 'often', 'now and then', 'seldom')

    Source: our own scale; common practice, no source.
    """
    return next((words for least, words in _OFTEN if share >= least), "seldom")


def likely_words(low: float, high: float, unit: str = "") -> str:
    """Return the range in which something lies 8 times out of 10: "likely" is that word everywhere.

    Example:
        >>> from math import inf
        >>> likely_words(100, 2728, "km"), likely_words(100, inf, "km")
        ('likely 100 to 2,700 km', 'likely 100 km or more')
    """
    return worded("likely {low}", low=left_words(low, high, unit))


def when_words(likely: date | None, first: date | None = None, last: date | None = None) -> str:
    """Return a likely day as exactly as it is known: the day, a third of a month, or the month.

    Args:
        likely: The likely day; None is not within ten years. [-]
        first: First day of the likely range; None where it has no range. [-]
        last: Its last day; None is later than ten years. [-]

    Example:
        >>> when_words(date(2027, 3, 14), date(2027, 3, 8), date(2027, 3, 20))
        '14 Mar 2027'
        >>> when_words(date(2027, 3, 14), date(2027, 3, 1), date(2027, 4, 5))
        'mid-March 2027'
        >>> when_words(date(2027, 3, 14), date(2027, 1, 1), date(2027, 8, 1)), when_words(date(2027, 3, 14), date(2027, 1, 1), None)
        ('March 2027', 'March 2027')

    Source: common practice, no source.
    """
    if likely is None or first is None:
        return day_words(likely)
    days = (last - first).days if last is not None else _MONTHS
    if days < _WEEKS:
        return day_words(likely)
    if days >= _MONTHS:
        return f"{likely:%B %Y}"
    third = "early" if likely.day <= 10 else "mid" if likely.day <= 20 else "late"
    return f"{third}-{likely:%B %Y}" if third == "mid" else f"{third} {likely:%B %Y}"


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
        return f"{least} {unit}".rstrip() + worded(" or more")
    return (
        f"{(least if least == most else worded('{least} to {most}', least=least, most=most))} {unit}".rstrip()
    )


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
        'nobody rides it from 0.2 mm on, in about 310 km'
        >>> danger_words(0.2, "mm", 0.9, -40.0, "km")
        'almost certainly past 0.2 mm, from where nobody rides it'
    """
    if is_past(chance):
        return worded(
            "{chance}, from where nobody rides it",
            chance=chance_words(chance, worded("past {danger:g} {unit}", danger=danger, unit=unit)),
        )
    return worded(
        "nobody rides it from {danger:g} {unit} on, in about {left} {driver}",
        danger=danger,
        unit=unit,
        left=about(max(left, 0.0)),
        driver=use_words(driver),
    )


def day_words(day: date | None) -> str:
    """Return a day as people write it: 14 Feb 2027; None stands for 'not within ten years'."""
    return f"{day.day} {day:%b %Y}" if day else worded("not within ten years")


def about_day(day: date | None) -> str:
    """Return a likely day: about 14 Feb 2027, or that it is not within ten years."""
    return worded("about {day}", day=day_words(day)) if day else day_words(None)


def days_between(first: date | None, last: date | None) -> str:
    """Return the days between which something lies; nothing where even the first is not within ten years.

    Example:
        >>> days_between(date(2026, 12, 20), None)
        '20 Dec 2026 to later than ten years ahead'
    """
    if first is None:
        return ""
    return worded(
        "{first} to {last}",
        first=day_words(first),
        last=day_words(last) if last else worded("later than ten years ahead"),
    )
