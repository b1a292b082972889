"""What the owner complains of: told at check-in or at the bench, looked for on the walk-round, closed by its cause."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.build import looks_on
from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import ComplaintClosed, ComplaintTest, Finding, Job, LookAnswer, ToldComplaint
from pinchbolt.reference.rows.looks import ComplaintRow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.common.trade_tables import tables

MOST = 6


@dataclass(frozen=True, slots=True)
class ComplaintRequest:
    """What the owner complains of, by the table's rows; told again, the same complaint stays one."""

    job: int
    complaints: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ComplaintTestRequest:
    """The answer to a test of ten seconds that tells the causes of a complaint apart."""

    job: int
    complaint: str
    split: str
    yes: bool


@dataclass(frozen=True, slots=True)
class CloseComplaintRequest:
    """The cause of a complaint: a finding of this stay, or in words where it is none."""

    job: int
    complaint: str
    finding: int | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class SplitView:
    """A test that tells causes apart; `answer` "yes", "no" or "" where nobody made it."""

    id: str
    ask: str
    answer: str


@dataclass(frozen=True, slots=True)
class ComplaintView:
    """A complaint of this stay: its words, what was looked at for it, open tests, and its cause where it is closed.

    `sentence` says how it stands, as the sign-off list and the handover sheet say it.
    """

    id: str
    words: str
    closed: bool
    cause: str
    looked_at: tuple[str, ...]
    not_looked_at: tuple[str, ...]
    tests: tuple[SplitView, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class ComplaintChoice:
    """A complaint to choose: its words and the words that owners use for it."""

    id: str
    words: str
    said: tuple[str, ...]


def complaint_choices() -> tuple[ComplaintChoice, ...]:
    """Return the complaints that may be chosen, in the order of the table."""
    return tuple(ComplaintChoice(row.id, row.words, row.said) for row in tables().complaints.values())


def tell_complaints(
    request: ComplaintRequest, *, by: int, key: str, now: datetime
) -> tuple[ComplaintView, ...]:
    """Write down what the owner complains of.

    Raises:
        InputRefused: No complaint, one that is not in the table, or more than anybody can look for.
        NotPossibleNow: The job is closed.
    """
    with act("complaint told", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            still_open(job)
            if not request.complaints:
                raise InputRefused(worded("No complaint was chosen: choose what the owner says."))
            this.write(job=job)
            write_complaints(this, job, request.complaints)
        return complaints_of(job)


def write_complaints(this: Act, job: Job, complaints: Iterable[str]) -> None:
    """Write complaints inside an act; one that this stay has already is not written again."""
    there = {one.complaint for one in _told(job)}
    names = [name for name in dict.fromkeys(complaints) if name and name not in there]
    for name in names:
        if name not in tables().complaints:
            sentence = worded(
                '"{name}" is no complaint of the table: {complaints}. Choose one, or write it in words.',
                name=name[:40],
                complaints=", ".join(tables().complaints),
            )
            raise InputRefused(sentence, {"complaints": sentence})
    if len(names) + len(there) > MOST:
        sentence = worded(
            "{names} complaints are chosen: {most} at most. Choose those that matter; write the "
            "rest in words.",
            names=len(names) + len(there),
            most=MOST,
        )
        raise InputRefused(sentence, {"complaints": sentence})
    for name in names:
        event = this.also("complaint told", f"complaint-{name}", job=job, said={"complaint": name})
        ToldComplaint.objects.create(event=event, job=job, complaint=name)


def answer_test(
    request: ComplaintTestRequest, *, by: int, key: str, now: datetime
) -> tuple[ComplaintView, ...]:
    """Write the answer to a test of a complaint; a later answer takes the place of an earlier one.

    Raises:
        InputRefused: The complaint has no such test.
        NotFound: This stay has no such complaint.
        NotPossibleNow: The job is closed.
    """
    with act("complaint tested", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            still_open(job)
            told = _complaint(job, request.complaint)
            row = tables().complaints.get(told.complaint)
            if row is None or request.split not in {one.id for one in row.splits}:
                raise InputRefused(
                    worded(
                        '"{split}" is no test for this complaint: choose one of its tests.',
                        split=request.split[:40],
                    )
                )
            old = ComplaintTest.objects.filter(
                told=told, split=request.split, event__corrected_by__isnull=True
            ).first()
            event = this.write(job=job, corrects=old.event if old else None)
            ComplaintTest.objects.create(event=event, told=told, split=request.split, yes=request.yes)
        return complaints_of(job)


def close_complaint(
    request: CloseComplaintRequest, *, by: int, key: str, now: datetime
) -> tuple[ComplaintView, ...]:
    """Write down what caused a complaint; a find by itself closes none, since two causes may be there at once.

    Raises:
        InputRefused: Neither finding nor words, or a finding of another stay.
        NotFound: This stay has no such complaint.
        NotPossibleNow: It is closed already, or the job is.
    """
    with act("complaint closed", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            still_open(job)
            told = _complaint(job, request.complaint)
            if ComplaintClosed.objects.filter(told=told, event__corrected_by__isnull=True).exists():
                raise NotPossibleNow(
                    worded("The cause of this complaint is written down already. Reload the page.")
                )
            words = short(request.words, "words", worded("The cause"), 200)
            finding = _cause(job, request.finding, words)
            ComplaintClosed.objects.create(event=this.write(job=job), told=told, finding=finding, words=words)
        return complaints_of(job)


def _cause(job: Job, finding: int | None, words: str) -> Finding | None:
    if finding is None and not words:
        sentence = worded("What the cause was is missing: choose a finding, or say it in words.")
        raise InputRefused(sentence, {"words": sentence})
    if finding is None:
        return None
    found = Finding.objects.filter(pk=finding, job=job, event__corrected_by__isnull=True).first()
    if found is None:
        sentence = worded(
            "There is no finding {finding} at this stay: choose one of its findings, or say it in words.",
            finding=finding,
        )
        raise InputRefused(sentence, {"finding": sentence})
    return found


def _told(job: Job) -> list[ToldComplaint]:
    rows = ToldComplaint.objects.filter(job=job, event__corrected_by__isnull=True).order_by("pk")
    return list(
        rows.prefetch_related(
            "tests__event__corrected_by", "closings__event__corrected_by", "closings__finding__part"
        )
    )


def _complaint(job: Job, name: str) -> ToldComplaint:
    found = ToldComplaint.objects.filter(job=job, complaint=name, event__corrected_by__isnull=True).first()
    if found is None:
        raise NotFound(
            worded(
                'The owner did not complain of "{name}" at this stay: choose one of its complaints.',
                name=name[:40],
            )
        )
    return found


def complaints_of(job: Job) -> tuple[ComplaintView, ...]:
    """Return the complaints of a stay with how each stands, in the order in which they were told."""
    told = _told(job)
    if not told:
        return ()
    looks = {one.id: one.words for one in looks_on(build_of(job.bike))}
    answers = LookAnswer.objects.filter(
        job=job, event__corrected_by__isnull=True, answer__in=("sound", "found")
    )
    done = set(answers.values_list("look", flat=True))
    return tuple(_view(one, looks, done) for one in told)


def _view(told: ToldComplaint, looks: dict[str, str], done: set[str]) -> ComplaintView:
    row = tables().complaints.get(told.complaint)
    places = [name for name in row.first if name in looks] if row else []
    closed = next((one for one in told.closings.all() if not one.event.corrected_by.all()), None)
    cause = "" if closed is None else closed.words or (closed.finding.words if closed.finding else "")
    seen = tuple(looks[name] for name in places if name in done)
    words = row.words if row else told.complaint
    looked = (
        worded("looked at: {seen}", seen="; ".join(seen)) if seen else worded("nothing was looked at for it")
    )
    return ComplaintView(
        told.complaint,
        words,
        closed is not None,
        cause,
        seen,
        tuple(looks[name] for name in places if name not in done),
        _tests(told, row) if row else (),
        f"{words}: {cause.rstrip('.')}."
        if closed
        else worded("{words}: not found; {looked}.", words=words, looked=looked),
    )


def _tests(told: ToldComplaint, row: ComplaintRow) -> tuple[SplitView, ...]:
    """The tests that may be made now: at once, or after the answer of another."""
    answers = {
        one.split: "yes" if one.yes else "no" for one in told.tests.all() if not one.event.corrected_by.all()
    }
    given = {f"{name}={answer}" for name, answer in answers.items()}
    return tuple(
        SplitView(one.id, one.ask, answers.get(one.id, ""))
        for one in row.splits
        if not one.after or one.after in given
    )
