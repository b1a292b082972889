"""How far a bike goes in a week."""

from collections.abc import Sequence
from datetime import date
from math import exp, expm1, fsum, isfinite, log, log1p, sqrt

from pinchbolt.engines.use._refuse import WEEK_VARIATION, stretches_by_host
from pinchbolt.engines.use.types import Stretch, WeeklyUse
from pinchbolt.errors import InputRefused

_HALF_LIFE_WEEKS = 26.0
"""Weeks after which a week counts half: long enough to see a season, short enough to forget a job. Our assumption."""

_HABIT_CHANGE = 0.15
"""What habits and seasons may change over the next months, over the mean. Our assumption, no source. [-]"""


def weekly_use(
    stretches: Sequence[Stretch], today: date, default_km: float, default_log_sd: float
) -> WeeklyUse:
    """Return how far this bike is expected to go in a week, from its own distances and what is usual.

    The usual counts as ``n0 = v^2 / (exp(s^2) - 1)`` weeks of data, v the variation from week to week and s the
    usual spread. With n weeks of its own, each counted by ``2^(-age / 26 weeks)``, and ``a = n / (n0 + n)``, the mean
    is ``(1 - a) * usual + a * own`` and its squared relative spread ``v^2 / (n0 + n) + (a * error of the distances)^2
    + a * (change of habits)^2``. Nothing known gives the usual back; much known forgets it.

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
    weighted = [(_weighted_weeks(stretch, today), stretch) for stretch in found]
    weeks = fsum(weight for weight, _ in weighted)
    if weeks == 0:
        words = f"{default_km:.0f} km a week is usual for such riding; no distances of this bike are known."
        return WeeklyUse(default_km, default_log_sd, words)
    own = [weight * stretch.km / _weeks(stretch) for weight, stretch in weighted]
    mean = (prior_weeks * prior_mean + fsum(own)) / (prior_weeks + weeks)
    trust = weeks / (prior_weeks + weeks)
    error = fsum((km * stretch.sd_share) ** 2 for km, (_, stretch) in zip(own, weighted, strict=True))
    variance = (
        WEEK_VARIATION**2 / (prior_weeks + weeks)
        + error / ((prior_weeks + weeks) * mean) ** 2
        + trust * _HABIT_CHANGE**2
    )
    median = mean / sqrt(1 + variance)
    span = fsum(_weeks(stretch) for stretch in found)
    words = (
        f"{median:.0f} km a week from {span:.0f} known weeks of this bike, the late ones counting most, drawn towards "
        f"the usual {default_km:.0f} km."
    )
    return WeeklyUse(median, sqrt(log1p(variance)), words, span)


def _check_default(default_km: float, default_log_sd: float) -> None:
    for field, named, value, least, most in (
        ("default_km", "usual distance a week in km", default_km, 0.1, 5000.0),
        ("default_log_sd", "usual spread of its logarithm", default_log_sd, 0.01, 3.0),
    ):
        if not (isfinite(value) and least <= value <= most):
            sentence = (
                f"{named} is {value:g}: from {least:g} to {most:g}. Give what is usual for such riding."
            )
            raise InputRefused(sentence, errors={field: sentence})


def _of_one_host(stretches: Sequence[Stretch], today: date) -> list[Stretch]:
    by_host = stretches_by_host(stretches)
    if len(by_host) > 1:
        sentence = f"distances of {', '.join(sorted(by_host))}: a week is asked of one bike. Ask for each on its own."
        raise InputRefused(sentence, errors={"stretches": sentence})
    found = [stretch for own in by_host.values() for stretch in own]
    for stretch in found:
        if stretch.end > today:
            sentence = f"distance until {stretch.end}: today is {today}. Correct the day, or the clock of this machine."
            raise InputRefused(sentence, errors={"end": sentence})
    return [stretch for stretch in found if stretch.end > stretch.start]


def _weeks(stretch: Stretch) -> float:
    return (stretch.end - stretch.start).days / 7


def _weighted_weeks(stretch: Stretch, today: date) -> float:
    """Weeks of the stretch, each counted half for every half-life it is old: the integral of 2^(-age / half-life)."""
    rate = log(2) / _HALF_LIFE_WEEKS
    youngest, oldest = (today - stretch.end).days / 7, (today - stretch.start).days / 7
    return (exp(-rate * youngest) - exp(-rate * oldest)) / rate
