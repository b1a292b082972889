"""What may come up with a job: lines in four groups, each with what stands now, and a reason where it can't be used."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.records.models import Job
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import money_of_shop
from pinchbolt.workshop.acts.state import JobState, Where, job_state
from pinchbolt.workshop.bikes.battery import is_swollen
from pinchbolt.workshop.came_up.bike_tags import is_lost
from pinchbolt.workshop.came_up.not_collected import next_due
from pinchbolt.workshop.came_up.undo_act import ActView, acts_today
from pinchbolt.workshop.leaving.hand_over import collector_of
from pinchbolt.workshop.stays.ask_together import to_ask_with
from pinchbolt.workshop.stays.owner_texts import tries_of
from pinchbolt.workshop.stays.promise import promise_of, promise_words
from pinchbolt.workshop.stays.rest import rest_of_bike
from pinchbolt.workshop.stays.ring_first import rings_first
from pinchbolt.workshop.stays.say_limit import limit_of
from pinchbolt.workshop.stays.standing import Standing, open_lines, standing_of

WORK, OWNER, PLACE, MONEY = "The work", "The owner", "Day and place", "Money and end"
_OVER = worded("the job is over")
_SIGNED = worded("signed off: open the job again first")


@dataclass(frozen=True, slots=True)
class WayOut:
    """One line: its name (also of its page), what it does or what stands now, and why it can't be used ("" = it can)."""

    name: str
    words: str
    now: str
    why_not: str = ""

    @property
    def job_is_over(self) -> bool:
        """Whether it can't be used since the job has ended."""
        return self.why_not == _OVER


@dataclass(frozen=True, slots=True)
class CameUpView:
    """The page: acts of today, newest first, and the lines by group."""

    acts: tuple[ActView, ...]
    groups: tuple[tuple[str, tuple[WayOut, ...]], ...]


def came_up(job: Job, now: datetime) -> CameUpView:
    """Return what may come up with a job."""
    state, stand = job_state(job), standing_of(job)
    return CameUpView(
        acts_today(job, now),
        (
            (WORK, _work(job, state, stand)),
            (OWNER, _owner(job, state, stand)),
            (PLACE, _place(job, state, now)),
            (MONEY, _money(job, state, stand)),
        ),
    )


def _closed(state: JobState) -> str:
    return _OVER if state.ended else _SIGNED if state.signed_off else ""


def _work(job: Job, state: JobState, stand: Standing) -> tuple[WayOut, ...]:
    closed = _closed(state)
    swollen = is_swollen(job.bike)
    left = sum(line not in stand.done for line in stand.agreed)
    waits = any(line.pk not in stand.answers for line in open_lines(job))
    unasked = "" if waits else worded("no line waits for an answer")
    return (
        WayOut(
            "found",
            worded("another fault found"),
            worded("adds a line and asks the owner; the rest goes on"),
            closed,
        ),
        WayOut("own-line", worded("a line of our own"), worded("words, with minutes or a price"), closed),
        WayOut(
            "minutes",
            worded("labour minutes of a line"),
            worded("others than the menu says"),
            closed or unasked,
        ),
        WayOut(
            "work-price",
            worded("the price of a line's work"),
            worded("by hand, with a reason"),
            closed or unasked,
        ),
        WayOut("photos", "photos", worded("of a mark, a finding, the work"), ""),
        WayOut(
            "parts",
            worded("the part is wrong, late or wanted"),
            worded("order, arrived, wrong, sent back"),
            closed,
        ),
        WayOut(
            "not-done",
            worded("I did not do it after all"),
            worded("takes a done line back") if stand.done else "",
            closed or ("" if stand.done else worded("no line is done")),
        ),
        WayOut(
            "split",
            worded("the rest another day"),
            worded("{left} agreed and not done", left=left) if left else "",
            closed or ("" if left else worded("no agreed line is open")),
        ),
        *_rest(job, closed),
        WayOut(
            "hand-on", worded("somebody else goes on"), worded("hand it on to a name, with a note"), closed
        ),
        WayOut(
            "swollen",
            worded("the swollen battery is gone") if swollen else worded("the battery is swollen"),
            worded("the bike is outside, its job stands still")
            if swollen
            else worded("outside at once; the job stops, the caution stays"),
            _OVER if state.ended else "",
        ),
    )


