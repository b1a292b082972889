"""Reasons and doubts of a forecast, in plain sentences."""

from collections.abc import Sequence
from math import exp, hypot, inf

from pinchbolt.engines.wear._steps import Steps
from pinchbolt.engines.wear.wear_types import GaugeReading, RateOfUse, WearLaw
from pinchbolt.values import Interval, Reason, Spread, Verdict
from pinchbolt.values.about import about, unit_words, worn
from pinchbolt.values.ahead import chance_words, likely_words, use_words
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

_HALF, _RISK, _FLAT = 0.5, 0.05, 0.01
Z80 = 1.2815515655446004
NOT_NEW = 0.5  # a part less likely new at fitting than this is said to have been used, or another one
LIKE_HUB = 0.2  # chance of being of the other kind from which that is asked
SLIP = 0.5  # a reading less likely good than this is named as a contradiction


def amount(value: float, unit: str = "") -> str:
    """A number to about three figures, with a unit and a comma in the thousands."""
    if abs(value) >= 1000:
        text = f"{figure_text(round(value, -1), 0)}" if abs(value) < 1e5 else f"{figure_text(value, 0)}"
    elif abs(value) >= 100:
        text = f"{value:.0f}"
    else:
        text = f"{value:.3g}"
    return f"{text} {unit_words(unit)}".strip()


def _about(value: float, unit: str) -> str:
    """A likely figure with the two digits that count."""
    return (
        worded("about {value} {unit}", value=about(value), unit=use_words(unit))
        if unit in ("km", "h", "days")
        else worded("about {amount}", amount=amount(value, unit))
    )


def _day(reading: GaugeReading) -> str:
    return f"{reading.day.day} {reading.day:%b %Y}"


def _sure_words(ends: Interval, unit: str) -> str:
    """Ends of a doubt, no finer than the gauge: two decimals for small figures."""
    low, high = (max(0.0, end) for end in (ends.low, ends.high))
    if ends.low == -inf:
        return worded("under {high} {unit}", high=worn(high), unit=unit_words(unit))
    if ends.high == inf:
        return worded("{low} {unit} or more", low=worn(low), unit=unit_words(unit))
    return worded("{low} to {high} {unit}", low=worn(low), high=worn(high), unit=unit_words(unit))


def shown_words(shown: Interval, unit: str) -> str:
    """What the gauge showed, as said at the bench."""
    if shown.is_value:
        return amount(shown.low, unit)
    if shown.low == -inf:
        return worded("below {amount}", amount=amount(shown.high, unit))
    if shown.high == inf:
        return worded("{amount} or more", amount=amount(shown.low, unit))
    return worded(
        "between {amount} and {shown_amount}", amount=amount(shown.low), shown_amount=amount(shown.high, unit)
    )


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
                worded(
                    "Before measuring: parts like this usually last {about} ({low})",
                    about=_about(law.median_life, law.driver),
                    low=likely_words(max(before.low, 0.0), before.high),
                )
                + (worded(", {use_class} use.", use_class=law.use_class) if law.use_class else "."),
                law.prior_row,
                law.prior_source,
            )
        )
    lines += [_reading_line(law, reading) for reading in readings]
    if law.driver != "days":
        fast = exp(Z80 * use.log_sd)
        lines.append(
            Reason(
                worded(
                    "Ridden {about} a week ({median_a_week}).",
                    about=_about(use.median_a_week, law.driver),
                    median_a_week=likely_words(use.median_a_week / fast, use.median_a_week * fast),
                )
            )
        )
    lines.append(_moved_line(law, readings, way, to_limit, started, doubted))
    lines.append(_verdict_line(law, verdict, past, bool(readings)))
    return tuple(lines)


def _limit_line(law: WearLaw) -> Reason:
    by = {
        "table": worded("trade table"),
        "marking": worded("marked on the part"),
        "policy": worded("the workshop's choice"),
    }
    return Reason(
        worded(
            "Limit {limit} ({by}); watch from {warn}; new about {new}.",
            limit=amount(law.limit, law.unit),
            by=by[law.limit_by],
            warn=amount(law.warn, law.unit),
            new=amount(law.new, law.unit),
        ),
        law.id,
        law.source,
    )


