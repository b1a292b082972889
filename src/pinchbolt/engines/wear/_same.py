"""Whether the part on the bike can be the one on record, by the weight of the readings under either story."""

from collections.abc import Sequence
from datetime import date
from math import exp, log

from pinchbolt.engines.wear._judge import sift
from pinchbolt.engines.wear._refuse_readings import refuse_bad_input
from pinchbolt.engines.wear._wear_words import shown_words
from pinchbolt.engines.wear.wear_types import GaugeReading, RateOfUse, SamePart, WearLaw
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.ahead import chance_words, day_words
from pinchbolt.values.wording import worded

PRIOR_CHANGED = 0.10  # chance that a part was changed in silence between two visits. Assumption.


def same_part(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    use: RateOfUse,
    *,
    prior_changed: float = PRIOR_CHANGED,
    fitted_on: date | None = None,
) -> SamePart:
    """Return the odds that the part last read is the one on record, against a new one fitted since the reading before.

    log odds = log evidence of the last reading under the record - that on a part fitted new somewhere along the stretch
    before it, whose rate is the one known by then, blurred by the spread from part to part.

    Args:
        law: How this kind of part wears. [its own unit]
        readings: Two or more readings, the last one in question. [law's unit]
        use: Use a week. [driver's unit a week]
        prior_changed: Chance of a change that nobody wrote down. [-]
        fitted_on: The day of fitting, where known. [-]

    Returns:
        Odds by the readings, chance with the prior, in words and with reasons. [-]

    Raises:
        InputRefused: Fewer than two readings, or a prior outside 0 to 1.

    Valid for: The other story is a new part. A part swapped for another used one is not tested.

    Example:
        >>> from pinchbolt.engines.wear import GaugeError
        >>> from pinchbolt.values import Interval, Verdict
        >>> law = WearLaw("c", "chain", "elongation", "percent", 0.02, 0.04, 0.5, 0.75, "up", "km", 3000.0, 0.46,
        ...               Verdict.NEXT_VISIT, False, "common practice, no source", noise=120, slow_use=500)
        >>> rule = GaugeError(0.0, 0.03, 0.03)
        >>> seen = [GaugeReading(date(2030, 1, 1), Interval(0.55, 0.55), "caliper", rule, 2200.0, 0.15),
        ...         GaugeReading(date(2030, 4, 1), Interval(0.12, 0.12), "caliper", rule, 3000.0, 0.15)]
        >>> same_part(law, seen, RateOfUse(70.0, 0.5)).odds_same < 0.02
        True

    Source: Comparison by evidence: docs/methods/wear.md.
    """
    if len(readings) < 2:
        raise InputRefused(
            worded(
                "{readings} reading of the {called}: two are needed to ask whether it is the same. "
                "Take one more.",
                readings=len(readings),
                called=law.called,
            )
        )
    if not 0 < prior_changed < 1:
        raise InputRefused(
            worded(
                "chance of a change in silence is {prior_changed:g}: it must lie between 0 and 1. "
                "Write 10 % as 0.10.",
                prior_changed=prior_changed,
            )
        )
    ordered = sorted(readings, key=lambda r: r.day)
    last = ordered[-1]
    refuse_bad_input(law, ordered, use, last.day, None)
    if law.driver == "days":
        use = RateOfUse(7.0, 0.0)
    seen = sift(law, ordered, use, last.day, last.exposure, "told", fitted_on)
    assert seen.log_odds_same is not None  # there are two readings
    return same_from(law, ordered, exp(seen.log_odds_same), prior_changed)


def same_from(
    law: WearLaw, readings: Sequence[GaugeReading], odds: float, prior_changed: float = PRIOR_CHANGED
) -> SamePart:
    """Return the odds of a forecast as an answer, with the chance of a change in silence, words and reasons.

    Args:
        law: How this kind of part wears. [its own unit]
        readings: Two or more readings, oldest first. [law's unit]
        odds: Odds to 1 that the last reading is of the part read before: `Forecast.odds_same`. [-]
        prior_changed: Chance of a change that nobody wrote down. [-]

    Returns:
        Odds by the readings, chance with the prior, in words and with reasons. [-]

    Source: docs/methods/wear.md.
    """
    chance = 1 / (1 + prior_changed / (1 - prior_changed) / odds)
    return SamePart(
        odds, prior_changed, chance, _words(law, odds), _reasons(law, readings, odds, prior_changed, chance)
    )


def _words(law: WearLaw, odds: float) -> str:
    if odds >= 3:
        return worded("The readings fit the {called} on record.", called=law.called)
    if odds > 1 / 3:
        return worded("We cannot tell whether this is the {called} on record.", called=law.called)
    return worded(
        "This looks like another {called} than the one on record. Was it changed elsewhere?",
        called=law.called,
    )


def _how_likely(chance: float) -> str:
    if chance < 0.05:
        return worded("It is another one")
    return worded("It {is_} the one on record", is_=chance_words(chance, "is").replace("may be is", "may be"))


def _reasons(
    law: WearLaw, readings: Sequence[GaugeReading], odds: float, prior: float, chance: float
) -> tuple[Reason, ...]:
    one, two = readings[-2], readings[-1]
    lines = [
        Reason(
            f"{day_words(one.day)}: {shown_words(one.shown, law.unit)}; {day_words(two.day)}: "
            f"{shown_words(two.shown, law.unit)}."
        ),
        Reason(_words(law, odds)),
        Reason(
            worded(
                "{how_likely}: 1 in {prior:.0f} parts is changed elsewhere between two visits.",
                how_likely=_how_likely(chance),
                prior=1 / prior,
            ),
            source="assumption",
        ),
        Reason(
            worded(
                "1 reading in {misread:.0f} is misread, so one alone proves little: ask the owner, "
                "or measure again.",
                misread=1 / law.misread,
            )
        ),
    ]
    return tuple(lines) if abs(log(odds)) < 6 else (*lines[:3],)