def _rest(job: Job, closed: str) -> tuple[WayOut, ...]:
    rest = rest_of_bike(job.bike)
    if rest is None:
        return ()
    return (WayOut("take-up", worded("the rest of the stay before: take it up"), rest.in_words, closed),)


def _owner(job: Job, state: JobState, stand: Standing) -> tuple[WayOut, ...]:
    closed, over = _closed(state), _OVER if state.ended else ""
    others = to_ask_with(job)
    tries, limit, collector = len(tries_of(job)), limit_of(job), collector_of(job)
    told = promise_of(job).is_told
    return (
        WayOut(
            "tried",
            worded("tried, no answer"),
            worded("{tries} tries so far", tries=tries) if tries else worded("not tried yet"),
            closed,
        ),
        WayOut(
            "changed-mind",
            worded("changed their mind"),
            worded("answers again, line by line"),
            closed or ("" if stand.answers else worded("no line is answered")),
        ),
        WayOut(
            "limit",
            worded("raise or lower the limit"),
            worded("now {limit} without a call", limit=money_of_shop(limit))
            if limit is not None
            else worded("now we ask first"),
            closed,
        ),
        WayOut(
            "ask-together",
            worded("ask about their bikes together"),
            worded(
                "with {others}, one limit for all",
                others=worded(" and ").join(one.bike.tag for one in others),
            )
            if others
            else "",
            closed or ("" if others else worded("no other bike of theirs waits to be asked")),
        ),
        WayOut(
            "ring-first",
            worded("ring before the work starts"),
            worded("yes, asked for") if rings_first(job) else worded("not asked for"),
            closed,
        ),
        WayOut(
            "told",
            worded("told of the new promise"),
            "" if told else worded("they do not know yet"),
            over or (worded("they know") if told else ""),
        ),
        WayOut(
            "collector",
            worded("somebody else collects"),
            f"{collector.name}, {collector.how_known}" if collector else worded("name, and how we know them"),
            over,
        ),
    )


def _place(job: Job, state: JobState, now: datetime) -> tuple[WayOut, ...]:
    over = _OVER if state.ended else ""
    at, lost, due = promise_of(job).at, is_lost(job.bike), next_due(job, now)
    waits = (
        worded("next: {name}, from {day} {due:%b}", name=due.name, day=due.due.day, due=due.due)
        if due
        else worded("every step was taken")
    )
    ready = state.where in (Where.READY, Where.AWAY)
    return (
        WayOut(
            "promise",
            worded("new promise"),
            worded("now {at}", at=promise_words(at)) if at else worded("nothing is promised"),
            over,
        ),
        WayOut("move", worded("move the bike"), worded("now {words}", words=state.words), over),
        WayOut(
            "tag",
            worded("the tag turned up") if lost else worded("the tag is lost"),
            f"{job.bike.tag}{(worded(', lost') if lost else '')}",
            over,
        ),
        WayOut(
            "nobody",
            worded("nobody collects it"),
            waits if ready else "",
            over or ("" if ready else worded("it is not ready yet")),
        ),
        WayOut(
            "came-back",
            worded("it came back"),
            worded("a new job that follows this one"),
            "" if state.ended else worded("it is still here"),
        ),
    )


def _money(job: Job, state: JobState, stand: Standing) -> tuple[WayOut, ...]:
    closed, over = _closed(state), _OVER if state.ended else ""
    left = [line for line in stand.agreed if line not in stand.done]
    return (
        WayOut(
            "who-pays",
            worded("who pays for a line"),
            worded("warranty, our own work again, insurer, goodwill"),
            closed,
        ),
        WayOut(
            "discount",
            worded("discount or goodwill"),
            worded("a share or a sum, with a reason; the full price is kept"),
            over,
        ),
        WayOut("deposit", worded("deposit, payments"), worded("amount and how; no card numbers"), ""),
        WayOut(
            "unfinished",
            worded("the owner takes it back unfinished"),
            worded("{left} agreed and not done", left=len(left)) if left else "",
            closed or ("" if left else worded("no agreed line is open")),
        ),
        WayOut(
            "call-off",
            worded("call the job off"),
            worded("wrong tag, opened twice, taken back at once"),
            closed
            or (worded("{done} done: hand it over unfinished", done=len(stand.done)) if stand.done else ""),
        ),
    )