def _reading_line(law: WearLaw, reading: GaugeReading) -> Reason:
    true = after_known_error(reading)
    at = worded("distance not known") if reading.exposure is None else amount(reading.exposure, law.driver)
    if law.driver == "days" and reading.exposure is None:
        at = worded("age not known")
    error = (
        ""
        if true.low == true.high
        else worded("; allowing for its error, likely {true}", true=_sure_words(true, law.unit))
    )
    return Reason(
        worded(
            "{day}, {at}: {instrument} showed {shown}{error}.",
            day=_day(reading),
            at=at,
            instrument=reading.instrument,
            shown=shown_words(reading.shown, law.unit),
            error=error,
        )
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
        words = worded(
            "No reading yet: we go by what such parts do, from {amount} of use.",
            amount=amount(now, law.driver),
        )
        return Reason(
            words if not law.clock else worded("In use for {amount}.", amount=amount(now, law.driver))
        )
    if not way.start_known or started[2] > 1.0 - 1e-9:
        return Reason(worded("Its distance is not known: we go by the readings and by what such parts do."))
    if started[0] < NOT_NEW:
        return Reason(
            worded(
                "We go by the readings more than by the distance: a new part seldom reads so at {amount}.",
                amount=amount(now, law.driver),
            )
        )
    if doubted and total <= now:
        return Reason(
            worded(
                "By the readings and the use this part is done at {amount}.", amount=amount(now, law.driver)
            )
        )
    share = total / law.median_life - 1
    if abs(share) < 0.05:
        return Reason(worded("It wears like most: limit at {about} in all.", about=_about(total, law.driver)))
    times = total / law.median_life
    if 1.8 < times < 2.2:
        return Reason(
            worded(
                "This one lasts about twice as long as most: limit at {about} in all.",
                about=_about(total, law.driver),
            )
        )
    return Reason(
        worded(
            "This one lasts {like} than most: limit at {about} in all, usually {law_about}.",
            like=worded("shorter") if share < 0 else worded("longer"),
            about=_about(total, law.driver),
            law_about=_about(law.median_life, law.driver),
        )
    )


def _verdict_line(law: WearLaw, verdict: Verdict, past: float, measured: bool) -> Reason:
    told = (
        worded("is {past}", past=chance_words(past, worded("past its limit now")))
        if past >= _HALF
        else inside_words(past)
    )
    words = worded("{value}: it {told}", value=verdict.value.capitalize(), told=told)
    if law.safety:
        words += worded("; for a safety part we act at a 1 in 20 risk")
    if not measured and not law.clock:
        words += worded("; nobody has measured it, so measure it first")
    return Reason(words + ".")


def inside_words(past: float) -> str:
    """How likely it is that a part is past its limit, where it more likely is not."""
    if past >= _RISK:
        return worded("may be past its limit now")
    # Said flat only where nothing hangs on the doubt: a safety part's three in a hundred is a doubt.
    return (
        worded("is inside its limit now")
        if past < _FLAT
        else worded("is almost certainly inside its limit now")
    )


def unknown_before(law: WearLaw, way: Steps, started: tuple[float, float, float]) -> tuple[str, ...]:
    """The doubt of a part whose use since the records began is known, but not what came before."""
    if law.clock or not way.start_known or started[2] < 1.0 - 1e-9:
        return ()
    return (
        worded(
            "We do not know how far this {called} was ridden before our records. Ask the owner.",
            called=law.called,
        ),
    )


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
        found.append(worded("No reading yet: measure it before you decide."))
    if len(readings) == 1 and not readings[0].shown.is_value:
        found.append(worded("This gauge only says over or under. A rule or caliper would say how much."))
    if readings and readings[0].exposure is not None and started[0] < NOT_NEW and not law.clock:
        found.append(
            worded(
                "A new {called} seldom reads so at this distance. Was it used before, or changed "
                "elsewhere? Ask the owner.",
                called=law.called,
            )
        )
    for reading, chance in zip(readings, good, strict=True):
        if chance < SLIP:
            told = worded(
                "The reading of {day} ({shown}) does not fit ",
                day=_day(reading),
                shown=shown_words(reading.shown, law.unit),
            )
            against = (
                worded("the others")
                if len(readings) > 1
                else worded("what such a {called} shows", called=law.called)
            )
            found.append(
                worded(
                    "{told}{against}. Misread, or another {called}? Measure again.",
                    told=told,
                    against=against,
                    called=law.called,
                )
            )
    if law.safety and any(r.shown.is_open for r in readings):
        found.append(worded("This gauge cannot show how near the limit is: measure it."))
    if like_hub >= LIKE_HUB:
        found.append(
            worded(
                "It wears like a {called} of a hub gear. Is it one? Then it lasts about "
                "{hub_lives:.0f} times as long: put it on the build sheet.",
                called=law.called,
                hub_lives=law.hub_lives,
            )
        )
    return tuple(found)
