"""A further fault found on the stand: it is found, put on the estimate and asked in one act; the agreed work goes on."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.values import Verdict
from pinchbolt.workshop.acts.acting import one_at_a_time
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.price import PriceRequest, ask_owner
from pinchbolt.workshop.stays.propose import ProposeRequest, propose


@dataclass(frozen=True, slots=True)
class FoundOnStandRequest:
    """What was found, how bad it is, the work that it asks for ("" where that is not known yet), and whether to ask now."""

    job: int
    words: str
    verdict: str = Verdict.NEXT_VISIT
    operation: str = ""
    place: str = ""
    ask: bool = True


def find_on_stand(request: FoundOnStandRequest, *, by: int, key: str, now: datetime) -> int:
    """Write a further fault down with its line, and ask the owner; all of it or nothing. Return the finding.

    Raises:
        InputRefused: No words, no such verdict or work, or no place where one is needed.
        NotPossibleNow: The job is closed, or the same line is there already.
    """
    with one_at_a_time():
        found = note_finding(
            FindingRequest(request.job, request.words, request.verdict),
            by=by,
            key=f"{key[:54]}-found",
            now=now,
        )
        if request.operation:
            asked = ProposeRequest(request.job, request.operation, found.id, place=request.place)
            propose(asked, by=by, key=f"{key[:54]}-line", now=now)
            if request.ask:
                ask_owner(PriceRequest(request.job), by=by, key=f"{key[:54]}-ask", now=now)
        return found.id
