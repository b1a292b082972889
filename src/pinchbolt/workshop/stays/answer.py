"""The owner's word, line by line: to the asking in which its price was told, by whom and how."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from pinchbolt.engines.estimate import add_up
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Answer, Job, Line
from pinchbolt.values import Verdict
from pinchbolt.values.wording import as_kept, coded, worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, money_of_shop, terms
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.owners.change_owner import limit_without_a_call
from pinchbolt.workshop.parts.lines_taken_up import taken_up
from pinchbolt.workshop.stays._asking import Told, askings_of, told_prices
from pinchbolt.workshop.stays.price import BesideView, EstimateView, estimate
from pinchbolt.workshop.stays.say_limit import limit_of, limit_said_on
from pinchbolt.workshop.stays.standing import Standing, open_lines, standing_of

# Kept in the records as they stand here; a page says them in its language.
WITHIN_LIMIT, AGREED_BEFORE = as_kept("within the limit agreed"), as_kept("as agreed at the stay before")
_BY_WORD = ("at the counter", "by phone", "by text", "by e-mail", "by letter")
HOW = (*_BY_WORD, WITHIN_LIMIT)


@dataclass(frozen=True, slots=True)
class AnswerRequest:
    """Per line (its id) True for agreed, False for declined; how it was given, and who said it where not the owner.

    `up_to` is an answer to the whole ("up to 120, you choose"): without `answers`, the worst lines are agreed as far as
    their high figures stay within it, and the rest is declined.
    """

    job: int
    answers: Mapping[int, bool]
    how: str = "at the counter"
    words: str = ""
    said_by: str = ""
    up_to: Decimal | None = None


def answer(request: AnswerRequest, *, by: int, key: str, now: datetime) -> EstimateView:
    """Write the owner's answers down; a later answer to the same line corrects the earlier one.

    Raises:
        InputRefused: No answers, an unknown line, an unknown way of answering, or over the limit that it names.
        NotPossibleNow: A line was not asked, its price ran out, it is done already, or the job is closed.
    """
    with act("answered", by=by, key=key, now=now, request=request, private=("words", "said_by")) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return estimate(job)
        if not still_open(job).priced:
            raise NotPossibleNow(worded('Tap "ask the owner" first.'))
        lines, stand = {line.pk: line for line in open_lines(job)}, standing_of(job)
        before = stand.answers
        told = told_prices(askings_of(job), before)
        request = replace(request, how=_how_as_chosen(request.how))
        said = _chosen(request, lines, told, before)
        _refuse_unsound(request, said, lines)
        for line, yes in said.items():
            _refuse_line(lines[line], yes, told, stand, local_day(now))
        if request.how == WITHIN_LIMIT:
            _refuse_over_limit(limit_of(job), stand, said, told, estimate(job, local_day(now)).beside)
        this.said = {**answer_as_said(request, said), "all_answered": set(lines) <= set(before) | set(said)}
        this.write(job=job)
        for line, agreed in said.items():
            old, asked = before.get(line), told[line]
            kept = {
                "line": line,
                "agreed": agreed,
                "asking": asked.asking.number,
                "total": str(asked.money.total),
            }
            Answer.objects.create(
                event=this.also(
                    "line answered", str(line), job=job, corrects=old.event if old else None, said=kept
                ),
                line=lines[line],
                agreed=agreed,
                how=limit_words(job) if request.how == WITHIN_LIMIT else request.how,
                words=short(request.words, "words", worded("What the owner said"), 200),
                asking=asked.asking.number,
                said_by=short(request.said_by, "said_by", worded("Who said it"), 120) or None,
            )
        return estimate(job, local_day(now))


def limit_words(job: Job) -> str:
    """Return how an answer within the limit is told: which limit that was, of the check-in or of a later day."""
    day = limit_said_on(job)
    return (
        worded("{within_limit} at check-in", within_limit=coded(WITHIN_LIMIT))
        if day is None
        else worded(
            "{within_limit} on {day} {month:%b %Y}", within_limit=coded(WITHIN_LIMIT), day=day.day, month=day
        )
    )


def _how_as_chosen(how: str) -> str:
    """A page that was open before may still send the words of then."""
    return WITHIN_LIMIT if how == f"{WITHIN_LIMIT} at check-in" else how


def answer_as_said(request: AnswerRequest, said: Mapping[int, bool]) -> dict[str, object]:
    """Return what is kept of the request: lines and how, not the owner's words (they stay with the answers)."""
    kept: dict[str, object] = {
        "job": request.job,
        "answers": {str(line): agreed for line, agreed in said.items()},
        "how": request.how,
    }
    return kept if request.up_to is None else {**kept, "up_to": str(request.up_to)}


