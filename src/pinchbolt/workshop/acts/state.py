"""Where a job stands: read from its events, never stored."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Event, Job


class Where(StrEnum):
    """The six places of a bike; the word itself is what is shown."""

    RACK = "on the rack"
    STAND = "on stand"
    OWNER = "waiting for the owner"
    PART = "waiting for a part"
    READY = "ready"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class JobState:
    """Place, stand where there is one, and what has happened so far."""

    where: Where
    stand: int | None = None
    priced: bool = False
    started: bool = False
    signed_off: bool = False
    left_unsafe: bool = False

    @property
    def words(self) -> str:
        """As it is shown."""
        return f"on stand {self.stand}" if self.where is Where.STAND else self.where.value


# The only events that move a bike; all others are left out of the question.
MOVES = (
    "put on stand", "work started", "priced", "answered", "set aside", "part arrived", "signed off", "reopened", "handed over",
)  # fmt: skip


def state_of(events: Iterable[Event]) -> JobState:
    """Return the state that a job's events, in order, amount to."""
    stand: int | None = None
    waits: Where | None = None
    priced = started = signed = False
    for event in events:
        said = event.said if isinstance(event.said, dict) else {}
        match event.kind:
            case "put on stand" | "work started":
                stand, waits = said.get("stand"), None
                started = started or event.kind == "work started"
            case "priced":
                priced, waits = True, Where.OWNER
            case "answered":
                waits = None if said.get("all_answered") else waits
            case "set aside":
                waits = Where.OWNER if said.get("waits_for") == "owner" else Where.PART
                stand = None
            case "part arrived":
                waits = None
            case "signed off":
                signed, stand, waits = True, None, None
            case "reopened":
                signed = False
            case "handed over":
                return JobState(Where.GONE, None, priced, started, signed, bool(said.get("as_unsafe")))
    where = Where.READY if signed else waits or (Where.STAND if stand else Where.RACK)
    return JobState(where, stand, priced, started, signed)


def job_state(job: Job) -> JobState:
    """Return the state of one job."""
    return state_of(job.events.filter(kind__in=MOVES).only("kind", "said").order_by("id"))


def still_open(job: Job) -> JobState:
    """Return the state, if the bike is still here and not signed off; else say what to do."""
    state = job_state(job)
    if state.where is Where.GONE:
        raise NotPossibleNow(
            f"{job.bike.tag} was handed over: nothing more is written into this job. Check the bike in again."
        )
    if state.signed_off:
        raise NotPossibleNow(f"{job.bike.tag} is signed off: open the job again first, then sign off anew.")
    return state
