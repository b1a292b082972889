"""What the estimate sheet says: the sums first, then one row a line with what was found, what is done and the price."""

from collections.abc import Sequence
from datetime import datetime

from pinchbolt.paper.paper_facts import day_text, head, money, time_text, verdict_facts, wrapped
from pinchbolt.values import Verdict
from pinchbolt.values.money import money_sum
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.owner_texts import NOT_REACHED, tries_of
from pinchbolt.workshop.stays.price import EstimateView, LineView, estimate, line_words
from pinchbolt.workshop.stays.promise import promise_of

_NOT_KNOWN = worded("nobody can see inside a frame, fork or motor, or under paint and tape.")
_MOST_NOT_READ = 8
_MANY = 8
"""From more lines on what can wait stands in one row, so that the sheet stays two pages."""


def estimate_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the estimate sheet."""
    found = job_by_id(job)
    priced, findings = estimate(found, local_day(now)), findings_of(found)
    limit = (
        money(priced.spend_limit) if priced.spend_limit is not None else worded("none agreed: we ask first")
    )
    promise = time_text(promise_of(found).at) or worded("no day yet")
    asked = _asked(job, priced)
    same = _said_alike(priced)
    many = len(priced.lines) + sum(len(one.lines) + 2 for one in priced.beside) > _MANY
    return {
        **head(
            "Estimate", job, now, [*asked, ("promised", promise), (worded("without a call up to"), limit)]
        ),
        "footer": terms().foot_words,
        "told": wrapped(found.owner_words),
        "seen": wrapped(
            " ".join(
                filter(
                    None,
                    (
                        found.seen_words,
                        found.left_with and worded("Left with it: {left_with}", left_with=found.left_with),
                    ),
                )
            )
        ),
        "many": many,
        "lines": [_line(line, same) for line in priced.lines],
        "verdicts": [verdict_facts(one) for one in dict.fromkeys(line.verdict for line in priced.lines)],
        "beside": [
            {
                "head": wrapped(f"{one.tag}, {one.words}" if one.words else one.tag),
                "lines": [_line(line, same) for line in one.lines],
                "total": money(one.total),
            }
            for one in priced.beside
        ],
        "this_bike": found.bike.tag,
        "together": _together(priced),
        "money": _money(priced, same),
        "holds": _holds(priced),
        "sound": ", ".join(
            dict.fromkeys(one.part_words for one in findings if one.rank == Verdict.SOUND.rank)
        ),
        "not_read": _first(handover_sheet(found, now).not_read),
        "not_known": _NOT_KNOWN,
        "cautions": list(
            dict.fromkeys(
                words
                for one in (job, *(one.job for one in priced.beside))
                for words in cautions(job_by_id(one).bike)[1:]
            )
        ),
    }


def _asked(job: int, priced: EstimateView) -> list[tuple[str, str]]:
    if not priced.askings:
        return [("number", worded("{job}: not asked yet", job=job))]
    last = priced.askings[-1]
    tried = [one for one in tries_of(job_by_id(job)) if one.what == NOT_REACHED and one.at >= last.at]
    return [
        (
            "number",
            worded(
                "{job}-{number}, asked {at} by {by}",
                job=job,
                number=last.number,
                at=time_text(last.at),
                by=last.by,
            ),
        ),
        *(
            [(worded("tried since"), "; ".join(f"{one.how} {time_text(one.at)}" for one in tried))]
            if tried
            else ()
        ),
    ]


def _holds(priced: EstimateView) -> str:
    until = priced.askings[-1].holds_until if priced.askings else None
    return (
        worded("Prices hold until {until}, for the parts named.", until=day_text(until))
        if until
        else worded("Prices are for the parts named.")
    )


def _how(line: LineView) -> str:
    """How an answer was given, by whom and when."""
    return ", ".join(filter(None, (line.answered_how, line.said_by, time_text(line.answered_at))))


def _said_alike(priced: EstimateView) -> str:
    """How all answers were given, where it was in one word: then it is said once."""
    every = [*priced.lines, *(line for one in priced.beside for line in one.lines)]
    ways = {_how(line) for line in every if line.answer}
    return ways.pop() if len(ways) == 1 else ""


def _first(parts: Sequence[str]) -> str:
    """The first few, and how many more."""
    more = len(parts) - _MOST_NOT_READ
    return "; ".join(parts[:_MOST_NOT_READ]) + (worded("; and {more} more", more=more) if more > 0 else "")


def _borne(line: LineView) -> str:
    """That the owner does not pay for a line, and who does; its price stands beside it."""
    return worded("no charge, {let_off}", let_off=line.let_off) if line.let_off else ""


def _line(line: LineView, same: str) -> dict[str, object]:
    said = "" if _how(line) == same else _how(line)
    return {
        "verdict": verdict_facts(line.verdict),
        "words": wrapped(line_words(line)),
        "parts": wrapped(", ".join(f"{part.count} × {part.name}" for part in line.money.parts)),
        "found": wrapped(line.finding_words),
        "must": line.rank >= Verdict.BEFORE_IT_LEAVES.rank,
        "wait": line.waiting_reasons[0] if line.waiting_reasons else "",
        "inside": line.inside,
        "price": money(line.money.price),
        "answer": line.answer,
        "how": "; ".join(filter(None, (f"{said}{f': {line.reason}' if line.reason else ''}", _borne(line)))),
    }


def _money(priced: EstimateView, same: str) -> dict[str, object]:
    whole, agreed = priced.priced, priced.agreed
    must, wait = priced.before_it_leaves, priced.can_wait
    answered = len(priced.lines) - priced.open_answers
    return {
        "before": money(must.total) if must.lines else "",
        "before_words": _short([line.words for line in must.lines]),
        "wait": money(wait.total) if wait.lines else "",
        "wait_words": _short([line.words for line in wait.lines]),
        "total": money(whole.total),
        "saved": money(-whole.saved) if whole.saved else "",
        "high": money(whole.high_total),
        "tax": money(whole.tax) if whole.taxes else "",
        "agreed": money(agreed.total) if answered else "",
        "answered": worded(
            "{lines} of {priced_lines} lines, at most {money}{same}",
            lines=len(agreed.lines),
            priced_lines=len(priced.lines),
            money=money(agreed.high_total),
            same=f"; {same}" if same else "",
        ),
        "over_limit": priced.over_limit,
    }


def _together(priced: EstimateView) -> str:
    """What all bikes of the asking cost; "" where it is of one bike."""
    return (
        money(money_sum([priced.priced.total, *(one.total for one in priced.beside)]))
        if priced.beside
        else ""
    )


def _short(words: list[str]) -> str:
    """The first three, and how many more there are."""
    more = worded(" and {words} more", words=len(words) - 3) if len(words) > 3 else ""
    return wrapped(", ".join(words[:3]) + more)
