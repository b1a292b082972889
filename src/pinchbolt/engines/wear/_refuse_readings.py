"""What the wear engine refuses, each with what is allowed and what to do next."""

from collections.abc import Sequence
from datetime import date
from math import isfinite, isinf

from pinchbolt.engines.wear.wear_types import GaugeReading, RateOfUse, WearLaw
from pinchbolt.errors import InputRefused


def refuse_bad_input(
    law: WearLaw, readings: Sequence[GaugeReading], use: RateOfUse, today: date, exposure_now: float | None
) -> None:
    """Raise InputRefused for a law, reading or use that cannot be meant."""
    refuse_bad_law(law)
    if not (
        isfinite(use.median_a_week) and use.median_a_week > 0 and isfinite(use.log_sd) and use.log_sd >= 0
    ):
        raise InputRefused(
            f"use a week is {use.median_a_week:g} {law.driver} with spread {use.log_sd:g}: the use must "
            "be above 0 and "
            "its spread not below 0. Use the default of this kind of bike."
        )
    if exposure_now is not None and not (isfinite(exposure_now) and exposure_now >= 0):
        raise InputRefused(
            f"use since fitting is {exposure_now:g} {law.driver}: it must be 0 or more. Leave it out if nobody knows."
        )
    for reading in readings:
        _refuse_bad_reading(law, reading, today)


def refuse_bad_law(law: WearLaw) -> None:
    """Raise InputRefused for a law whose limit is not beyond new, or whose life is not above 0."""
    numbers = (law.new, law.new_spread, law.warn, law.limit, law.median_life, law.life_log_sd)
    if not all(isfinite(n) for n in numbers):
        raise InputRefused(
            f"{law.id} has a value that is no number: each must be finite. Correct the table row."
        )
    sign = 1 if law.direction == "up" else -1
    if sign * (law.limit - law.new) <= 0:
        raise InputRefused(
            f"{law.part} limit is {law.limit:g} {law.unit} and new is {law.new:g}: the limit must lie "
            "beyond new in the "
            "sense of wear. Check the marking, and which size of part this is."
        )
    if sign * (law.warn - law.limit) > 0:
        raise InputRefused(
            f"{law.part} warning is {law.warn:g} {law.unit} and limit is {law.limit:g}: the warning "
            "must not come after "
            "the limit. Correct the table row."
        )
    if law.median_life <= 0 or law.life_log_sd < 0 or not 0 < law.misread < 0.5:
        raise InputRefused(
            f"{law.id} has a median life of {law.median_life:g} {law.driver}, spread "
            f"{law.life_log_sd:g} and share of "
            f"slips {law.misread:g}: life above 0, spread not below 0, slips between 0 and 0.5. Correct the priors."
        )


def _refuse_bad_reading(law: WearLaw, reading: GaugeReading, today: date) -> None:
    shown, error = reading.shown, reading.error
    if reading.day > today:
        raise InputRefused(
            f"reading of {law.part} is dated {reading.day.isoformat()}: it must not be after today, "
            f"{today.isoformat()}. "
            "Correct the day."
        )
    if (shown.is_value and isinf(shown.low)) or (shown.low, shown.high) == (float("-inf"), float("inf")):
        raise InputRefused(
            f"reading of {law.part} of {reading.day.isoformat()} has no end that is a number: give a "
            "value, or an interval "
            "with one end. Leave it out if nothing was read."
        )
    parts = (error.bias, error.bias_sd, error.sd, error.growth, error.growth_sd)
    if not all(isfinite(p) for p in parts) or min(error.bias_sd, error.sd, error.growth_sd) < 0:
        raise InputRefused(
            f"error of {reading.instrument} is {error.bias:g} with spreads {error.bias_sd:g} and "
            f"{error.sd:g} {law.unit}: "
            "all must be numbers and spreads 0 or more. Check the gauge's record."
        )
    if reading.exposure is not None and not (isfinite(reading.exposure) and reading.exposure >= 0):
        raise InputRefused(
            f"use at the reading of {reading.day.isoformat()} is {reading.exposure:g} {law.driver}: it "
            "must be 0 or more. "
            "Leave it out if nobody knows."
        )
    if not (isfinite(reading.exposure_share) and reading.exposure_share >= 0):
        raise InputRefused(
            f"doubt of the use at {reading.day.isoformat()} is {reading.exposure_share:g}: it must be 0 or more. "
            "Write 15 % as 0.15."
        )
