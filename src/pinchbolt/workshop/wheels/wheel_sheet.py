"""The wheel sheet: a wheel's spokes as they were last read, the next turns in the order of the hands, and its past across bikes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from math import hypot, sqrt

from pinchbolt.errors import PinchboltError
from pinchbolt.records.models import Job, NippleTurn, Part, WheelReading
from pinchbolt.values.money import with_figures
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.questions.ask_wheel_plan import (
    WheelPlanRequest,
    WheelPlanView,
    WheelRoundRead,
    turn_words,
    wheel_plan,
    wheel_turns_ahead,
)
from pinchbolt.workshop.tools.tension_meter import meter_doubts
from pinchbolt.workshop.wheels._by_ear import RELATIVE_ONLY
from pinchbolt.workshop.wheels._wheel_cautions import CARBON_WAY, hold_back, wheel_cautions
from pinchbolt.workshop.wheels._wheel_past import WheelPast, past_of
from pinchbolt.workshop.wheels._wheel_records import (
    SpokeRead,
    WheelKnown,
    broken_of,
    heard_now,
    known_here,
    known_of,
    not_here_any_more,
    rounds_of,
    sides_of,
    spokes_of,
    turned_after,
    wheel_of_job,
    wheels_on,
)
from pinchbolt.workshop.wheels._wheel_state import WheelStateView, state_of_wheel
from pinchbolt.workshop.wheels.break_spoke import REBUILD_AT

_NAMES = {True: "right", False: "left"}
# So many sd may the mean of all tensions move between two readings without a turn. Own choice.
UNSAID = 4.0


@dataclass(frozen=True, slots=True)
class SpokeOnSheet:
    """A spoke as the sheet draws it: where it goes, what was read, its pitch since, and quarters to turn (0: none)."""

    number: int
    side: str
    read: SpokeRead | None
    heard_hz: float | None
    to_turn: int
    turned: int


@dataclass(frozen=True, slots=True)
class TurnOnSheet:
    """One nipple of the round: spoke, side, quarters, in words, the greatest tension once it is done, what was truly turned.

    `over_n`: how far a spoke is then above the mark, or above what it had before where that was more. [N]
    """

    spoke: int
    side: str
    quarters: int
    words: str
    greatest_n: float | None
    over_n: float
    turned: int
    turned_words: str


@dataclass(frozen=True, slots=True)
class RoundOnSheet:
    """A reading of this stay: who, when, how, how true the wheel was, quarters turned after it."""

    number: int
    at: datetime
    by: str
    how: str
    state: WheelStateView
    quarters: int


@dataclass(frozen=True, slots=True)
class WheelSheetView:
    """A wheel sheet. `plan` is None where none can be made: then `held_back` says why and what to do.

    `turns` are those of this round in the order of the hands, then what was turned besides; `next` is the first that is not done.
    There is none either where `read_first` says why it is read again before anything more is turned.
    """

    job: int
    part: int
    tag: str
    name: str
    is_open: bool
    known: WheelKnown | None
    spokes: tuple[SpokeOnSheet, ...]
    rounds: tuple[RoundOnSheet, ...]
    reading: int | None
    plan: WheelPlanView | None
    held_back: str
    turns: tuple[TurnOnSheet, ...]
    next: TurnOnSheet | None
    read_first: str
    doubts: tuple[str, ...]
    cautions: tuple[str, ...]
    past: tuple[WheelPast, ...]
    broken: int
    rebuild: bool

    @property
    def is_round_done(self) -> bool:
        """Whether all of this round's nipples are turned: now it is read again."""
        return bool(self.turns) and self.next is None and not self.read_first

    @property
    def first(self) -> WheelStateView | None:
        """How it was at the first reading of this stay."""
        return self.rounds[0].state if self.rounds else None

    @property
    def last(self) -> WheelStateView | None:
        """How it was at the newest one."""
        return self.rounds[-1].state if self.rounds else None

    @property
    def heard(self) -> int:
        """How many spokes were plucked since."""
        return sum(one.heard_hz is not None for one in self.spokes)


