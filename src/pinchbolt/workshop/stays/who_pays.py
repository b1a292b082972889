"""Who bears a line: the owner, a maker's warranty, our own work again, an insurer, goodwill. The true cost is kept."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Line
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, line_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.stays._bound import OTHERS_BEAR, price_of_line, refuse_beyond_bound
from pinchbolt.workshop.stays.discount import GOODWILL
from pinchbolt.workshop.stays.standing import standing_of

OWNER = as_kept("the owner")
PAYERS = (OWNER, *OTHERS_BEAR, GOODWILL)


@dataclass(frozen=True, slots=True)
class PaidByRequest:
    """A line, who bears it, and a word on why. Back to the owner: the line is asked anew, never charged in silence."""

    job: int
    line: int
    payer: str
    reason: str = ""


def say_who_pays(request: PaidByRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down who bears a line.

    Raises:
        InputRefused: No such payer, or no reason where one is needed.
        NotPossibleNow: The line is of another job, it is so already, or it is more goodwill than this person may give.
    """
    with act("line paid by", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return
        still_open(job)
        line = _line_of(request, job.pk)
        if request.payer not in PAYERS:
            sentence = worded(
                'It is borne by "{payer}": {payers}. Choose one.',
                payer=request.payer[:20],
                payers=", ".join(PAYERS),
            )
            raise InputRefused(sentence, {"payer": sentence})
        free = standing_of(job).let_off
        if (request.payer == OWNER) == (line.pk not in free):
            raise NotPossibleNow(
                worded('"{words}" is borne so already: {payer}.', words=line.words, payer=request.payer)
            )
        short(request.reason, "reason", "Why", 200, needed=request.payer == GOODWILL)
        if request.payer == GOODWILL:
            refuse_beyond_bound(this.person, job, price_of_line(job, line.pk))
        this.write(job=job)


def _line_of(request: PaidByRequest, job: int) -> Line:
    line = line_by_id(request.line)
    if line.job_id != job:
        raise NotPossibleNow(worded("This line belongs to another job. Reload the page."))
    return line
