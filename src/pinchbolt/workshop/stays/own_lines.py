"""Lines by hand: words with minutes or a price; minutes, or the price of the work, of a line of the menu that are others here."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Line
from pinchbolt.values import Verdict
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, line_by_id, terms
from pinchbolt.workshop.acts.money_terms import in_coins
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import number, short
from pinchbolt.workshop.stays._bound import refuse_beyond_bound
from pinchbolt.workshop.stays.line_parts import LinePart, below_the_shelf, checked_part, price_of_parts
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.stays.propose import Proposed, line_again

_MOST_MINUTES = 2000
_MOST_PRICE = 100_000
_ENDS = ("", "front", "rear")


@dataclass(frozen=True, slots=True)
class OwnLineRequest:
    """A line of one's own: words, then minutes or a price with tax, and parts; at which end where it matters."""

    job: int
    words: str
    minutes: int | None = None
    price: Decimal | None = None
    parts: tuple[LinePart, ...] = ()
    place: str = ""
    tax_class: str = "standard"


@dataclass(frozen=True, slots=True)
class MinutesRequest:
    """Minutes of a line that was not asked yet; None: those of the menu again."""

    job: int
    line: int
    minutes: int | None


@dataclass(frozen=True, slots=True)
class WorkPriceRequest:
    """What the work of a line costs that was not asked yet, with tax and without its parts, and why; None: by the menu again."""

    job: int
    line: int
    price: Decimal | None
    reason: str = ""


def own_line(
    request: OwnLineRequest, *, by: int, key: str, now: datetime, told_before: bool = False
) -> Proposed:
    """Put a line of one's own on the estimate. `told_before`: at what an earlier stay was told, as in `propose`.

    Raises:
        InputRefused: No words, neither minutes nor a price, or out of sense.
        NotPossibleNow: The job is closed, or its parts cost less than this person may sell them for.
    """
    with act("proposed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        job = job_by_id(request.job)
        still_open(job)
        words = short(request.words, "words", worded("The line"), 200, needed=True)
        if request.minutes is None and request.price is None and not request.parts:
            sentence = worded("A line needs words and a price, minutes or a part: say one of them.")
            raise InputRefused(sentence, {"minutes": sentence})
        if request.place not in _ENDS:
            sentence = worded(
                'It is done at "{place}": front, rear, or nothing. Choose one.', place=request.place[:20]
            )
            raise InputRefused(sentence, {"place": sentence})
        # A price by hand is one of the line's parts, under the line's own name: its tax and sums are those of any part.
        by_hand = () if request.price is None else (LinePart(words, request.price, 1, request.tax_class),)
        parts = (*by_hand, *request.parts)
        kept = [checked_part(part) for part in parts]
        if not told_before:
            refuse_beyond_bound(this.person, job, below_the_shelf(parts), comes=price_of_parts(parts))
        line = Line.objects.create(
            event=this.write(job=job),
            job=job,
            words=words,
            verdict=Verdict.WATCH,
            parts=kept,
            place=request.place or None,
            count=1,
            own_minutes=_minutes(request.minutes),
        )
        return Proposed(line.pk)


def set_minutes(request: MinutesRequest, *, by: int, key: str, now: datetime) -> Proposed:
    """Set the labour minutes of a line that was not asked yet, in the place of the line as it was.

    Raises:
        InputRefused: Minutes out of sense.
        NotPossibleNow: The line was asked or answered, or is of another job; a line of one's own has no menu to go back to.
    """
    with act("proposed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        old = _unanswered(request.line, request.job)
        if not old.operation and request.minutes is None:
            raise NotPossibleNow(worded('"{words}" is not of the menu: say its minutes.', words=old.words))
        return line_again(this, old, own_minutes=_minutes(request.minutes))


def set_work_price(request: WorkPriceRequest, *, by: int, key: str, now: datetime) -> Proposed:
    """Set what the work of a line costs that was not answered yet, in the place of the line as it was; its minutes stay.

    Raises:
        InputRefused: A price out of sense, or no reason.
        NotPossibleNow: The line was answered, is of another job, or has a price of its own alone; or it is more than this
            person may give away.
    """
    with act("work price set", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        old = _unanswered(request.line, request.job)
        if not old.operation and old.own_minutes is None:
            raise NotPossibleNow(
                worded('"{words}" has a price of its own already: change it at its parts.', words=old.words)
            )
        if request.price is None and old.own_price is None:
            raise NotPossibleNow(worded('"{words}" costs what the menu says already.', words=old.words))
        short(request.reason, "reason", "Why", 120, needed=request.price is not None)
        if request.price is not None and not (
            in_coins(request.price, terms().currency) and 0 <= request.price <= _MOST_PRICE
        ):
            sentence = worded(
                "The work costs {price}: 0 to {most_price}, in coins of {currency}.",
                price=str(request.price)[:20],
                most_price=figure_text(_MOST_PRICE),
                currency=terms().currency,
            )
            raise InputRefused(sentence, {"price": sentence})
        if request.price is not None:
            now_costs = next(line.money.labour for line in estimate(old.job).lines if line.id == old.pk)
            refuse_beyond_bound(this.person, old.job, max(now_costs - request.price, Decimal(0)))
        return line_again(this, old, own_price=request.price)


def _unanswered(number: int, job: int) -> Line:
    line = line_by_id(number)
    still_open(line.job)
    if line.job_id != job:
        raise NotPossibleNow(worded("This line belongs to another job. Reload the page."))
    if line.answers.exists():
        raise NotPossibleNow(
            worded(
                'The owner has answered "{words}", so its price stays. Add another line for the rest.',
                words=line.words,
            )
        )
    return line


def _minutes(minutes: int | None) -> int | None:
    if minutes is None:
        return None
    return int(number(minutes, "minutes", worded("The labour"), 1, _MOST_MINUTES, "min"))
