"""Askings: what the owner was asked, numbered and frozen with every price; an answer is to one of them.

An asking is the event "priced". It holds the money of each line as it was told, and everything later reads that.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db.models import QuerySet

from pinchbolt.engines.estimate import LinePriced
from pinchbolt.records.models import Answer, Event, Job
from pinchbolt.records.prepared import prepared
from pinchbolt.values import JsonRead
from pinchbolt.values.money import smallest_coin
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.common.from_plain import from_plain

_TAX_THEN = re.compile(r"Tax of ([\d.]+) (?:percent|%) is inside every price")


@dataclass(frozen=True, slots=True)
class Asking:
    """One numbered question to the owner. `holds_until` is the last day of its prices, None where none was said."""

    number: int
    event: int
    at: datetime
    by: str
    holds_until: date | None
    currency: str
    lines: Mapping[int, LinePriced]

    def holds_on(self, day: date) -> bool:
        """Whether its prices stand on a day."""
        return self.holds_until is None or day <= self.holds_until


@dataclass(frozen=True, slots=True)
class Told:
    """The price of a line as the owner was told it, and in which asking."""

    asking: Asking
    money: LinePriced


@once_a_look
def askings_of(job: Job) -> tuple[Asking, ...]:
    """Return the askings of a job, the first first."""
    return tuple(_asking(event, number) for number, event in enumerate(_asked(job.pk), start=1))


@prepared
def _asked(job: int) -> QuerySet[Event]:
    rows = Event.objects.filter(job=job, kind="priced", corrected_by__isnull=True)
    return rows.select_related("by").order_by("pk")


def told_prices(askings: Sequence[Asking], answers: Mapping[int, Answer]) -> dict[int, Told]:
    """Return the standing price of each line: of the asking in which it was agreed, else of the newest that has it."""
    told = {line: Told(one, money) for one in askings for line, money in one.lines.items()}
    for line, said in answers.items():
        before = [one for one in askings if line in one.lines and _is_of(said, one)]
        if said.agreed and before:
            told[line] = Told(before[-1], before[-1].lines[line])
    return told


def _is_of(said: Answer, asking: Asking) -> bool:
    """Whether an answer is to this asking; an answer of before askings had numbers is to any before it."""
    return asking.event < said.event_id if said.asking is None else asking.number == said.asking


def _asking(event: Event, number: int) -> Asking:
    kept: JsonRead = event.said["estimate"]
    until = event.said.get("holds_until")
    currency = str(kept["currency"])
    # Askings of before this had no amounts by rate; the rate stands in their words.
    words = " ".join(str(reason.get("words", "")) for reason in kept.get("reasons", ()))
    then = _TAX_THEN.search(words)
    rate = Decimal(then[1].rstrip(".")) if then else None
    return Asking(
        number=int(event.said.get("number", number)),
        event=event.pk,
        at=event.at,
        by=event.by.name,
        holds_until=date.fromisoformat(until) if until else None,
        currency=currency,
        lines={int(line["id"]): _line(line, currency, rate) for line in kept["lines"]},
    )


def _line(kept: JsonRead, currency: str, rate: Decimal | None) -> LinePriced:
    """A line as it was told; one of before has its total alone, all of it at the one rate."""
    then: dict[str, object] = {}
    if "amounts" not in kept:
        then = {"price": kept["total"], "saved": str(0 * smallest_coin(currency))}
        then["amounts"] = [{"rate": None if rate is None else str(rate), "gross": kept["total"]}]
    return from_plain(LinePriced, {**kept, **then})
