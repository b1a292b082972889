"""The day at a glance: who is on which stand, what waits for whom, what is ready, who should be back."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import Prefetch, QuerySet

from pinchbolt.records.models import Event, Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.acts.state import JobState, Where, events_of, jobs_here, state_of, that_stand
from pinchbolt.workshop.bikes.battery import is_swollen
from pinchbolt.workshop.bikes.build_sheet import look_up_parts_here, parts_here
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.leaving.call_back import CallBackDue, call_backs
from pinchbolt.workshop.leaving.next_step import NextStep
from pinchbolt.workshop.parts.wanted import open_wanted, waits_for
from pinchbolt.workshop.stays.hand_on import HandOnView, note_in
from pinchbolt.workshop.stays.promise import promise_in
from pinchbolt.workshop.stays.worst_found import WorstFound, worst_found

# The day shows whom to ask within two weeks; the list by weeks has the others. Common practice, no source.
_SOON = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class JobView:
    """A job in one line: whose bike, where it stands, what is open next, what was promised.

    `pieces` is what the bike's parts bring to its drawing. `is_told`: the owner knows of the promise. `note` is from the
    mechanic who handed the job on, until it is read.
    """

    job: int
    tag: str
    bike_words: str
    kind: str
    pieces: frozenset[str]
    owner: str
    reach: str
    phone: str
    owner_words: str
    seen_words: str
    left_with: str
    spend_limit: Decimal | None
    state: JobState
    next_step: NextStep
    promise: datetime | None
    is_late: bool
    worst_verdict: str
    opened_at: datetime
    waits_words: str
    is_told: bool = True
    note: HandOnView | None = None
    has_swollen_battery: bool = False
    ready_since: date | None = None


@dataclass(frozen=True, slots=True)
class Stand:
    """A stand and the job on it, if any."""

    number: int
    job: JobView | None


@dataclass(frozen=True, slots=True)
class ShopDay:
    """Everything that is here today, and what should come back."""

    workshop: str
    stands: tuple[Stand, ...]
    rack: tuple[JobView, ...]
    waiting_for_owner: tuple[JobView, ...]
    waiting_for_part: tuple[JobView, ...]
    elsewhere: tuple[JobView, ...]
    to_tell: tuple[JobView, ...]
    ready: tuple[JobView, ...]
    call_backs: tuple[CallBackDue, ...]

    @property
    def jobs(self) -> tuple[JobView, ...]:
        """All jobs whose bikes are here, on stands and in lanes."""
        on_stands = tuple(stand.job for stand in self.stands if stand.job is not None)
        lanes = (self.rack, self.waiting_for_owner, self.waiting_for_part, self.elsewhere, self.ready)
        return (*on_stands, *(job for lane in lanes for job in lane))


@one_look()
def shop_day(now: datetime) -> ShopDay:
    """Return the shop day."""
    workshop = terms()
    here = open_jobs(now)
    by_stand = {job.state.stand: job for job in here if job.state.where is Where.STAND}

    def at(where: Where) -> tuple[JobView, ...]:
        return tuple(job for job in here if job.state.where is where)

    return ShopDay(
        workshop=workshop.name,
        stands=tuple(Stand(number, by_stand.get(number)) for number in range(1, workshop.stands + 1)),
        rack=at(Where.RACK),
        waiting_for_owner=at(Where.OWNER),
        waiting_for_part=at(Where.PART),
        elsewhere=(*at(Where.OUTSIDE), *at(Where.HOME), *at(Where.AWAY)),
        to_tell=tuple(job for job in here if not job.is_told),
        ready=at(Where.READY),
        call_backs=call_backs(now, _SOON),
    )


# Most of what is written in a stay, and none of it moves a bike or changes its line: a day's page leaves it unread.
_SAYS_NOTHING_HERE = (
    "item looked at", "corner confirmed", "reading taken", "found", "list looked at", "done value", "look answered", "not seen",
)  # fmt: skip


def with_events(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """The same jobs with bike, owner, and the events that their line tells of."""
    told = Event.objects.exclude(kind__in=_SAYS_NOTHING_HERE).select_related("by")
    return jobs.select_related("bike", "bike__owner").prefetch_related(Prefetch("events", told))


@one_look()
def open_jobs(now: datetime) -> tuple[JobView, ...]:
    """Return the jobs whose bikes are here, those promised soonest first."""
    jobs = with_events(jobs_here())
    look_up_parts_here([job.bike for job in jobs])
    worst = worst_found(jobs)
    seen = [job_view(job, now, worst[job.pk]) for job in jobs]
    return tuple(sorted(seen, key=lambda job: (job.promise is None, job.promise or job.opened_at, job.job)))


def job_view(job: Job, now: datetime, worst: WorstFound | None = None) -> JobView:
    """Return a job in one line; *worst* is what was found on its bike, where that was read already."""
    read = "events" in getattr(job, "_prefetched_objects_cache", {})
    events = that_stand(job.events.all()) if read else list(events_of(job))
    state = state_of(events)
    worst = worst or worst_found([job])[job.pk]
    promised = promise_in(events, job)
    return JobView(
        job=job.pk,
        tag=job.bike.tag,
        bike_words=job.bike.words,
        kind=job.bike.kind,
        pieces=parts_here(job.bike).pieces,
        owner=job.whose.name,
        reach=job.whose.reach,
        phone=job.whose.phone,
        owner_words=job.owner_words,
        seen_words=job.seen_words,
        left_with=job.left_with,
        spend_limit=job.spend_limit,
        state=state,
        next_step=_next_step(state, events, worst.any_here),
        promise=promised.at,
        is_late=bool(promised.at and promised.at < now and not state.ended),
        worst_verdict=worst.verdict,
        opened_at=job.opened_at,
        waits_words=_waits_words(job, events, state, now),
        is_told=promised.is_told or state.ended,
        note=None if state.ended else note_in(events),
        has_swollen_battery=not state.ended and is_swollen(job.bike),
        ready_since=_ready_since(events) if state.signed_off and not state.ended else None,
    )


def _next_step(state: JobState, events: list[Event], has_findings: bool) -> NextStep:
    """The one thing to do next; the screens lead there."""
    match state.where:
        case Where.GONE:
            return NextStep.HANDED_OVER
        case Where.CALLED_OFF:
            return NextStep.CALLED_OFF
        case Where.NOT_COLLECTED:
            return NextStep.NOT_COLLECTED
        case Where.OUTSIDE:
            return NextStep.LEAVE_OUTSIDE
        case Where.HOME:
            return NextStep.BIKE
        case Where.AWAY | Where.READY:
            return NextStep.HAND_OVER
        case Where.OWNER:
            return NextStep.ANSWER if state.priced else NextStep.OWNER
        case Where.PART:
            return NextStep.PART
        case _ if state.priced or state.started:
            if not _work_left(events):
                return NextStep.SIGN_OFF
            return NextStep.GO_ON if state.started else NextStep.START
        case _:
            return NextStep.ESTIMATE if has_findings else NextStep.WALK_ROUND


def _work_left(events: list[Event]) -> bool:
    """Whether a line is agreed that was not done yet."""
    agreed: dict[str, bool] = {}
    for event in events:
        if event.kind == "answered":
            agreed |= event.said["answers"]
        elif event.kind == "line given back":
            agreed[str(event.said["line"])] = False
    done = {str(event.said["line"]) for event in events if event.kind == "line done"}
    return any(yes and line not in done for line, yes in agreed.items())


def _ready_since(events: list[Event]) -> date | None:
    signed = next((event for event in reversed(events) if event.kind == "signed off"), None)
    return local_day(signed.at) if signed is not None else None


def _waits_words(job: Job, events: list[Event], state: JobState, now: datetime) -> str:
    if state.where not in (Where.OWNER, Where.PART):
        return ""
    last = next((event for event in reversed(events) if event.kind == "set aside"), None)
    words = str(last.said.get("words", "")) if last else ""
    asked = next((event for event in reversed(events) if event.kind == "priced"), None)
    if state.where is Where.PART:
        of_job = [one for one in open_wanted() if one.job == job.pk]
        return "; ".join(filter(None, (waits_for(of_job, local_day(now)), words)))
    if asked is None:
        return words
    return " ".join(filter(None, (_age_words(events, asked, now), words)))


def _age_words(events: list[Event], asked: Event, now: datetime) -> str:
    """How old the asking is, how often the owner was tried since, and whether it is time to remind or to ask anew."""
    days = (local_day(now) - local_day(asked.at)).days
    age = (
        worded("asked today")
        if days < 1
        else worded("asked {days} day{s} ago", days=days, s="s" if days > 1 else "")
    )
    tries = sum(1 for event in events if event.kind in ("owner tried", "text sent") and event.pk > asked.pk)
    until = asked.said.get("holds_until")
    if until and local_day(now) > date.fromisoformat(until):
        return worded("{age}: the price ran out, ask again.", age=age)
    remind = worded(" Remind them.") if days >= terms().remind_days else ""
    return f"{age}{(worded(', tried {tries} times', tries=tries) if tries > 1 else worded(', tried once') if tries else '')}.{remind}"
