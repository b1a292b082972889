"""Where each line of a job stands: answered, done, given back, taken off the bill. Read from its events."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from django.db.models import Exists, OuterRef, Q, QuerySet

from pinchbolt.records.models import UNDONE, Answer, Event, Job, Line
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import as_kept
from pinchbolt.workshop.acts.one_look import once_a_look

_DONE, _BACK, _OFF, _BORNE = "line done", "line given back", "line let off", "line paid by"
_LINE_ACTS = (_DONE, _BACK, _OFF, _BORNE)
_OWNER = as_kept("the owner")


@dataclass(frozen=True, slots=True)
class LineAct:
    """What became of a line: who wrote it, when, and why where a reason is asked."""

    event: int
    by: str
    at: datetime
    reason: str
    untouched: bool = False


@dataclass(frozen=True, slots=True)
class Standing:
    """The lines of a job by their ids: the owner's standing answer, and what was done with them.

    `given_back` were agreed and could not be done; a later yes of the owner counts again. `let_off` are not paid for by the
    owner: taken off the bill when done, or `borne` by somebody else; no sum holds the latter. `begun` are no longer agreed but
    were while the work was on, and nobody said that nothing of them was begun: what they open may be open.
    """

    answers: Mapping[int, Answer]
    done: Mapping[int, LineAct]
    given_back: Mapping[int, LineAct]
    let_off: Mapping[int, LineAct]
    begun: frozenset[int] = frozenset()
    borne: frozenset[int] = frozenset()

    @property
    def may_be_open(self) -> set[int]:
        """Lines whose joints and parts a hand may have been on: agreed, done, or begun and dropped."""
        return {*self.agreed, *self.done, *self.begun}

    @property
    def agreed(self) -> tuple[int, ...]:
        """Lines that the owner agreed and that were not given back."""
        return tuple(
            line for line, said in self.answers.items() if said.agreed and line not in self.given_back
        )

    @property
    def not_to_do(self) -> set[int]:
        """Lines that will not be done: declined, or given back."""
        return {line for line, said in self.answers.items() if not said.agreed} | set(self.given_back)


@once_a_look
def standing_of(job: Job) -> Standing:
    """Return where each line of a job stands."""
    answers = {row.line_id: row for row in _answers(job.pk)}
    acts: dict[str, dict[int, LineAct]] = {kind: {} for kind in _LINE_ACTS}
    for event in _acts_on_lines(job.pk):
        told = LineAct(
            event.pk,
            event.by.name,
            event.at,
            _reason(event),
            bool(event.said.get("untouched")),
        )
        line = int(event.said["line"])
        acts[event.kind][line] = told
        if event.kind == _BORNE and event.said.get("payer") == _OWNER:
            # The owner was told that it costs nothing: an answer of before is none to a price.
            acts[_BORNE].pop(line)
            acts[_OFF].pop(line, None)
            answers = {of: said for of, said in answers.items() if of != line or said.event_id > event.pk}
    back = {
        line: told
        for line, told in acts[_BACK].items()
        if line not in answers or answers[line].event_id < told.event
    }
    stand = Standing(
        answers, acts[_DONE], back, {**acts[_BORNE], **acts[_OFF]}, borne=frozenset(acts[_BORNE])
    )
    return replace(
        stand, begun=_begun(job) - set(stand.agreed) - {line for line, told in back.items() if told.untouched}
    )


@prepared
def _answers(job: int) -> QuerySet[Answer]:
    rows = Answer.objects.filter(line__job=job, event__corrected_by__isnull=True)
    return rows.select_related("event").order_by("pk")


@prepared
def _acts_on_lines(job: int) -> QuerySet[Event]:
    rows = Event.objects.filter(job=job, kind__in=_LINE_ACTS, corrected_by__isnull=True)
    return rows.select_related("by").order_by("pk")


def _reason(event: Event) -> str:
    """Why; of a line that somebody else bears, who does."""
    said = [str(event.said.get(name) or "") for name in ("payer", "reason")]
    return ": ".join(filter(None, said))


def _begun(job: Job) -> frozenset[int]:
    """Lines that the owner had agreed at some time while the work was on."""
    started = _started.first(job.pk)
    return frozenset() if started is None else frozenset(_agreed_since(started, job.pk))


@prepared
def _started(job: int) -> QuerySet[Event, int]:
    rows = Event.objects.filter(job=job, kind="work started", corrected_by__isnull=True)
    return rows.order_by("pk").values_list("pk", flat=True)[:1]


@prepared
def _agreed_since(started: int, job: int) -> QuerySet[Answer, int]:
    ended = Q(event__corrected_by__isnull=True) | Q(event__corrected_by__pk__gt=started)
    # An answer that was taken back with one tap was none.
    undone = Event.objects.filter(corrects=OuterRef("event_id"), kind=UNDONE)
    agreed = Answer.objects.filter(ended, ~Exists(undone), line__job=job, agreed=True)
    return agreed.values_list("line", flat=True)


def open_lines(job: Job) -> list[Line]:
    """Return the lines of a job that were not withdrawn, in order."""
    return _open_lines(job.pk)


@prepared
def _open_lines(job: int) -> QuerySet[Line]:
    return (
        Line.objects.filter(job=job, event__corrected_by__isnull=True)
        .select_related("finding", "finding__part", "job__bike")
        .order_by("pk")
    )


def agreed_lines(job: Job) -> tuple[int, ...]:
    """Return the ids of the lines that the owner agreed and that were not given back."""
    return standing_of(job).agreed


def lines_that_may_be_open(job: Job) -> set[int]:
    """Return the ids of the lines whose joints and parts must be proven before the bike leaves."""
    return standing_of(job).may_be_open


def lines_done(job: Job) -> set[int]:
    """Return the ids of the lines that were done."""
    return set(standing_of(job).done)