@dataclass(frozen=True, slots=True)
class WheelOnJob:
    """A wheel of a job: its number and name, and how it stands, in a few words."""

    part: int
    name: str
    words: str


def job_wheels(job: Job) -> tuple[WheelOnJob, ...]:
    """Return the wheels on a job's bike, each with how it stands."""
    return tuple(WheelOnJob(part.pk, _name(part), _stands(part, job)) for part in wheels_on(job))


def wheel_sheet(job: int, part: int) -> WheelSheetView:
    """Return the sheet of a wheel at a stay.

    Raises:
        NotFound: No such job or part.
        NotPossibleNow: It is no wheel of this bike.
    """
    found = job_by_id(job)
    return sheet_of(found, wheel_of_job(found, part))


@once_a_look
def sheet_of(job: Job, part: Part) -> WheelSheetView:
    """Return the sheet of a wheel at a stay."""
    known, rows = known_here(part, job), rounds_of(part, job)
    turned = turned_after(rows)
    now = turned[rows[-1].pk] if rows else {}
    heard, broken = heard_now(part, job), broken_of(part)
    doubts, stop = _doubts(rows, known)
    plan, held_back = (
        (None, stop) if stop and known is not None else _plan(known, part, rows, turned, len(broken))
    )
    turns = _turns(plan, now, known) if known else ()
    ahead = next((one for one in turns if not one.turned), None) if plan and not plan.done else None
    read_first = _read_first(ahead, plan, now, known)
    cautions = wheel_cautions(known, plan, len(broken))
    return WheelSheetView(
        job=job.pk,
        part=part.pk,
        tag=job.bike.tag,
        name=_name(part),
        is_open=not job_state(job).ended and not job_state(job).signed_off,
        known=known,
        spokes=_spokes(known, rows, plan, now, heard) if known else (),
        rounds=tuple(_round(number, row, turned[row.pk], known) for number, row in enumerate(rows, 1)),
        reading=rows[-1].pk if rows else None,
        plan=plan,
        held_back=held_back,
        turns=turns,
        next=None if read_first else ahead,
        read_first=read_first,
        doubts=doubts,
        cautions=cautions,
        past=past_of(part),
        broken=len(broken),
        rebuild=len(broken) >= REBUILD_AT,
    )


# The same readings give the same plan, so a page that is looked at after each tap need not seek it again.
_planned = with_figures(lru_cache(maxsize=64)(wheel_plan))
_ahead = with_figures(lru_cache(maxsize=64)(wheel_turns_ahead))


def _plan(
    known: WheelKnown | None,
    part: Part,
    rows: Sequence[WheelReading],
    turned: Mapping[int, Mapping[int, NippleTurn]],
    broken: int,
) -> tuple[WheelPlanView | None, str]:
    """The plan, or why there is none."""
    if known is None:
        return None, worded(
            "Measure the wheel first: rim, hub and lacing decide what a turn of a nipple does."
        )
    if not rows:
        return None, worded("Read every spoke first: side, up and tension, from spoke 1 beside the valve on.")
    if len(rows[-1].spokes) != known.wheel.spokes:
        return (
            None,
            worded(
                "It was read with {spokes} spokes and measured with {wheel_spokes}: read it again.",
                spokes=len(rows[-1].spokes),
                wheel_spokes=known.wheel.spokes,
            ),
        )
    stop = hold_back(known, broken) or not_here_any_more(part, rows[-1])
    if stop:
        return None, stop
    last = spokes_of(rows[-1])
    without = [str(spoke) for spoke, one in enumerate(last, 1) if one.tension_n is None]
    if without and all(one.share is not None for one in last):
        return None, RELATIVE_ONLY
    if without:
        return (
            None,
            worded(
                "The tension of spoke {without} is not known: read it, or the rim's limit can't be kept.",
                without=", ".join(without),
            ),
        )
    told = _hang_together(rows, turned)
    asked = WheelPlanRequest(
        known.wheel,
        tuple(_as_round(row, turned[row.pk], row is told[-1]) for row in told),
        known.limits,
        tension_sd_n=min(max(row.tension_sd for row in told), 300.0),
    )
    try:
        plan = _as_turned(asked, turned[rows[-1].pk])
    except PinchboltError as refusal:
        return None, refusal.sentence
    if known.carbon and any(one.over_n >= 0.5 for one in plan.turns):
        return None, CARBON_WAY
    return plan, ""


