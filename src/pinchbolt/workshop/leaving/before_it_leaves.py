"""What is to be done before the bike leaves holds it, until it is done or the owner declines it by name."""

from pinchbolt.records.models import Finding, Job, Line
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.state import events_told
from pinchbolt.workshop.stays.mended import answers
from pinchbolt.workshop.stays.note_finding import findings_of, findings_standing
from pinchbolt.workshop.stays.standing import Standing, open_lines, standing_of


def held_before_it_leaves(job: Job) -> list[str]:
    """Return findings that hold the bike: to be done before it leaves, not done, and not declined by the owner.

    An agreed line that is still to do holds the bike by itself and is not named twice. What the owner put off to another
    day is read out at the handover as what they declined is.
    """
    due = due_before_it_leaves(job)
    if not due:
        return []
    answered = _answered(job)
    rows = Finding.objects.filter(pk__in=due).select_related("part").order_by("pk")
    return [
        worded(
            "{due}: to be done before it leaves. Do it, or write down that the owner declines it.",
            due=due[row.pk],
        )
        for row in rows
        if not any(line.finding_id == row.pk or answers(line, row) for line in answered)
    ]


def due_before_it_leaves(job: Job) -> dict[int, str]:
    """Return what is to be done before the bike leaves and is not done, by the ids of the findings."""
    standing = findings_standing(findings_of(job), job.bike)
    return {one.id: one.title for one in standing if one.verdict == Verdict.BEFORE_IT_LEAVES}


def declined_by_name(job: Job) -> tuple[str, ...]:
    """Return what the owner declined, or put off, that is read out when the bike leaves: of safety, or due before it leaves."""
    stand = standing_of(job)
    later, no = _put_off(job, stand), _declined(stand)
    return tuple(
        f"{line.words}: {line.finding.words if line.finding else line.verdict}"
        + (worded(" Put off to another day.") if line.pk in later else "")
        for line in open_lines(job)
        if line.pk in later | no and is_read_out(line.safety, line.verdict)
    )


def is_read_out(safety: bool, verdict: str) -> bool:
    """Whether a line with this verdict, declined, is read out when the bike leaves."""
    return safety or Verdict(verdict).rank >= Verdict.BEFORE_IT_LEAVES.rank


def _answered(job: Job) -> list[Line]:
    """Lines that stand for an answer: declined, put off, or agreed and not done yet."""
    stand = standing_of(job)
    said = _declined(stand) | _put_off(job, stand) | (set(stand.agreed) - set(stand.done))
    return [line for line in open_lines(job) if line.pk in said]


def _declined(stand: Standing) -> set[int]:
    return {line for line, said in stand.answers.items() if not said.agreed}


def _put_off(job: Job, stand: Standing) -> set[int]:
    """Agreed lines that wait for another day, as the owner agreed."""
    events = events_told(job, "rest put off")
    return {int(line) for event in events for line in event.said["lines"]} & set(stand.given_back)
