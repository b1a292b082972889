"""How far a bike goes in a week."""

from collections.abc import Sequence
from datetime import date, timedelta
from math import exp, expm1, fsum, isfinite, log, log1p, sqrt

from pinchbolt.engines.use._refuse_stretches import WEEK_VARIATION, stretches_by_host
from pinchbolt.engines.use._ridden import LONGEST_GAP_DAYS, months_of
from pinchbolt.engines.use.use_types import Stretch, WeeklyUse
from pinchbolt.errors import InputRefused
from pinchbolt.values.about import percent
from pinchbolt.values.wording import worded

_HALF_LIFE_WEEKS = 26.0
"""Weeks after which a week counts half: long enough to see a season, short enough to forget a job. Our assumption."""

_AHEAD_DAYS = 182
"""Days ahead whose seasons the answer is for. Our assumption: a part's limit is asked about months ahead. [day]"""

_A_YEAR_WEEKS = 50.0
_SEASON_WEEKS = 4.0
"""Weeks of a usual month that a month's own weeks are weighed against: 0.7^2 / 0.35^2, weeks that vary by 0.7 and months that
differ by 0.35. Our assumption, no source."""

_TELLS_A_MONTH_DAYS = 45
"""Longer stretches tell no season. Our assumption. [day]"""

_OLD_WEEKS = 2.0
_HABIT_CHANGE = 0.15
"""What habits and seasons may change over the next months, over the mean. Our assumption, no source. [-]"""


def weekly_use(
    stretches: Sequence[Stretch], today: date, default_km: float, default_log_sd: float
) -> WeeklyUse:
    """Return how far this bike is expected to go in a week, from its own distances and what is usual.

    The usual counts as ``n0 = v^2 / (exp(s^2) - 1)`` weeks of data, v the variation from week to week and s the
    usual spread. With n weeks of its own, each counted by ``2^(-age / 26 weeks)``, and ``a = n / (n0 + n)``, the mean
    is ``(1 - a) * usual + a * own`` and its squared relative spread ``v^2 / (n0 + n) + (a * error of the distances)^2
    + a * (change of habits)^2``. Nothing known gives the usual back; much known forgets it. Where a year or more is known
    week by week, each week counts as one of a usual month, and the answer is for the months of the coming half year.

    Args:
        stretches: Known distances of one bike or trainer; single rides are left out, as they tell no weeks. [km, day]
        today: Day from which ages are counted. [day]
        default_km: Median of what is usual. [km/week]
        default_log_sd: Spread of the natural logarithm of what is usual. [-]

    Returns:
        Median, spread and from what it was taken. [km/week]

    Raises:
        InputRefused: Several hosts, a stretch that ends after today, or anything that `use_between` refuses of
            stretches; a default out of range.

    Valid for: Riding that goes on as it was; a known change (new job, injury) is the owner's word and wins.

    Example:
        >>> weekly_use((), date(2026, 6, 1), 70.0, 0.5).median_km
        70.0

    Source: Mean of few data drawn to a prior mean, weights by precision: any handbook of Bayesian statistics.
        Half-life, variation and change of habits: our assumptions, no source.
    """
    _check_default(default_km, default_log_sd)
    found = _of_one_host(stretches, today)
    usual_variance = expm1(default_log_sd**2)
    prior_weeks = WEEK_VARIATION**2 / usual_variance
    prior_mean = default_km * exp(default_log_sd**2 / 2)
    season = _season(found)
    weighted = [(_weighted_weeks(stretch, today), stretch) for stretch in found]
    weeks = fsum(weight for weight, _ in weighted)
    if weeks == 0:
        words = worded(
            "{default_km:.0f} km a week is usual for such riding; no distances of this bike are known.",
            default_km=default_km,
        )
        return WeeklyUse(default_km, default_log_sd, words, of_year_km=default_km)
    # Each week as one of a usual month, then all of them as weeks of the months ahead.
    own = [
        weight * stretch.km / _weeks(stretch) / _season_within(season, stretch.start, stretch.end)
        for weight, stretch in weighted
    ]
    mean = (prior_weeks * prior_mean + fsum(own)) / (prior_weeks + weeks)
    trust = weeks / (prior_weeks + weeks)
    error = _error_of(own, [stretch for _, stretch in weighted])
    variance = (
        WEEK_VARIATION**2 / (prior_weeks + weeks)
        + error / ((prior_weeks + weeks) * mean) ** 2
        + trust * _HABIT_CHANGE**2
    )
    ahead = _season_within(season, today, today + timedelta(days=_AHEAD_DAYS))
    median = mean * ahead / sqrt(1 + variance)
    span = fsum(_weeks(stretch) for stretch in found)
    trend = _trend(found, today)
    silent = max((today - max(stretch.end for stretch in found)).days / 7, 0.0)
    words = worded(
        "About {median:.0f} km a week {span}. It leans to the usual {default_km:.0f} "
        "km.{season}{trend}{silent}",
        median=median,
        span=_known_words(span, silent),
        default_km=default_km,
        season=_season_words(season, ahead),
        trend=_trend_words(trend),
        silent=_silence_words(silent),
    )
    return WeeklyUse(median, sqrt(log1p(variance)), words, span, season, trend, silent, median / ahead)


