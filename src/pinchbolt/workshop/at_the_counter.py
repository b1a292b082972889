"""What the owner is told at the counter: one sentence a finding, worst first, without a word of the trade's arithmetic."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from pinchbolt.records.models import Job
from pinchbolt.values import Verdict
from pinchbolt.workshop.find import FindingSeen, findings_of
from pinchbolt.workshop.price import LineSeen, estimate

_PASSED = 0.5
_UNITS = {"km": "km", "h": "hours of riding", "days": "days"}
_CLOSE = {
    Verdict.SOUND: "Nothing to do.",
    Verdict.WATCH: "Nothing to do today.",
    Verdict.NEXT_VISIT: "We would do it at the next visit.",
    Verdict.BEFORE_IT_LEAVES: "We want to do it before the bike leaves.",
    Verdict.UNSAFE: "Please do not ride it like this.",
}


@dataclass(frozen=True, slots=True)
class Told:
    """One finding in the owner's words; `price` with tax where it is on the estimate, `answer` as given so far.

    `sure` is False where the finding carries a doubt: then the mechanic explains, or reads once more.
    """

    finding: FindingSeen
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
class CounterSeen:
    """All that is told at the counter: what wants doing, what else is asked for, what is sound, what it comes to."""

    job: int
    told: tuple[Told, ...]
    other_work: tuple[OtherWork, ...]
    sound: tuple[str, ...]
    total: Decimal | None
    currency: str


def at_the_counter(job: Job, now: datetime) -> CounterSeen:
    """What is said to the owner of each finding, one sentence each, worst first, with its price."""
    seen = estimate(job)
    found = findings_of(job)
    told = tuple(
        _told(one, [line for line in seen.lines if line.finding == one.id])
        for one in found
        if one.rank > Verdict.SOUND.rank
    )
    sound = tuple(dict.fromkeys(one.part_words for one in found if one.rank == Verdict.SOUND.rank))
    in_told = {line.id for one in told for line in seen.lines if line.finding == one.finding.id}
    worse = {one.finding.part_words for one in told}
    return CounterSeen(
        job=job.pk,
        told=told,
        other_work=tuple(
            OtherWork(line.words, line.money.total, line.answer)
            for line in seen.lines
            if line.id not in in_told
        ),
        sound=tuple(words for words in sound if words not in worse),
        total=seen.priced.total if seen.lines else None,
        currency=seen.priced.currency,
    )


def _told(found: FindingSeen, lines: list[LineSeen]) -> Told:
    return Told(
        finding=found,
        sentence=owner_sentence(found),
        sure=not found.doubts,
        work=tuple(line.words for line in lines),
        price=sum((line.money.total for line in lines), Decimal(0)) if lines else None,
        answer=", ".join(dict.fromkeys(line.answer for line in lines if line.answer)),
    )


def owner_sentence(found: FindingSeen) -> str:
    """Return a finding as it is said to the owner: how long it lasts by the low and the high end, and what we want."""
    close = _CLOSE[Verdict(found.verdict)]
    if found.forecast:
        return f"{_lasts(found, found.forecast)} {_again(found, found.forecast) or close}"
    if not found.limit:
        return f"{_big(found.words.strip().rstrip('.'))}. {close}"
    seen = (
        f"we looked for {found.quantity} and found it"
        if found.shown == "yes"
        else f"{found.quantity}: {found.shown}"
    )
    return f"{_big(found.part_words)}: {seen}. {close}"


def _lasts(found: FindingSeen, forecast: dict[str, Any]) -> str:
    name, unit, left = _big(found.part_words), _UNITS[forecast["law"]["driver"]], forecast["to_limit"]["wide"]
    first = forecast["day_at_limit"]["wide"][0]
    low, high = _about(left["low"]), _about(left["high"])
    if forecast["chance_past_limit"] > _PASSED:
        return f"{name}: worn past the limit."
    if low == "0":
        most = f", or last {high} {unit} more at most" if high else ""
        return f"{name}: may be at the limit already{most}."
    until = f", until about {_day(first)} at the earliest" if first and unit == "km" else ""
    if found.safety or not high:
        # Of a safety part only the cautious end is promised.
        return f"{name}: good for {low} {unit} more that we would vouch for{until}."
    span = f"about {low}" if low == high else f"{low} to {high}"
    return f"{name}: good for {span} {unit} more{until}."


def _again(found: FindingSeen, forecast: dict[str, Any]) -> str:
    """By when, where the forecast says it: the work of a next visit, or another look."""
    day, first = forecast["next_check_day"], forecast["day_at_limit"]["wide"][0]
    if found.verdict == Verdict.NEXT_VISIT and first and date.fromisoformat(first) > found.day:
        return "Have it done by then."
    if not day or found.verdict != Verdict.WATCH:
        return ""
    if date.fromisoformat(day) <= found.day:
        return "Nothing to do yet, but we want one more reading, with another instrument, before it leaves."
    return f"Nothing to do today; let us look again by {_day(day)}."


def _about(figure: float | None) -> str:
    """A figure as people say it, two digits that count; nothing for no end."""
    if figure is None:
        return ""
    if figure < 10:
        return f"{max(0.0, figure):.0f}"
    return f"{round(figure, 2 - len(f'{figure:.0f}')):,.0f}"


def _day(said: str) -> str:
    day = date.fromisoformat(said)
    return f"{day.day} {day:%B %Y}"


def _big(words: str) -> str:
    return words[:1].upper() + words[1:]