def _hang_together(
    rows: Sequence[WheelReading], turned: Mapping[int, Mapping[int, NippleTurn]]
) -> list[WheelReading]:
    """The newest readings that hang together by the turns between them: each in newtons, and none with turns that nobody wrote down."""
    told = [rows[-1]]
    for row in reversed(rows[:-1]):
        if any(one.tension_n is None for one in spokes_of(row)):
            break
        if not turned[row.pk] and _is_another(row, told[0]):
            break
        told.insert(0, row)
    return told


def _is_another(before: WheelReading, after: WheelReading) -> bool:
    """Whether tensions moved by more than misreading does, though nothing is written as turned between."""
    moved = [
        (now.tension_n or 0.0) - (then.tension_n or 0.0)
        for then, now in zip(spokes_of(before), spokes_of(after), strict=True)
    ]
    sd = hypot(before.tension_sd, after.tension_sd)
    mean = sum(moved) / len(moved)
    return (
        abs(mean) > UNSAID * sd / sqrt(len(moved))
        or sum(one**2 for one in moved) / len(moved) > (2 * sd) ** 2
    )


def _as_turned(asked: WheelPlanRequest, now: Mapping[int, NippleTurn]) -> WheelPlanView:
    """The plan; where something was turned otherwise than asked or in another order, the turns ahead as they stand by that."""
    plan = _planned(asked)
    done = {spoke: row.quarters for spoke, row in now.items()}
    ahead = tuple((one.spoke, one.quarters) for one in plan.turns if one.spoke not in done)
    if _as_asked(plan, now) or not ahead:
        return plan
    so_far = tuple(done.get(spoke, 0) for spoke in range(1, asked.wheel.spokes + 1))
    anew = {one.spoke: one for one in _ahead(asked, so_far, ahead)}
    return replace(plan, turns=tuple(anew.get(one.spoke, one) for one in plan.turns))


def _as_asked(plan: WheelPlanView, now: Mapping[int, NippleTurn]) -> bool:
    """Whether what was turned is what comes first in the plan, spoke for spoke."""
    first = {one.spoke: one.quarters for one in plan.turns[: len(now)]}
    return first == {spoke: row.quarters for spoke, row in now.items()}


def _read_first(
    ahead: TurnOnSheet | None,
    plan: WheelPlanView | None,
    now: Mapping[int, NippleTurn],
    known: WheelKnown | None,
) -> str:
    """Why the wheel is read again before the next nipple; "" where that may be turned: what the plan itself passes it says itself."""
    if ahead is None or plan is None or known is None or ahead.over_n < 0.5 or _as_asked(plan, now):
        return ""
    mark = known.limits.greatest_n
    what = (
        worded("over the {mark:.0f} N marked", mark=mark)
        if mark is not None
        else worded("above the tightest that was read")
    )
    return worded(
        "It was not turned as asked: with spoke {spoke} {words} now, a spoke would come "
        "{over_n:.0f} N {what}. Read every spoke again first.",
        spoke=ahead.spoke,
        words=ahead.words,
        over_n=ahead.over_n,
        what=what,
    )


def _as_round(row: WheelReading, turned: Mapping[int, NippleTurn], is_last: bool) -> WheelRoundRead:
    spokes = spokes_of(row)
    return WheelRoundRead(
        tuple(one.side_mm for one in spokes),
        tuple(one.up_mm for one in spokes),
        tuple(one.tension_n for one in spokes),
        row.dish,
        None
        if is_last
        else tuple(float(turned[at].quarters) if at in turned else 0.0 for at in range(1, len(spokes) + 1)),
    )


