"""What leaving a finding until the next visit is expected to cost, with this bike's prices and rate of use.

The next visit is the day that was agreed with the owner, else the usual time until bikes come again.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Protocol

from pinchbolt.engines.build import Build, PartOn, price_of
from pinchbolt.engines.wear import (
    CostOfWaiting,
    Forecast,
    cost_of_waiting,
    cost_of_waiting_both,
    cost_of_waiting_cassette,
    cost_of_waiting_pads,
    cost_of_waiting_plain,
)
from pinchbolt.errors import Unknown
from pinchbolt.records.models import Bike, Finding, Part
from pinchbolt.values import Verdict
from pinchbolt.values.about import about
from pinchbolt.values.ahead import day_words
from pinchbolt.values.money import whole_money_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import guess_of_shop, terms
from pinchbolt.workshop.acts.money_terms import labour_on_day
from pinchbolt.workshop.bikes.build_sheet import build_of, kind_row
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.rides.exposure import week_of
from pinchbolt.workshop.wear.change_point_of_bike import rings_price
from pinchbolt.workshop.wear.part_wear import forecast_of, wear_law

# The middle is said where it is more than this share of its interval's width.
_SMALL = 5


class HasPrice(Protocol):
    """A part with a price, and how many of it."""

    @property
    def name(self) -> str:
        """What it is."""

    @property
    def each(self) -> Decimal:
        """Price of one."""

    @property
    def count(self) -> int:
        """How many."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """Expected extra cost of leaving it (below 0: leaving saves; None: not known, or it may not wait), and why.

    The first sentence says it whole: what it is likely to cost, whether it is allowed to wait, and what is cheapest.
    """

    cost: Decimal | None
    reasons: tuple[str, ...]


_NOT_KNOWN = Waiting(None, (worded("Allowed to wait: yes. What waiting costs is not known."),))


@dataclass(frozen=True, slots=True)
class _Until:
    """The next visit: its day, how far the bike goes until then [km], and how it is told."""

    day: date
    km: float
    words: str


def waiting_for(
    finding: Finding,
    operation: str,
    parts: Sequence[HasPrice],
    bike: Bike,
    today: date,
    visit: date | None = None,
) -> Waiting:
    """Return what leaving this finding until the next visit costs; no money where it may not wait.

    `visit` is the day that was agreed; one that does not lie ahead, or None, stands for the usual time.
    """
    if Verdict(finding.verdict).rank >= Verdict.BEFORE_IT_LEAVES.rank:
        return Waiting(None, (worded("Allowed to wait: no. It is put right before the bike leaves."),))
    limit = tables().limits.get(finding.limit)
    law = wear_law(limit, bike, None) if limit else None
    own = sum((part.each * part.count for part in parts), Decimal(0)) + _fitting(operation, today)
    if limit is None or law is None or finding.part is None or not parts or own <= 0:
        return _NOT_KNOWN
    forecast, until = forecast_of(finding.part, limit, law, bike, today), _next_visit(bike, today, visit)
    found = _of_part(forecast, finding.part, operation, own, bike, until.km)
    if found is None:
        return _NOT_KNOWN
    cost, because = found
    short = _does_not_last(forecast, cost, until)
    # What the engine says besides the sum is kept: that a cassette is gone already, that a part has not failed yet.
    besides = (cost.words,) if cost.says_more else ()
    said = short or _said(forecast, cost, because, until)
    reasons = (said, *besides, *(reason.words for reason in cost.reasons))
    return Waiting(None if short else cost.expected, reasons)


def waiting_for_both(
    finding: Finding, own: Decimal, other: Decimal, bike: Bike, today: date, visit: date | None = None
) -> tuple[str, ...] | None:
    """Return in one sentence what leaving a part and what it runs on costs, where both are to be changed; then its reasons.

    `own` and `other` are the prices of both, fitting included. None where nobody knows.
    """
    limit = tables().limits.get(finding.limit)
    law = wear_law(limit, bike, None) if limit else None
    if limit is None or law is None or finding.part is None or own <= 0 or other <= 0:
        return None
    until = _next_visit(bike, today, visit)
    forecast = forecast_of(finding.part, limit, law, bike, today)
    kind = kind_row(finding.part.kind)
    both = worded(
        "{id} and {wears} together.", id=kind.id.capitalize(), wears=worded(" and ").join(kind.wears)
    )
    alone = cost_of_waiting(forecast, chain_price=own, cassette_price=other, until_next_km=until.km)
    short = _does_not_last(forecast, alone, until)
    if short:
        return (f"{both} {short}",)
    try:
        cost = cost_of_waiting_both(
            forecast,
            chain_price=own,
            cassette_price=other,
            until_next_km=until.km,
            rings_price=rings_price(bike),
        )
    except Unknown as unknown:
        return (worded("{both} Allowed to wait: yes. {sentence}", both=both, sentence=unknown.sentence),)
    return (
        f"{both} {_said(forecast, cost, '', until)}",
        cost.words,
        *(reason.words for reason in cost.reasons),
    )


def _fitting(operation: str, today: date) -> Decimal:
    """The labour of fitting it, by the usual minutes."""
    row = tables().operations.get(operation)
    return labour_on_day(today) * (row.minutes[1] if row is not None else 0) / 60


def _does_not_last(forecast: Forecast, cost: CostOfWaiting, until: _Until) -> str:
    """Why it can't be left so long, where it is likelier than not past what it must not be run beyond; else ""."""
    limit, law = forecast.day_at_limit.median, forecast.law
    must = law.safety or law.at_limit.rank > Verdict.NEXT_VISIT.rank
    if must and limit is not None and limit <= until.day:
        why = worded("it is probably past its limit before that, about {limit}", limit=day_words(limit))
    elif not cost.lasts:
        why = worded("it is probably worn out and jumps before that")
    else:
        return ""
    return worded(
        "{words}: {why}. Allowed to wait: not so long. Cheapest: now, or an earlier visit.",
        words=until.words,
        why=why,
    )


