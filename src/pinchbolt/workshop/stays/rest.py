"""The rest of a job: agreed lines that were put off to another day, until the bike is back and they are taken up."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from pinchbolt.records.models import Bike, Event, Job, Line
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.parts.lines_taken_up import taken_up
from pinchbolt.workshop.stays._asking import askings_of, told_prices
from pinchbolt.workshop.stays.standing import standing_of


@dataclass(frozen=True, slots=True)
class RestLine:
    """A line of the rest: what it was told to cost, and the last day of that price."""

    id: int
    words: str
    place: str
    total: Decimal
    holds_until: date | None

    def holds_on(self, day: date) -> bool:
        """Whether its price stands on a day."""
        return self.holds_until is None or day <= self.holds_until


@dataclass(frozen=True, slots=True)
class RestView:
    """What is left to do of a job, about when, and why it waits."""

    job: int
    day: date
    words: str
    lines: tuple[RestLine, ...]

    @property
    def in_words(self) -> str:
        """The lines in one sentence."""
        return ", ".join(f"{line.words}{f', {line.place}' if line.place else ''}" for line in self.lines)


@once_a_look
def rest_of(job: Job) -> RestView | None:
    """Return what was put off of a job and not taken up since; None where nothing was."""
    events = list(
        Event.objects.filter(job=job, kind="rest put off", corrected_by__isnull=True).order_by("pk")
    )
    if not events:
        return None
    stand, told, gone = standing_of(job), told_prices(askings_of(job), standing_of(job).answers), taken_up()
    # A line that was agreed again since is no rest any more.
    put_off = {int(line) for event in events for line in event.said["lines"]}
    left = [
        line for line in sorted(put_off) if line in stand.given_back and line in told and line not in gone
    ]
    rows = Line.objects.filter(pk__in=left).select_related("finding__part").order_by("pk")
    lines = tuple(
        RestLine(
            row.pk, row.words, place_of_line(row), told[row.pk].money.total, told[row.pk].asking.holds_until
        )
        for row in rows
    )
    newest = events[-1].said
    return RestView(job.pk, date.fromisoformat(newest["day"]), newest["words"], lines) if lines else None


def rest_of_bike(bike: Bike) -> RestView | None:
    """Return what was put off at the newest stay of a bike that is over, and not taken up since.

    What somebody else agreed to who had the bike before is no yes of whose it is now: it is proposed anew.
    """
    own = Event.objects.filter(job__bike=bike, job__owner__isnull=True)
    events = own.filter(kind="rest put off", corrected_by__isnull=True)
    for job in Job.objects.filter(pk__in=events.values("job")).select_related("bike").order_by("-pk")[:5]:
        if job_state(job).ended:
            rest = rest_of(job)
            if rest is not None:
                return rest
    return None
