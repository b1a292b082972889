"""What the owner is told at the counter: one sentence a finding, worst first, without a word of the trade's arithmetic."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.records.models import Job
from pinchbolt.values import Verdict
from pinchbolt.values.about import about
from pinchbolt.values.wording import worded
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of
from pinchbolt.workshop.stays.price import LineView, estimate
from pinchbolt.workshop.stays.what_next import what_next
from pinchbolt.workshop.wear.kept_forecast import KeptForecast

_WORN_OUT = 0.8
"""From this chance on that it is past its limit a part is told as worn out; under it, as at its limit."""
_UNITS = {"km": "km", "h": worded("hours of riding"), "days": "days"}


@dataclass(frozen=True, slots=True)
class OwnerSentence:
    """One finding in the owner's words; `price` with tax where it is on the estimate, `answer` as given so far.

    `sure` is False where the finding carries a doubt: then the mechanic explains, or reads once more.
    """

    finding: FindingView
    sentence: str
    sure: bool
    work: tuple[str, ...]
    price: Decimal | None
    answer: str


@dataclass(frozen=True, slots=True)
class OtherWork:
    """Work on the estimate that answers none of the findings told: the owner's wish; price with tax."""

    words: str
    price: Decimal
    answer: str


@dataclass(frozen=True, slots=True)
class CounterView:
    """All that is told at the counter: what wants doing, what else is asked for, what is sound, what it comes to."""

    job: int
    told: tuple[OwnerSentence, ...]
    other_work: tuple[OtherWork, ...]
    sound: tuple[str, ...]
    total: Decimal | None
    currency: str


def at_the_counter(job: Job, now: datetime) -> CounterView:
    """What is said to the owner of each finding, one sentence each, worst first, with its price."""
    seen = estimate(job)
    found = findings_of(job)
    told = tuple(
        _told(one, [line for line in seen.lines if line.finding == one.id])
        for one in found
        if one.rank > Verdict.SOUND.rank
    )
    worse = {one.finding.part for one in told}
    sound = [one for one in found if one.rank == Verdict.SOUND.rank and one.part not in worse]
    in_told = {line.id for one in told for line in seen.lines if line.finding == one.finding.id}
    return CounterView(
        job=job.pk,
        told=told,
        other_work=tuple(
            OtherWork(line.words, line.money.total, line.answer)
            for line in seen.lines
            if line.id not in in_told
        ),
        sound=tuple(dict.fromkeys(one.part_words for one in sound)),
        total=seen.priced.total if seen.lines else None,
        currency=seen.priced.currency,
    )


def _told(found: FindingView, lines: list[LineView]) -> OwnerSentence:
    return OwnerSentence(
        finding=found,
        sentence=owner_sentence(found),
        sure=not found.doubts,
        work=tuple(line.words for line in lines),
        price=sum((line.money.total for line in lines), Decimal(0)) if lines else None,
        answer=", ".join(dict.fromkeys(line.answer for line in lines if line.answer)),
    )


def owner_sentence(found: FindingView) -> str:
    """Return a finding as it is said to the owner: how long it lasts by its ends, and what we want, with one day at most."""
    wanted = what_next(found).words
    if found.forecast:
        return f"{_lasts(found, found.forecast)}. {_big(wanted)}."
    if not found.limit:
        return f"{_big(found.words.strip().rstrip('.'))}. {_big(wanted)}."
    if found.shown == "yes":
        several = ", " in found.quantity or " or " in found.quantity
        seen = worded(
            "we found {several}: {quantity}",
            several="one of these" if several else worded("this"),
            quantity=found.quantity,
        )
    elif found.shown == "no":
        seen = worded("it does not do this: {quantity}", quantity=found.quantity)
    else:
        seen = f"{found.quantity}: {found.shown}"
    return f"{_big(found.part_words)}: {seen}. {_big(wanted)}."


def _lasts(found: FindingView, forecast: KeptForecast) -> str:
    name, unit, left = _big(found.part_words), _UNITS[forecast.law.driver], forecast.to_limit.wide
    if forecast.chance_past_limit >= _WORN_OUT:
        return worded("{name}: worn out", name=name)
    if forecast.is_past:
        return worded("{name}: at its limit, or just past it", name=name)
    if forecast.shows_limit:
        return worded("{name}: our gauge shows its limit already", name=name)
    low, high = about(max(0.0, left.low)), about(left.high)
    no_end = high == "any"
    if low == "0":
        most = "" if no_end else worded(", or may last another {high} {unit}", high=high, unit=unit)
        return worded("{name}: may be worn out already{most}", name=name, most=most)
    if found.safety or no_end:
        # Of a safety part only the cautious end is promised.
        return worded(
            "{name}: we would not trust it for more than {low} {unit}", name=name, low=low, unit=unit
        )
    return worded(
        "{name}: should last {low} {unit} more",
        name=name,
        low=worded("about {low}", low=low) if low == high else worded("{low} to {high}", low=low, high=high),
        unit=unit,
    )


def _big(words: str) -> str:
    return words[:1].upper() + words[1:]