def _known_words(weeks: float, silent: float) -> str:
    """From how much this is known; less than a week is little more than a guess."""
    if weeks < 1:
        return worded("is a guess: less than a week of this bike is known")
    age = worded(", the newest {silent:.0f} weeks old", silent=silent) if silent >= _OLD_WEEKS else ""
    return worded("from {weeks:.0f} known weeks of this bike{age}; new ones count most", weeks=weeks, age=age)


def _silence_words(silent: float) -> str:
    """A long silence is a state of its own: not slow riding, and no riding that is known."""
    if silent * 7 <= LONGEST_GAP_DAYS:
        return ""
    return worded(
        " Not ridden for {silent:.0f} weeks, or ridden without a record: nothing is known of "
        "them. Ask the owner.",
        silent=silent,
    )


def _error_of(own: Sequence[float], stretches: Sequence[Stretch]) -> float:
    """Variance that the distances' own errors bring: shared ones add up before they are squared."""
    alike = fsum(km * one.sd_share for km, one in zip(own, stretches, strict=True) if one.shared)
    single = fsum((km * one.sd_share) ** 2 for km, one in zip(own, stretches, strict=True) if not one.shared)
    return alike**2 + single


def _season(found: Sequence[Stretch]) -> tuple[float, ...]:
    """What a week of each month is of a usual one, drawn to 1 where few weeks tell; empty where less than a year is known."""
    short = [stretch for stretch in found if (stretch.end - stretch.start).days <= _TELLS_A_MONTH_DAYS]
    months = months_of(short)
    weeks = fsum(known for known, _ in months.values())
    km = fsum(ridden for _, ridden in months.values())
    if len(months) < 12 or weeks < _A_YEAR_WEEKS or km <= 0:
        return ()
    usual = km / weeks
    raw = [
        (_SEASON_WEEKS + months[month][1] / usual) / (_SEASON_WEEKS + months[month][0])
        for month in range(1, 13)
    ]
    level = fsum(raw) / 12
    return tuple(one / level for one in raw)


def _season_within(season: Sequence[float], start: date, end: date) -> float:
    """Mean of the season over a span, by days, a month at a time."""
    if not season:
        return 1.0
    months = months_of((Stretch("span", start, end, 1.0, 0.0, ""),))
    return fsum(weeks * season[month - 1] for month, (weeks, _) in months.items()) / fsum(
        weeks for weeks, _ in months.values()
    )


def _season_words(season: Sequence[float], ahead: float) -> str:
    if not season:
        return ""
    return worded(" The coming half year brings {ahead} of that, by its seasons.", ahead=percent(ahead))


def _trend(found: Sequence[Stretch], today: date) -> float | None:
    """The last year's distance a week over that of the year before, less one; None where either is thinly known."""
    rates = []
    for ago in (0, 365):
        after, until = today - timedelta(days=ago + 365), today - timedelta(days=ago)
        weeks = km = 0.0
        for stretch in found:
            days = (min(stretch.end, until) - max(stretch.start, after)).days
            if days > 0:
                weeks += days / 7
                km += stretch.km * days / (stretch.end - stretch.start).days
        if weeks < _A_YEAR_WEEKS / 2 or km <= 0:
            return None
        rates.append(km / weeks)
    return rates[0] / rates[1] - 1


def _trend_words(trend: float | None) -> str:
    if trend is None or abs(trend) < _HABIT_CHANGE:
        return ""
    return worded(
        " That is {share} {more} than in the year before.",
        share=percent(abs(trend)),
        more=worded("more") if trend > 0 else worded("less"),
    )


def _check_default(default_km: float, default_log_sd: float) -> None:
    for field, named, value, least, most in (
        ("default_km", worded("usual distance a week in km"), default_km, 0.1, 5000.0),
        ("default_log_sd", worded("usual spread of its logarithm"), default_log_sd, 0.01, 3.0),
    ):
        if not (isfinite(value) and least <= value <= most):
            sentence = worded(
                "{named} is {value:g}: from {least:g} to {most:g}. Give what is usual for such riding.",
                named=named,
                value=value,
                least=least,
                most=most,
            )
            raise InputRefused(sentence, errors={field: sentence})


def _of_one_host(stretches: Sequence[Stretch], today: date) -> list[Stretch]:
    by_host = stretches_by_host(stretches)
    if len(by_host) > 1:
        sentence = worded(
            "distances of {by_host}: a week is asked of one bike. Ask for each on its own.",
            by_host=", ".join(sorted(by_host)),
        )
        raise InputRefused(sentence, errors={"stretches": sentence})
    found = [stretch for own in by_host.values() for stretch in own]
    for stretch in found:
        if stretch.end > today:
            sentence = worded(
                "distance until {end}: today is {today}. Correct the day, or the clock of this machine.",
                end=stretch.end,
                today=today,
            )
            raise InputRefused(sentence, errors={"end": sentence})
    return [stretch for stretch in found if stretch.end > stretch.start]


def _weeks(stretch: Stretch) -> float:
    return (stretch.end - stretch.start).days / 7


def _weighted_weeks(stretch: Stretch, today: date) -> float:
    """Weeks of the stretch, each counted half for every half-life it is old: the integral of 2^(-age / half-life)."""
    rate = log(2) / _HALF_LIFE_WEEKS
    youngest, oldest = (today - stretch.end).days / 7, (today - stretch.start).days / 7
    return (exp(-rate * youngest) - exp(-rate * oldest)) / rate