def _said(forecast: Forecast, cost: CostOfWaiting, because: str, until: _Until) -> str:
    """The one sentence: about the same where the middle is small beside its interval, to the next 5, two answers apart."""
    width = cost.high - cost.low
    if abs(cost.expected) * _SMALL <= width or not _guess(cost.expected):
        money, cheapest = worded("about the same either way"), "either"
    else:
        dearer = cost.expected > 0
        money = worded(
            "probably about {more}{because}", more=_more(cost.expected), because=because if dearer else ""
        )
        cheapest = "now" if dearer else "later"
    ends = dict.fromkeys((_more(cost.low), _more(cost.high))) if width else {}
    spread = worded("; likely {ends}", ends=worded(" to ").join(ends)) if ends else ""
    look = forecast.next_check_day
    # A safety part is looked at again before it may be past its limit (one chance in twenty).
    seen = (
        worded(", if we look at it by {look}", look=day_words(look))
        if forecast.law.safety and look and look < until.day
        else ""
    )
    return worded(
        "{words}: {money}{spread}. Allowed to wait: yes{seen}. Cheapest: {cheapest}.",
        words=until.words,
        money=money,
        spread=spread,
        seen=seen,
        cheapest=cheapest,
    )


def _more(amount: Decimal) -> str:
    whole = _guess(amount)
    return f"{whole} {'dearer' if amount >= 0 else 'cheaper'}" if whole else worded("the same")


def _guess(amount: Decimal) -> str:
    return guess_of_shop(abs(amount))


def _of_part(
    forecast: Forecast, part: Part, operation: str, own: Decimal, bike: Bike, km: float
) -> tuple[CostOfWaiting, str] | None:
    """What waiting costs by what a worn part does to others, and why: a chain wears what it runs on, pads ruin what they rub on.

    None where the price of what would be ruined is not known: that is no reason to call it free.
    """
    build = build_of(bike)
    kind, shop = kind_row(part.kind), terms()
    on = build.part(part.pk)
    replaces = {
        name for row in tables().proposals.values() if row.operation == operation for name in row.replaces
    }
    if not replaces.isdisjoint(kind.wears):
        together = worded(
            ", {id} and {wears} being changed together", id=kind.id, wears=worded(" and ").join(kind.wears)
        )
        return cost_of_waiting_cassette(forecast, cassette_price=own, until_next_km=km), together
    worn, ruined = _dearest(kind.wears, build), _dearest(kind.ruins, build, on)
    if worn is not None:
        cost = cost_of_waiting(
            forecast, chain_price=own, cassette_price=worn, until_next_km=km, currency=shop.currency
        )
        takes = whole_money_text(worn, shop.currency, shop.country)
        return cost, worded(
            ", because it can take the {takes} {wears} with it",
            takes=takes,
            wears=worded(" and ").join(kind.wears),
        )
    if ruined is not None:
        cost = cost_of_waiting_pads(
            forecast,
            pad_price=own,
            rotor_price=ruined,
            until_next_km=km,
            currency=shop.currency,
            ruins=" or ".join(kind.ruins),
        )
        takes = whole_money_text(ruined, shop.currency, shop.country)
        return cost, worded(
            ", because it can take the {takes} {ruins} with it", takes=takes, ruins=" or ".join(kind.ruins)
        )
    return None if kind.ruins else (cost_of_waiting_plain(kind.id), "")


def _dearest(kinds: Sequence[str], build: Build, on: PartOn | None = None) -> Decimal | None:
    """The shelf price of what this bike has of these kinds, the dearest; None where it has none or no price is known."""
    side = on.side if on is not None else ""
    rows = [price_of(build, part.kind.id, part)[0] for kind in kinds for part in build.of_kind(kind, side)]
    return max((row.price for row in rows if row is not None), default=None)


def _next_visit(bike: Bike, today: date, visit: date | None) -> _Until:
    """The visit that was agreed, where its day lies ahead; else the usual time until bikes come again."""
    agreed = visit is not None and visit > today
    day = visit if visit is not None and agreed else today + timedelta(days=terms().visit_every_days)
    days = (day - today).days
    km = week_of(bike, today).median_km * days / 7
    told = (
        worded(
            "visit agreed for {day:%d %b %Y} ({days} day{s}", day=day, days=days, s="s" if days > 1 else ""
        )
        if agreed
        else worded("next visit (about {days} days", days=days)
    )
    return _Until(day, km, worded("Left until the {told}, {km} km)", told=told, km=about(km)))
