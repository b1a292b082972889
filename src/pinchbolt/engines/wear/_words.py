"""Reasons and doubts of a forecast, in plain sentences."""

from collections.abc import Sequence
from math import exp, hypot, inf

from pinchbolt.engines.wear._steps import Steps
from pinchbolt.engines.wear.types import GaugeReading, RateOfUse, WearLaw
from pinchbolt.values import Interval, Reason, Spread, Verdict

Z80 = 1.2815515655446004
SLIP = 0.5  # a reading less likely good than this is named as a contradiction


def amount(value: float, unit: str = "") -> str:
    """A number to about three figures, with a unit and a comma in the thousands."""
    if abs(value) >= 1000:
        text = f"{round(value, -1):,.0f}" if abs(value) < 1e5 else f"{value:,.0f}"
    elif abs(value) >= 100:
        text = f"{value:.0f}"
    else:
        text = f"{value:.3g}"
    return f"{text} {unit}".strip()


def shown_words(shown: Interval, unit: str) -> str:
    """What the gauge showed, as said at the bench."""
    if shown.is_value:
        return amount(shown.low, unit)
    if shown.low == -inf:
        return f"below {amount(shown.high, unit)}"
    if shown.high == inf:
        return f"{amount(shown.low, unit)} or more"
    return f"between {amount(shown.low)} and {amount(shown.high, unit)}"


def after_known_error(reading: GaugeReading) -> Interval:
    """The true value by this reading alone: known bias taken off, 80 % of its doubt put on."""
    error = reading.error
    used = (reading.exposure or 0.0) / 1000
    doubt = Z80 * hypot(error.sd, error.bias_sd, error.growth_sd * used)
    bias = error.bias + error.growth * used
    return Interval(reading.shown.low - bias - doubt, reading.shown.high - bias + doubt)


def reasons(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    way: Steps,
    use: RateOfUse,
    before: Interval,
    to_limit: Spread,
    verdict: Verdict,
    past: float,
) -> tuple[Reason, ...]:
    """Why the forecast is what it is: limit, prior, each reading, use, what moved it, verdict."""
    lines = [_limit_line(law)]
    if not law.clock:
        lines.append(
            Reason(
                "Before any reading: half of such parts reach the limit by "
                f"{amount(law.median_life, law.driver)}, four in "
                f"five between {amount(max(before.low, 0.0))} and {amount(before.high, law.driver)}"
                + (f" ({law.use_class} use)." if law.use_class else "."),
                law.prior_row,
                law.prior_source,
            )
        )
    lines += [_reading_line(law, reading) for reading in readings]
    if law.driver != "days":
        fast = exp(Z80 * use.log_sd)
        lines.append(
            Reason(
                f"Use: about {amount(use.median_a_week, law.driver)} a week, four in five between "
                f"{amount(use.median_a_week / fast)} and {amount(use.median_a_week * fast)}."
            )
        )
    lines.append(_moved_line(law, readings, way, to_limit))
    lines.append(_verdict_line(law, verdict, past, bool(readings)))
    return tuple(lines)


def _limit_line(law: WearLaw) -> Reason:
    by = {
        "table": "by the table",
        "marking": "by the marking on the part",
        "policy": "by the workshop's choice",
    }
    return Reason(
        f"Limit {amount(law.limit, law.unit)} {by[law.limit_by]}, warning at "
        f"{amount(law.warn, law.unit)}; new is about "
        f"{amount(law.new, law.unit)}.",
        law.id,
        law.source,
    )


def _reading_line(law: WearLaw, reading: GaugeReading) -> Reason:
    true = after_known_error(reading)
    at = "distance not known" if reading.exposure is None else f"at {amount(reading.exposure, law.driver)}"
    if law.driver == "days" and reading.exposure is None:
        at = "age not known"
    doubt = (true.low == true.high and "exactly") or shown_words(true, law.unit)
    return Reason(
        f"{reading.day.day} {reading.day:%b %Y}, {at}, {reading.instrument} showed "
        f"{shown_words(reading.shown, law.unit)}: "
        f"with the known error of the instrument {doubt} (four in five)."
    )


def _moved_line(law: WearLaw, readings: Sequence[GaugeReading], way: Steps, to_limit: Spread) -> Reason:
    now = way.at[-1] if way.at else 0.0
    total = now + to_limit.median
    if not readings:
        words = f"No reading yet: the forecast is what such parts do, from {amount(now, law.driver)} of use."
        return Reason(words if not law.clock else f"In use for {amount(now, law.driver)}.")
    if not way.start_known:
        return Reason(
            "The distance of this part is not known: the forecast rests on the readings and on such parts."
        )
    share = total / law.median_life - 1
    if abs(share) < 0.05:
        return Reason(
            f"The readings agree with what such parts do: limit at {amount(total, law.driver)} in all."
        )
    sense = "longer" if share > 0 else "shorter"
    return Reason(
        f"The readings and the use say that this part lasts {abs(share):.0%} {sense} than such parts: limit at "
        f"{amount(total, law.driver)} in all, was {amount(law.median_life, law.driver)}."
    )


def _verdict_line(law: WearLaw, verdict: Verdict, past: float, measured: bool) -> Reason:
    chance = "under 1 %" if past < 0.01 else "over 99 %" if past > 0.99 else f"{past:.0%}"
    words = f"{verdict.value.capitalize()}: the chance that it is past its limit now is {chance}"
    if law.safety:
        words += "; a safety part is called at 5 %"
    if not measured and not law.clock:
        words += "; nobody has measured it, so measure it first"
    return Reason(words + ".")


def doubts(law: WearLaw, readings: Sequence[GaugeReading], good: Sequence[float]) -> tuple[str, ...]:
    """What a careful person would add: no reading, a lone go/no-go reading, readings that contradict each other."""
    found: list[str] = []
    if not readings and not law.clock:
        found.append(f"No reading of this {law.part}: measure it before you decide.")
    if len(readings) == 1 and not readings[0].shown.is_value:
        found.append(
            "One go/no-go reading says on which side of a mark the wear is, no more: a rule or caliper "
            "would say how much."
        )
    for reading, chance in zip(readings, good, strict=True):
        if chance < SLIP:
            found.append(
                f"The reading of {reading.day.isoformat()} ({shown_words(reading.shown, law.unit)}) "
                "contradicts the earlier "
                "ones: a slip, or not the same part. Measure again."
            )
    if law.safety and any(r.shown.is_open for r in readings):
        found.append("A go/no-go reading of a safety part does not show how near the limit is.")
    return tuple(found)
