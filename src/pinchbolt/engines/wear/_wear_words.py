"""Reasons and doubts of a forecast, in plain sentences."""

from collections.abc import Sequence
from math import exp, hypot, inf

from pinchbolt.engines.wear._steps import Steps
from pinchbolt.engines.wear.wear_types import GaugeReading, RateOfUse, WearLaw
from pinchbolt.values import Interval, Reason, Spread, Verdict

Z80 = 1.2815515655446004
NOT_NEW = 0.5  # a part less likely new at fitting than this is said to have been used, or another one
LIKE_HUB = 0.2  # chance of being of the other kind from which that is asked
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
    started: tuple[float, float, float],
    doubted: bool,
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
    lines.append(_moved_line(law, readings, way, to_limit, started, doubted))
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


def _moved_line(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    way: Steps,
    to_limit: Spread,
    started: tuple[float, float, float],
    doubted: bool,
) -> Reason:
    now = way.at[-1] if way.at else 0.0
    total = now + to_limit.median
    if not readings:
        words = f"No reading yet: the forecast is what such parts do, from {amount(now, law.driver)} of use."
        return Reason(words if not law.clock else f"In use for {amount(now, law.driver)}.")
    if not way.start_known or started[2] > 1.0 - 1e-9:
        return Reason(
            "The distance of this part is not known: the forecast rests on the readings and on such parts."
        )
    if started[0] < NOT_NEW:
        return Reason(
            "The forecast rests on the readings more than on the distance: a part fitted new seldom reads so at "
            f"{amount(now, law.driver)}."
        )
    if doubted and total <= now:
        return Reason(f"The readings and the use say that this part is done at {amount(now, law.driver)}.")
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


def unknown_before(law: WearLaw, way: Steps, started: tuple[float, float, float]) -> tuple[str, ...]:
    """The doubt of a part whose use since the records began is known, but not what came before."""
    if law.clock or not way.start_known or started[2] < 1.0 - 1e-9:
        return ()
    return (f"How far this {law.part} was used before the records began is not known. Ask the owner.",)


def doubts(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    good: Sequence[float],
    started: tuple[float, float, float],
    like_hub: float,
) -> tuple[str, ...]:
    """What a careful person would add: no reading, a lone go/no-go reading, readings that don't fit each other or the part."""
    found: list[str] = []
    if not readings and not law.clock:
        found.append(f"No reading of this {law.part}: measure it before you decide.")
    if len(readings) == 1 and not readings[0].shown.is_value:
        found.append(
            "One go/no-go reading says on which side of a mark the wear is, no more: a rule or caliper "
            "would say how much."
        )
    if readings and readings[0].exposure is not None and started[0] < NOT_NEW and not law.clock:
        found.append(
            f"A {law.part} fitted new seldom reads so at this distance: it was used before, or it is another one than on "
            "record. Ask the owner."
        )
    for i, (reading, chance) in enumerate(zip(readings, good, strict=True)):
        if chance < SLIP:
            against = (
                "the other readings" if i == 0 and len(readings) > 1 else "the earlier ones" if i else ""
            )
            told = f"The reading of {reading.day.isoformat()} ({shown_words(reading.shown, law.unit)}) "
            found.append(
                f"{told}contradicts {against}: a slip, or not the same part. Measure again."
                if against
                else f"{told}is far from what such a {law.part} shows: a slip, or another part. Measure again."
            )
    if law.safety and any(r.shown.is_open for r in readings):
        found.append("A go/no-go reading of a safety part does not show how near the limit is.")
    if like_hub >= LIKE_HUB:
        found.append(
            f"It wears like a gear-hub {law.part}: is it one? Then it lasts about {law.hub_lives:.0f} times as long, and its "
            "record should say so."
        )
    return tuple(found)