def _turns(
    plan: WheelPlanView | None, now: Mapping[int, NippleTurn], known: WheelKnown
) -> tuple[TurnOnSheet, ...]:
    """The plan's turns, and what was turned besides."""
    right = sides_of(known)
    asked = [
        TurnOnSheet(
            one.spoke,
            one.side,
            one.quarters,
            one.words,
            one.greatest_n,
            one.over_n,
            *_done(now.get(one.spoke)),
        )
        for one in (plan.turns if plan else ())
    ]
    mine = {one.spoke for one in asked}
    besides = [
        TurnOnSheet(spoke, _NAMES[right[spoke - 1]], 0, worded("not asked for"), None, 0.0, *_done(row))
        for spoke, row in sorted(now.items())
        if spoke not in mine and spoke <= len(right)
    ]
    return (*asked, *besides)


def _done(row: NippleTurn | None) -> tuple[int, str]:
    return (row.quarters, turn_words(row.quarters)) if row is not None else (0, "")


def _spokes(
    known: WheelKnown,
    rows: Sequence[WheelReading],
    plan: WheelPlanView | None,
    now: Mapping[int, NippleTurn],
    heard: Mapping[int, tuple[float, float]],
) -> tuple[SpokeOnSheet, ...]:
    read = spokes_of(rows[-1]) if rows else ()
    to_turn = {one.spoke: one.quarters for one in (plan.turns if plan else ())}
    return tuple(
        SpokeOnSheet(
            spoke,
            _NAMES[right],
            read[spoke - 1] if spoke <= len(read) else None,
            heard[spoke][0] if spoke in heard else None,
            0 if spoke in now else to_turn.get(spoke, 0),
            now[spoke].quarters if spoke in now else 0,
        )
        for spoke, right in enumerate(sides_of(known), 1)
    )


def _round(
    number: int, row: WheelReading, turned: Mapping[int, NippleTurn], known: WheelKnown | None
) -> RoundOnSheet:
    quarters = sum(abs(one.quarters) for one in turned.values())
    return RoundOnSheet(
        number, row.event.at, row.event.by.name, _how(row), state_of_wheel(row, known), quarters
    )


def _how(row: WheelReading) -> str:
    if row.tool is not None:
        return row.tool.name
    return {"ear": worded("by ear"), "newton": worded("typed in N")}.get(row.how, row.how)


def _doubts(rows: Sequence[WheelReading], known: WheelKnown | None) -> tuple[tuple[str, ...], str]:
    """What is to be doubted of these readings, and why no plan is made of them at all."""
    if not rows:
        return (), ""
    kind = known.spoke_kind if known else ""
    by_meter = [meter_doubts(row.tool, kind, row.pk) for row in rows if row.tool is not None]
    stop = next((words for words, found_out in by_meter if found_out), "")
    told = list(dict.fromkeys(words for words, _ in by_meter if words))
    told.append(
        worded(
            "A tension is taken to be out by {tension_sd:.0f} N (one standard deviation).",
            tension_sd=rows[-1].tension_sd,
        )
    )
    if rows[-1].dish is None:
        told.append(worded("Dish was not read: the rim may stand off the middle though it runs true."))
    return tuple(told), stop


def _stands(part: Part, job: Job) -> str:
    rows = rounds_of(part, job)
    if not rows:
        return (
            worded("not measured yet")
            if known_of(part) is None
            else worded("measured, not read at this stay")
        )
    seen = state_of_wheel(rows[-1], known_of(part))
    spread = (
        ""
        if seen.spread_percent is None
        else worded(", {spread_percent:.0f} % off its side's mean", spread_percent=seen.spread_percent)
    )
    return worded(
        "read {rows} time{s}: {side_mm:g} mm side, {up_mm:g} mm up{spread}",
        rows=len(rows),
        s="" if len(rows) == 1 else "s",
        side_mm=seen.side_mm,
        up_mm=seen.up_mm,
        spread=spread,
    )


def _name(part: Part) -> str:
    return f"{part.place} {part.kind}".strip().capitalize()