def _chosen(
    request: AnswerRequest, lines: Mapping[int, Line], told: Mapping[int, Told], before: Mapping[int, Answer]
) -> Mapping[int, bool]:
    """The answers as given; or, where the owner named a sum for the whole, the worst lines that it pays for."""
    if request.up_to is None or request.answers:
        return request.answers
    limit_without_a_call(request.up_to)
    left = request.up_to - sum(
        (told[line].money.high_total for line in before if before[line].agreed), Decimal(0)
    )
    said: dict[int, bool] = {}
    waiting = [line for line in lines.values() if line.pk in told and line.pk not in before]
    for line in sorted(waiting, key=lambda one: (-Verdict(one.verdict).rank, one.pk)):
        most = told[line.pk].money.high_total
        said[line.pk] = most <= left
        left -= most if most <= left else 0
    return said


def _refuse_unsound(request: AnswerRequest, said: Mapping[int, bool], lines: Mapping[int, Line]) -> None:
    if not said:
        raise InputRefused(worded("Tap agreed or declined on a line first."))
    unknown = [line for line in said if line not in lines]
    if unknown:
        raise InputRefused(
            worded("Line {unknown} is not on this estimate. Reload the page.", unknown=unknown[0])
        )
    # Only what an earlier stay agreed to and this one goes on with was agreed before.
    goes_on = {new for new, _ in taken_up().values()}
    if request.how not in HOW and not (request.how == AGREED_BEFORE and goes_on.issuperset(said)):
        sentence = worded(
            'The answer was given "{how}": {allowed}. Choose one.',
            how=request.how[:40],
            allowed=", ".join(HOW),
        )
        raise InputRefused(sentence, {"how": sentence})


def _refuse_line(line: Line, yes: bool, told: Mapping[int, Told], stand: Standing, today: date) -> None:
    """An answer is to a price that was told and holds, and to work that is not done yet."""
    done = stand.done.get(line.pk)
    if done is not None and line.pk in stand.answers:
        raise NotPossibleNow(
            worded(
                '"{words}" is done, by {by}: the answer to it stays. Take it off the bill with a '
                "reason, if that is meant.",
                words=line.words,
                by=done.by,
            )
        )
    if line.pk not in told:
        raise NotPossibleNow(
            worded(
                '"{words}" was put on the estimate after the owner was asked: ask again, then write '
                "the answer down.",
                words=line.words,
            )
        )
    asking = told[line.pk].asking
    if yes and not asking.holds_on(today) and line.pk not in stand.agreed:
        assert asking.holds_until is not None  # what has no last day holds
        raise NotPossibleNow(
            worded(
                'The price of "{words}" held until {holds_until:%d %b %Y}: ask the owner again, at '
                "today's price.",
                words=line.words,
                holds_until=asking.holds_until,
            )
        )


def _refuse_over_limit(
    limit: Decimal | None,
    stand: Standing,
    said: Mapping[int, bool],
    told: Mapping[int, Told],
    beside: Sequence[BesideView],
) -> None:
    """Within the limit is an answer only as far as the limit goes, at the high figure of all that is agreed, of each bike of the asking."""
    yes = {line for line in stand.agreed if said.get(line, True)} | {
        line for line, agreed in said.items() if agreed
    }
    most = add_up([told[line].money for line in yes if line in told], terms().currency).high_total
    most += sum((one.agreed_most for one in beside), Decimal(0))
    if limit is None or most > limit:
        allowed = (
            worded("no limit was agreed")
            if limit is None
            else worded("the limit is {limit}", limit=money_of_shop(limit))
        )
        sentence = worded(
            "This comes to {most} at most{with_}, and {allowed}: ask the owner, or write down "
            "the new limit that they name.",
            most=money_of_shop(most),
            with_=_with(beside),
            allowed=allowed,
        )
        raise InputRefused(sentence, {"how": sentence})


def _with(beside: Sequence[BesideView]) -> str:
    return worded(" with {beside}", beside=worded(" and ").join(one.tag for one in beside)) if beside else ""
