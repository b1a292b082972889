"""The bar above a job: whose bike, which step, what is open."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from pinchbolt.bench.addresses import address
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.came_up.undo_act import ActView, last_act
from pinchbolt.workshop.leaving.next_step import NextStep
from pinchbolt.workshop.leaving.shop_day import JobView, job_view

# Each step with the name of its screen in the address list.
_SCREENS = {
    "check-in": "job_sheet",
    "walk-round": "looks",
    "findings": "findings",
    "estimate": "estimate",
    "work": "work",
    "sign-off": "sign_off",
    "handover": "handover",
}
STEPS = tuple(_SCREENS)

_STEP_OF_NEXT = {
    NextStep.WALK_ROUND: "walk-round",
    NextStep.ESTIMATE: "estimate",
    NextStep.OWNER: "estimate",
    NextStep.ANSWER: "estimate",
    NextStep.START: "work",
    NextStep.GO_ON: "work",
    NextStep.PART: "work",
    NextStep.SIGN_OFF: "sign-off",
    NextStep.HAND_OVER: "handover",
    NextStep.HANDED_OVER: "handover",
    NextStep.CALLED_OFF: "check-in",
    NextStep.NOT_COLLECTED: "handover",
    NextStep.LEAVE_OUTSIDE: "work",
    NextStep.BIKE: "work",
}


State = Literal["ahead", "started", "done", "next"]


@dataclass(frozen=True, slots=True)
class WayStep:
    """One mark of the way-bar; `state` is done, started, next or ahead, and `here` is the page that is open."""

    name: str
    href: str
    state: State
    here: bool


@dataclass(frozen=True, slots=True)
class JobTop:
    """What the bar shows."""

    seen: JobView
    here: str
    steps: tuple[WayStep, ...]
    next_href: str
    last: ActView | None = None


def job_href(job: int, step: str) -> str:
    """Return the address of a step of a job."""
    return address(_SCREENS[step], job=job)


def next_href(seen: JobView) -> str:
    """Return the address of the one thing to do next on a job."""
    return job_href(seen.job, _STEP_OF_NEXT[seen.next_step])


def job_top(seen: JobView, here: str, last: ActView | None = None) -> JobTop:
    """Return the bar above a job on the page of step *here*."""
    following = STEPS.index(_STEP_OF_NEXT[seen.next_step])
    gone = seen.state.ended
    # A walk-round is never known to be whole: until the bike is signed off, started is all that is said of it.
    looked = {STEPS.index("walk-round"), STEPS.index("findings")}
    open_ended = (
        looked if following > STEPS.index("walk-round") and not seen.state.signed_off and not gone else set()
    )

    def state(place: int) -> State:
        if place and seen.next_step is NextStep.CALLED_OFF:
            return "ahead"
        if place in open_ended:
            return "started"
        if place < following or gone:
            return "done"
        return "next" if place == following else "ahead"

    steps = tuple(
        WayStep(name, job_href(seen.job, name), state(n), name == here) for n, name in enumerate(STEPS)
    )
    return JobTop(seen, here, steps, next_href(seen), last)


def job_and_top(job: int, here: str, now: datetime) -> tuple[Any, JobTop]:
    """Return a job, to be handed to use cases, and the bar above it.

    Raises:
        NotFound: No such job.
    """
    found = job_by_id(job)
    # The page of what came up shows the acts of today itself.
    last = last_act(found, now) if here else None
    return found, job_top(job_view(found, now), here, last)
