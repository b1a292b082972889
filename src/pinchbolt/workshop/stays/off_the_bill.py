"""An agreed line that can't be done is given back; a done line is taken off the bill in the open. Both with a reason."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Line
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, line_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.stays._bound import price_of_line, refuse_beyond_bound
from pinchbolt.workshop.stays.standing import standing_of


@dataclass(frozen=True, slots=True)
class GiveBackRequest:
    """An agreed line that can't be done, and why: the part never came, the thread is gone.

    `untouched`: a mechanic says that nothing of it was begun; else its joints and items are asked before the bike leaves.
    """

    job: int
    line: int
    reason: str
    untouched: bool = False


@dataclass(frozen=True, slots=True)
class LetOffRequest:
    """A done line that the owner does not pay for, and why: our own work again, goodwill."""

    job: int
    line: int
    reason: str


def give_back(request: GiveBackRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down that an agreed line is not done: it is no decline of the owner's, and what was found stands.

    Raises:
        InputRefused: No reason.
        NotPossibleNow: The line is not agreed, is done, or is of another job.
    """
    with act("line given back", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        line = _agreed(request.job, request.line)
        if line.pk in standing_of(line.job).done:
            raise NotPossibleNow(
                worded(
                    '"{words}" is done: take it off the bill with a reason, if that is meant.',
                    words=line.words,
                )
            )
        short(request.reason, "reason", worded("Why it is not done"), 200, needed=True)
        this.write(job=line.job)


def let_off(request: LetOffRequest, *, by: int, key: str, now: datetime) -> None:
    """Take a done line off the bill: it stays on the papers with its price and is taken off again below.

    Raises:
        InputRefused: No reason.
        NotPossibleNow: The line is not done, is off the bill already, is of another job, or is more than this person may give.
    """
    with act("line let off", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        line = _agreed(request.job, request.line)
        if line.pk not in standing_of(line.job).done:
            raise NotPossibleNow(
                worded(
                    '"{words}" is not done: there is nothing to take off. Give it back instead.',
                    words=line.words,
                )
            )
        if line.pk in standing_of(line.job).let_off:
            raise NotPossibleNow(
                worded('"{words}" is off the bill already: the owner does not pay for it.', words=line.words)
            )
        short(request.reason, "reason", worded("Why the owner does not pay"), 200, needed=True)
        refuse_beyond_bound(this.person, line.job, price_of_line(line.job, line.pk))
        this.write(job=line.job)


def _agreed(job: int, number: int) -> Line:
    line = line_by_id(number)
    still_open(line.job)
    if line.job_id != job_by_id(job).pk:
        raise NotPossibleNow(worded("This line belongs to another job. Reload the page."))
    if line.pk not in standing_of(line.job).agreed:
        raise NotPossibleNow(
            worded('"{words}" is not agreed by the owner: it costs nothing.', words=line.words)
        )
    return line
