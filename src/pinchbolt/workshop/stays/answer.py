"""The owner's word, line by line."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Answer, Job
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.stays.price import EstimateView, answers_of, estimate
from pinchbolt.workshop.stays.propose import open_lines

HOW = ("at the counter", "by phone", "by text", "by letter", "within the limit agreed at check-in")


@dataclass(frozen=True, slots=True)
class AnswerRequest:
    """Per line (its id) True for agreed, False for declined; how it was given, and who said it."""

    job: int
    answers: Mapping[int, bool]
    how: str = "at the counter"
    words: str = ""


def answer(request: AnswerRequest, *, by: int, key: str, now: datetime) -> EstimateView:
    """Write the owner's answers down; a later answer to the same line corrects the earlier one.

    Raises:
        InputRefused: No answers, an unknown line, or an unknown way of answering.
        NotPossibleNow: The estimate was not given to the owner yet, or the job is closed.
    """
    with act("answered", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return estimate(job)
        state = still_open(job)
        if not state.priced:
            raise NotPossibleNow("The owner has not been asked yet: give the estimate to the owner first.")
        lines = {line.pk: line for line in open_lines(job)}
        _refuse(request, lines)
        before = answers_of(job)
        after = set(before) | set(request.answers)
        this.said = {**answer_as_said(request), "all_answered": set(lines) <= after}
        this.write(job=job)
        for line, agreed in request.answers.items():
            old = before.get(line)
            Answer.objects.create(
                event=this.also(
                    "line answered",
                    str(line),
                    job=job,
                    corrects=old.event if old else None,
                    said={"line": line, "agreed": agreed},
                ),
                line=lines[line],
                agreed=agreed,
                how=request.how,
                words=short(request.words, "words", "What the owner said", 200),
            )
        return estimate(job)


def answer_as_said(request: AnswerRequest) -> dict[str, object]:
    """Return what is kept of the request: lines and how, not the owner's words (they stay with the answers)."""
    return {
        "job": request.job,
        "answers": {str(line): agreed for line, agreed in request.answers.items()},
        "how": request.how,
    }


def _refuse(request: AnswerRequest, lines: Mapping[int, object]) -> None:
    if not request.answers:
        raise InputRefused("No line was answered: mark each line as agreed or declined.")
    unknown = [line for line in request.answers if line not in lines]
    if unknown:
        raise InputRefused(f"Line {unknown[0]} is not on this estimate. Reload the page.")
    if request.how not in HOW:
        sentence = f'The answer was given "{request.how[:40]}": {", ".join(HOW)}. Choose one.'
        raise InputRefused(sentence, {"how": sentence})


def agreed_lines(job: Job) -> list[int]:
    """Return the ids of the lines that the owner agreed."""
    return [line for line, given in answers_of(job).items() if given.agreed]
