"""The bike is back a day later: a new job that follows the old one, which is not opened again."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Job, Line
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.acts.acting import one_at_a_time
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.came_up._line_again import put_on_again
from pinchbolt.workshop.came_up.split_job import TakeUpRequest, take_up
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.standing import standing_of
from pinchbolt.workshop.stays.who_pays import PAYERS, PaidByRequest, say_who_pays

OUR_WORK = as_kept("our work")
REST = as_kept("the rest of the work")
CAUSES = (as_kept("same complaint"), OUR_WORK, REST, as_kept("something else"))


@dataclass(frozen=True, slots=True)
class CameBackRequest:
    """The job after which the bike is back, why, and what the owner says now; "" = what they said then, if it is theirs still."""

    job: int
    cause: str
    words: str = ""
    promise: datetime | None = None


def come_back(request: CameBackRequest, *, by: int, key: str, now: datetime) -> int:
    """Check the bike in again after a job that is over; of our own work the done lines are offered at no charge,
    of the rest what was put off goes on as agreed.

    Return the new job.

    Raises:
        InputRefused: No such cause.
        NotPossibleNow: The old job is still open, or it has no rest that waits.
    """
    old = job_by_id(request.job)
    if not job_state(old).ended:
        raise NotPossibleNow(worded("{tag} is still here: go on in its job.", tag=old.bike.tag))
    if request.cause not in CAUSES:
        sentence = worded(
            'It came back for "{cause}": {causes}. Choose one.',
            cause=request.cause[:20],
            causes=", ".join(CAUSES),
        )
        raise InputRefused(sentence, {"cause": sentence})
    mark = key[:54]
    with one_at_a_time():
        # What somebody else said who had the bike before is not handed on.
        before = (
            ""
            if old.owner_id is not None
            else worded("Again: {owner_words}", owner_words=old.owner_words).strip()
        )
        words = request.words or before
        asked = CheckInRequest(
            tag=old.bike.tag,
            owner_words=words[:2000],
            follows=old.pk,
            cause=request.cause,
            promise=request.promise,
        )
        new = check_in(asked, by=by, key=f"{mark}-in", now=now)
        if request.cause == OUR_WORK:
            for line in _done_lines(old):
                _offer(line, new.job, by=by, key=f"{mark}-{line.pk}"[:60], now=now)
        if request.cause == REST:
            take_up(TakeUpRequest(new.job), by=by, key=f"{mark[:40]}-rest", now=now)
        return new.job


def _done_lines(job: Job) -> list[Line]:
    done = standing_of(job).done
    return list(Line.objects.filter(job=job, pk__in=done).select_related("finding__part").order_by("pk"))


def _offer(line: Line, job: int, *, by: int, key: str, now: datetime) -> None:
    """The old line again, borne by the workshop."""
    new = put_on_again(line, job, of_finding=False, by=by, key=f"{key}p", now=now)
    say_who_pays(PaidByRequest(job, new, PAYERS[2]), by=by, key=f"{key}w", now=now)


def followed_by(job: Job) -> str:
    """Return why the bike was back when this job began, in words with the day of the one before; "" where it was not."""
    event = Event.objects.filter(job=job, kind="checked in").first()
    if event is None or not event.said.get("cause"):
        return ""
    before = Job.objects.filter(pk=event.said.get("follows")).first()
    days = (job.opened_at.date() - before.opened_at.date()).days if before else 0
    return worded(
        "came back {days} day{s} after it was taken in ({said})",
        days=days,
        s="s" if days != 1 else "",
        said=event.said["cause"],
    )
