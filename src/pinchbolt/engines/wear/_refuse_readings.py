"""What the wear engine refuses, each with what is allowed and what to do next."""

from collections.abc import Sequence
from datetime import date
from math import isfinite, isinf

from pinchbolt.engines.wear.wear_types import GaugeReading, RateOfUse, WearLaw
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded


def refuse_bad_input(
    law: WearLaw, readings: Sequence[GaugeReading], use: RateOfUse, today: date, exposure_now: float | None
) -> None:
    """Raise InputRefused for a law, reading or use that cannot be meant."""
    refuse_bad_law(law)
    if not (
        isfinite(use.median_a_week) and use.median_a_week > 0 and isfinite(use.log_sd) and use.log_sd >= 0
    ):
        raise InputRefused(
            worded(
                "use a week is {median_a_week:g} {driver} with spread {log_sd:g}: the use must be "
                "above 0 and its spread not below 0. Use the default of this kind of bike.",
                median_a_week=use.median_a_week,
                driver=law.driver,
                log_sd=use.log_sd,
            )
        )
    if exposure_now is not None and not (isfinite(exposure_now) and exposure_now >= 0):
        raise InputRefused(
            worded(
                "use since fitting is {exposure_now:g} {driver}: it must be 0 or more. Leave it out "
                "if nobody knows.",
                exposure_now=exposure_now,
                driver=law.driver,
            )
        )
    for reading in readings:
        _refuse_bad_reading(law, reading, today)


def refuse_bad_law(law: WearLaw) -> None:
    """Raise InputRefused for a law whose limit is not beyond new, or whose life is not above 0."""
    numbers = (law.new, law.new_spread, law.warn, law.limit, law.median_life, law.life_log_sd)
    if not all(isfinite(n) for n in numbers):
        raise InputRefused(
            worded(
                "{id} has a value that is no number: each must be finite. Correct the table row.", id=law.id
            )
        )
    sign = 1 if law.direction == "up" else -1
    if sign * (law.limit - law.new) <= 0:
        raise InputRefused(
            worded(
                "{part} limit is {limit:g} {unit} and new is {new:g}: the limit must lie beyond new "
                "in the sense of wear. Check the marking, and which size of part this is.",
                part=law.part,
                limit=law.limit,
                unit=law.unit,
                new=law.new,
            )
        )
    if sign * (law.warn - law.limit) > 0:
        raise InputRefused(
            worded(
                "{part} warning is {warn:g} {unit} and limit is {limit:g}: the warning must not come "
                "after the limit. Correct the table row.",
                part=law.part,
                warn=law.warn,
                unit=law.unit,
                limit=law.limit,
            )
        )
    if law.median_life <= 0 or law.life_log_sd < 0 or not 0 < law.misread < 0.5:
        raise InputRefused(
            worded(
                "{id} has a median life of {median_life:g} {driver}, spread {life_log_sd:g} and "
                "share of slips {misread:g}: life above 0, spread not below 0, slips between 0 and "
                "0.5. Correct the priors.",
                id=law.id,
                median_life=law.median_life,
                driver=law.driver,
                life_log_sd=law.life_log_sd,
                misread=law.misread,
            )
        )


def _refuse_bad_reading(law: WearLaw, reading: GaugeReading, today: date) -> None:
    shown, error = reading.shown, reading.error
    if reading.day > today:
        raise InputRefused(
            worded(
                "reading of {part} is dated {day}: it must not be after today, {today}. Correct the day.",
                part=law.part,
                day=reading.day.isoformat(),
                today=today.isoformat(),
            )
        )
    if (shown.is_value and isinf(shown.low)) or (shown.low, shown.high) == (float("-inf"), float("inf")):
        raise InputRefused(
            worded(
                "reading of {part} of {day} has no end that is a number: give a value, or an "
                "interval with one end. Leave it out if nothing was read.",
                part=law.part,
                day=reading.day.isoformat(),
            )
        )
    parts = (error.bias, error.bias_sd, error.sd, error.growth, error.growth_sd)
    if not all(isfinite(p) for p in parts) or min(error.bias_sd, error.sd, error.growth_sd) < 0:
        raise InputRefused(
            worded(
                "error of {instrument} is {bias:g} with spreads {bias_sd:g} and {sd:g} {unit}: all "
                "must be numbers and spreads 0 or more. Check the gauge's record.",
                instrument=reading.instrument,
                bias=error.bias,
                bias_sd=error.bias_sd,
                sd=error.sd,
                unit=law.unit,
            )
        )
    if reading.exposure is not None and not (isfinite(reading.exposure) and reading.exposure >= 0):
        raise InputRefused(
            worded(
                "use at the reading of {day} is {exposure:g} {driver}: it must be 0 or more. Leave "
                "it out if nobody knows.",
                day=reading.day.isoformat(),
                exposure=reading.exposure,
                driver=law.driver,
            )
        )
    if not (isfinite(reading.exposure_share) and reading.exposure_share >= 0):
        raise InputRefused(
            worded(
                "doubt of the use at {day} is {exposure_share:g}: it must be 0 or more. Write 15 % as 0.15.",
                day=reading.day.isoformat(),
                exposure_share=reading.exposure_share,
            )
        )
