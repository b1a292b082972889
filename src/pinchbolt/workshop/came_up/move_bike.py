"""A bike is moved off its stand: to the rack, outside, home meanwhile, put away; and a swollen battery, which moves it by itself."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import MOVED_TO, JobState, job_state
from pinchbolt.workshop.bikes.battery import GONE, SWELLS, is_swollen
from pinchbolt.workshop.common.checks import short
from pinchbolt.workshop.leaving.sign_off import stops_going_home


@dataclass(frozen=True, slots=True)
class MoveBikeRequest:
    """Where a bike goes: rack, outside, home (with its owner, the job goes on), away (nobody collected it); a word on why.

    `tried`: for home, somebody tried brakes, wheels, bar and whatever was opened just now.
    """

    job: int
    to: str
    words: str = ""
    tried: bool = False


@dataclass(frozen=True, slots=True)
class SwollenRequest:
    """The battery was found swollen: what was seen."""

    job: int
    words: str = ""


@dataclass(frozen=True, slots=True)
class BatteryGoneRequest:
    """Where the battery went; or, by the name of who says so, that it was not swollen (`was_sound`)."""

    job: int
    where: str
    was_sound: bool = False


def move_bike(request: MoveBikeRequest, *, by: int, key: str, now: datetime) -> JobState:
    """Move a bike to any place but a stand or out of the door.

    Raises:
        InputRefused: No such place.
        NotPossibleNow: The job is over; the bike is unsafe or open and would go home; its battery is swollen.
    """
    with act("moved", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if this.repeated:
            return job_state(job)
        state = _here(job)
        if request.to not in MOVED_TO:
            sentence = worded(
                'The bike goes to "{to}": {moved_to}, or a stand. Choose one.',
                to=request.to[:20],
                moved_to=", ".join(MOVED_TO),
            )
            raise InputRefused(sentence, {"to": sentence})
        short(request.words, "words", worded("The word on it"), 200)
        if is_swollen(job.bike) and request.to != "outside":
            raise NotPossibleNow(
                worded(
                    "{tag} has a swollen battery: it stays outside until somebody says where the battery "
                    "went.",
                    tag=job.bike.tag,
                )
            )
        if request.to == "away" and not state.signed_off:
            raise NotPossibleNow(
                worded("{tag} is not ready: only what waits to be collected is put away.", tag=job.bike.tag)
            )
        if request.to == "home":
            _may_go_home(job, request, now)
        this.write(job=job)
        return job_state(job)


def _may_go_home(job: Job, request: MoveBikeRequest, now: datetime) -> None:
    """It will be ridden: nothing unsafe, open, seen wrong or declined, and somebody has just tried it."""
    if job_state(job).signed_off:
        raise NotPossibleNow(
            worded(
                "{tag} is signed off: hand it over, then its owner is told what was left.", tag=job.bike.tag
            )
        )
    stops = stops_going_home(job, now)
    if stops:
        raise NotPossibleNow(
            worded("{tag} can't go home to be ridden: {stops}", tag=job.bike.tag, stops=stops[0])
        )
    if not request.tried:
        sentence = worded(
            "Try brakes, wheels, bar and whatever was opened now, and say so: it will be ridden home."
        )
        raise InputRefused(sentence, {"tried": sentence})


def find_swollen(request: SwollenRequest, *, by: int, key: str, now: datetime) -> JobState:
    """Write down that the battery is swollen: the bike is outside, its job stands still, the caution follows the bike.

    Raises:
        NotPossibleNow: The job is over, or it is on record already.
    """
    with act(SWELLS, by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            _here(job)
            if is_swollen(job.bike):
                raise NotPossibleNow(
                    worded(
                        "{tag} is on record as swollen already: somebody wrote it down a moment ago. Reload "
                        "the page.",
                        tag=job.bike.tag,
                    )
                )
            short(request.words, "words", worded("What was seen"), 200)
            this.write(job=job)
        return job_state(job)


def battery_gone(request: BatteryGoneRequest, *, by: int, key: str, now: datetime) -> JobState:
    """Write down where a swollen battery went, or that it was none after all: the bike comes back to the rack.

    Raises:
        InputRefused: Nobody said where it went.
        NotPossibleNow: There is no swollen battery on record.
    """
    with act(GONE, by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        if not this.repeated:
            if not is_swollen(job.bike):
                raise NotPossibleNow(worded("No swollen battery is on record for {tag}.", tag=job.bike.tag))
            what = worded("How you know") if request.was_sound else worded("Where the battery went")
            short(request.where, "where", what, 200, needed=True)
            this.write(job=job)
        return job_state(job)


def _here(job: Job) -> JobState:
    state = job_state(job)
    if state.ended:
        raise NotPossibleNow(
            worded(
                "{tag} is not here any more ({words}): it is not moved.", tag=job.bike.tag, words=state.words
            )
        )
    return state
