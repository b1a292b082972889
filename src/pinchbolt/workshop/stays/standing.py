"""Where each line of a job stands: answered, done, given back, taken off the bill. Read from its events."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.records.models import Answer, Event, Job
from pinchbolt.workshop.acts.one_look import once_a_look

_OF_LINES = ("line done", "line given back", "line let off")


@dataclass(frozen=True, slots=True)
class LineAct:
    """What became of a line: who wrote it, when, and why where a reason is asked."""

    event: int
    by: str
    at: datetime
    reason: str


@once_a_look
def answers_of(job: Job) -> dict[int, Answer]:
    """Return the owner's standing answer per line."""
    rows = Answer.objects.filter(line__job=job, event__corrected_by__isnull=True).select_related("event")
    return {row.line_id: row for row in rows.order_by("pk")}


@once_a_look
def acts_on_lines(job: Job) -> dict[str, dict[int, LineAct]]:
    """Return the newest act of each kind (done, given back, let off) per line."""
    found: dict[str, dict[int, LineAct]] = {kind: {} for kind in _OF_LINES}
    events = Event.objects.filter(job=job, kind__in=_OF_LINES, corrected_by__isnull=True).select_related("by")
    for event in events.order_by("pk"):
        told = LineAct(event.pk, event.by.name, event.at, str(event.said.get("reason", "")))
        found[event.kind][int(event.said["line"])] = told
    return found


def lines_done(job: Job) -> set[int]:
    """Return the ids of the lines that were done."""
    return set(acts_on_lines(job)["line done"])


def given_back(job: Job) -> dict[int, LineAct]:
    """Return the agreed lines that could not be done, each with its reason; a later yes of the owner counts again."""
    answers = answers_of(job)
    return {
        line: told
        for line, told in acts_on_lines(job)["line given back"].items()
        if line not in answers or answers[line].event_id < told.event
    }


def declined_lines(job: Job) -> set[int]:
    """Return the ids of the lines that will not be done: declined, or given back."""
    return {line for line, said in answers_of(job).items() if not said.agreed} | set(given_back(job))


def agreed_lines(job: Job) -> list[int]:
    """Return the ids of the lines that the owner agreed and that were not given back."""
    back = given_back(job)
    return [line for line, said in answers_of(job).items() if said.agreed and line not in back]
