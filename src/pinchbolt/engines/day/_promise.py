"""A day with its odds: for a job that comes in, for all that is promised, and what one does to the others."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import isfinite

import numpy as np

from pinchbolt.engines.day._ahead import ShopAhead
from pinchbolt.engines.day._coming_in import NOTHING_COMES
from pinchbolt.engines.day._runs import LaidOut, Played, lay_out, play
from pinchbolt.engines.day._stand_minutes import ENOUGH, StandMinutes, longest
from pinchbolt.engines.day.day_types import DAY, Floats, JobAhead, Odds, OtherOdds, PromiseOdds
from pinchbolt.errors import InputRefused
from pinchbolt.values import Reason
from pinchbolt.values.wording import worded

# Days looked at side by side, and how unlikely a day may be to be looked at.
_SIDE_BY_SIDE, _HARDLY, _SURE = 8, 0.3, 0.97
# Earlier than any promise, later than what is begun.
_BEFORE_ALL = -1e8
CALL_UNDER = 0.6
"""Promises less likely than this are listed with the call to make (next-capabilities: 6 in 10)."""
_MOVES, _MAY_LOSE, _WEEK = 0.03, 0.10, 7 * DAY


@dataclass(frozen=True, slots=True)
class JobOdds:
    """An open job: odds of its promise (None: nothing is promised), when it may leave in the middle and in nine of ten runs, from when
    to when it is on a stand in the middle, and whose hands most often do it; inf past the days played. [-], [min]
    """

    id: str
    odds: float | None
    middle: float
    late: float
    start: float
    end: float
    person: str


def promise_odds(ahead: ShopAhead, job: JobAhead, hours: Sequence[float], chosen: float = 0.8) -> PromiseOdds:
    """Return by when a job can be promised, and what that does to the promises that stand.

    ``odds(d) = P(ready <= d | promised for d)``: an earlier promise is also worked on earlier, so each day is played by itself.

    Args:
        ahead: The shop as it stands. [min]
        job: The job that comes in. [min]
        hours: Clocks at which bikes may be promised, in order, such as noon and closing of each open day. [min]
        chosen: The odds at which this shop promises. [-]

    Returns:
        The first day at the chosen odds that takes no more than 10 points from another promise, one before, one after; the other
            promises' odds; where no day is there, whether the shop is full, and the day if nothing else is promised sooner. [min], [-]

    Raises:
        InputRefused: Odds not between 0.5 and 0.99, or no hour ahead.

    Valid for: Two-person shops up to some ten people, days within the hours laid out; the odds are those of the shop's own rule.

    Source: Monte Carlo of the shop's own rule (docs/methods/day.md); held to hidden truths by make score-day.
    """
    if not 0.5 <= chosen <= 0.99:
        raise InputRefused(
            worded(
                "The odds are {chosen:g}: 0.5 to 0.99 is possible. Write four days of five as 0.8.",
                chosen=chosen,
            )
        )
    clocks = [one for one in hours if one > ahead.now]
    if not clocks:
        raise InputRefused(worded("There is no open hour ahead to promise: say when the shop is open."))
    laid = lay_out(ahead, job)
    found = _look(laid, clocks, chosen)
    best = found.best
    # Without a day: would one be there if the job went before everything? Then it is the queue, and not its part or its hands.
    is_full = best is None and _share(_before_all(laid, clocks[-1]), clocks[-1]) >= chosen
    if_none_sooner = None
    if is_full:
        alone = replace(ahead, learned=replace(ahead.learned, coming=NOTHING_COMES))
        if_none_sooner = _look(lay_out(alone, job), clocks, chosen).best
    return PromiseOdds(
        best,
        _said(best, found.days),
        found.days,
        found.others,
        middle=_point(found.ready, 0.5),
        late=_point(found.ready, 0.9),
        reasons=tuple(_reasons(ahead, job, found.ready)),
        is_full=is_full,
        if_none_sooner=if_none_sooner,
    )


def open_odds(ahead: ShopAhead) -> tuple[JobOdds, ...]:
    """Return how likely each open promise is, and when each job's turn comes.

    Args:
        ahead: The shop as it stands. [min]

    Returns:
        One for each open job, in its order. [min], [-]

    Raises:
        InputRefused: No stand, nobody in, minutes out of order.

    Valid for: As `promise_odds`.

    Source: As `promise_odds`.
    """
    played = play(ahead)
    found = []
    for place, job in enumerate(ahead.jobs):
        ready = played.ready[0, :, place]
        who = np.bincount(played.person[0, :, place] + 1, minlength=1)
        person = int(who[1:].argmax()) if who[1:].any() else -1
        found.append(
            JobOdds(
                job.id,
                None if job.promise is None else _share(ready, job.promise),
                _point(ready, 0.5),
                _point(ready, 0.9),
                _point(played.start[0, :, place], 0.5),
                _point(played.end[0, :, place], 0.5),
                ahead.hands[person].name if person >= 0 else "",
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Looked:
    """Days looked at: the first that does, all in order, the others' odds and when the job is ready, promised for it (or for the last)."""

    best: Odds | None
    days: tuple[Odds, ...]
    others: tuple[OtherOdds, ...]
    ready: Floats


def _look(laid: LaidOut, clocks: Sequence[float], chosen: float) -> _Looked:
    """Look for the first day that is at the chosen odds and spares the others: the next few first, then ever finer."""
    ahead, own = laid.ahead, len(laid.ahead.jobs)
    known: dict[float, float] = {}
    best: Odds | None = None
    # The first that may do, from a run in which the job goes before everything.
    begin, end = _first_that_may_do(laid, clocks), len(clocks)
    asked: Sequence[int] = range(begin, min(begin + _SIDE_BY_SIDE, end))
    while asked:
        # The days without the job ride along: the same chance, so the difference is the job's.
        days = [clocks[place] for place in asked]
        last = laid.play([*days, None], _until(ahead, days[-1]))
        stand = _standing(ahead, last)
        odds = [_share(last.ready[row, :, own], day) for row, day in enumerate(days)]
        known.update(zip(days, odds, strict=True))
        does = [odds[row] >= chosen and _spares(stand[-1], stand[row]) for row in range(len(days))]
        row = does.index(True) if any(does) else len(days) - 1
        if any(does) or best is None:
            others, ready = _others(ahead, stand[-1], stand[row]), last.ready[row, :, own]
        # A later day is surer and spares more: what is open lies behind the last that won't do, and before the first that does.
        if any(does):
            best, end = Odds(days[row], odds[row]), asked[row]
            begin = asked[row - 1] + 1 if row else begin
        else:
            begin = asked[-1] + 1
        asked = _spread(begin, end)
    return _Looked(best, tuple(Odds(at, known[at]) for at in sorted(known)), others, ready)


def _spread(begin: int, end: int) -> Sequence[int]:
    """Some places of a stretch, evenly, its last with them."""
    return sorted(
        {begin + (end - begin) * n // _SIDE_BY_SIDE - 1 for n in range(1, _SIDE_BY_SIDE + 1)} - {begin - 1}
    )


def _before_all(laid: LaidOut, until: float) -> Floats:
    """When a job is ready that goes before all that is not begun, overdue ones too."""
    return laid.play([_BEFORE_ALL], until).ready[0, :, len(laid.ahead.jobs)]


def _first_that_may_do(laid: LaidOut, clocks: Sequence[float]) -> int:
    """The place of the first clock that is not hopeless, where the job goes before everything else."""
    place = 0
    while place < len(clocks):
        asked = clocks[place : place + 2 * _SIDE_BY_SIDE]
        ready = laid.play([laid.ahead.now], asked[-1]).ready[0, :, len(laid.ahead.jobs)]
        found = next((n for n, one in enumerate(asked) if _share(ready, one) >= _HARDLY), None)
        if found is not None:
            return place + found
        place += len(asked)
    return len(clocks) - 1


def _until(ahead: ShopAhead, last: float) -> float:
    """Up to when the days are played: the last clock asked, and the promises that a job may move, within a week of it."""
    promised = [one.promise for one in ahead.jobs if one.promise is not None]
    return max([last, *(one for one in promised if one <= last + _WEEK)])


def _point(clocks: Floats, share: float) -> float:
    """The clock by which a share of the runs has come."""
    return float(np.quantile(clocks, share, method="higher"))


def _share(ready: Floats, by: float) -> float:
    return float((ready <= by).mean())


def _said(best: Odds | None, days: Sequence[Odds]) -> tuple[Odds, ...]:
    """The best day first, then a day sooner that may do, then one that is surer."""
    if best is None:
        # None will do: the likeliest of them, and none is called the day.
        return tuple(sorted(days, key=lambda one: -one.odds)[:1])
    place = days.index(best)
    sooner = [one for one in days[:place] if one.at // DAY < best.at // DAY and one.odds >= _HARDLY]
    sooner = sooner or [one for one in days[:place] if one.odds >= _HARDLY]
    later = [one for one in days[place + 1 :] if one.odds > best.odds]
    surer = next((one for one in later if one.odds >= _SURE or one.odds >= best.odds + 0.07), None)
    surer = surer or (later[-1] if later else None)
    return tuple(filter(None, (best, sooner[-1] if sooner else None, surer)))


def _standing(ahead: ShopAhead, played: Played) -> Floats:
    """The odds of the promises that stand (nan where nothing is promised), by scenario and job."""
    promised = np.array([np.nan if one.promise is None else one.promise for one in ahead.jobs])
    odds = (played.ready[:, :, : promised.size] <= promised).mean(1)
    return np.where(np.isnan(promised), np.nan, odds)


def _spares(before: Floats, after: Floats) -> bool:
    """Whether a job leaves the promises that stand about as they were: nobody's day is taken for a new one."""
    return not bool((before - after > _MAY_LOSE).any())


def _others(ahead: ShopAhead, before: Floats, after: Floats) -> tuple[OtherOdds, ...]:
    """What the job does to the promises that stand: those that move, and those that stand badly anyway, the hardest hit first."""
    found = [
        OtherOdds(job.id, float(was), float(is_))
        for job, was, is_ in zip(ahead.jobs, before, after, strict=True)
        if was - is_ >= _MOVES or is_ < CALL_UNDER
    ]
    return tuple(sorted(found, key=lambda one: (one.after - one.before, one.after)))


def _reasons(ahead: ShopAhead, job: JobAhead, ready: Floats) -> list[Reason]:
    """What decides, in the order in which it is asked."""
    known = ahead.learned.minutes
    times = np.exp(known.middle(job.kind))
    reasons = [
        Reason(
            worded(
                "{usual:.0f} minutes of work, {low:.0f} to {high:.0f}; here such "
                "work takes {times:.1f} times its minutes on the stand, {by_whom}.",
                usual=job.minutes[1],
                low=job.minutes[0],
                high=job.minutes[2],
                times=times,
                by_whom=_by_whom(known.jobs),
            )
        )
    ]
    before = sum(1 for one in ahead.jobs if one.promise is not None or one.used is not None)
    reasons.append(
        Reason(
            worded(
                "{before} open jobs with a promise or started, {hands} people, {stands} stands; "
                "about {rate:.1f} more bikes a day, some of which go before it.",
                before=before,
                hands=len(ahead.hands),
                stands=ahead.stands,
                rate=ahead.learned.coming.rate,
            )
        )
    )
    return [*reasons, *_waited(ahead, job), *_hindered(ahead, job, ready)]


def _waited(ahead: ShopAhead, job: JobAhead) -> list[Reason]:
    """What it waits for, and what cures."""
    reasons = []
    for wait in job.waits:
        whom = (
            worded("the owner's answer")
            if wait.what == "owner"
            else worded(
                "a part{supplier}", supplier=worded(" from ") + wait.supplier if wait.supplier else ""
            )
        )
        seen = ahead.learned.waiting.of(wait).seen
        reasons.append(
            Reason(
                worded(
                    "It waits for {whom}: by {seen} such waits, on what the trade takes.",
                    whom=whom,
                    seen=seen,
                )
            )
        )
    if job.nights:
        reasons.append(
            Reason(
                worded(
                    "{nights} night{s} to cure or to settle after the work: nothing shortens that.",
                    nights=job.nights,
                    s="s" if job.nights > 1 else "",
                )
            )
        )
    if job.cured_on:
        more = worded("{cured_on} day{s}", cured_on=job.cured_on, s="s" if job.cured_on > 1 else "")
        reasons.append(
            Reason(
                worded(
                    "What was done already cures or settles for {more} more: nothing shortens that.",
                    more=more,
                )
            )
        )
    return reasons


def _hindered(ahead: ShopAhead, job: JobAhead, ready: Floats) -> list[Reason]:
    """Why no day can be told."""
    reasons = []
    if not any(any(one.days) for one in ahead.hands):
        reasons.append(
            Reason(worded("Nobody is in on any of the days that were looked at: it can't be told."))
        )
    elif job.needs and all(job.needs & one.lacks for one in ahead.hands):
        lacked = {name for name in job.needs if all(name in one.lacks for one in ahead.hands)}
        whom = (
            worded("Nobody here does {lacked}", lacked=", ".join(sorted(lacked)))
            if lacked
            else worded("Nobody here does all of it alone")
        )
        reasons.append(Reason(worded("{whom}: it can't be told.", whom=whom)))
    if not isfinite(_point(ready, 0.9)):
        reasons.append(
            Reason(worded("In more than one run of ten it is not ready within the days that were looked at."))
        )
    return reasons


def _by_whom(jobs: int) -> str:
    """What minutes rest on: the shop's own done jobs, the trade, or both."""
    if jobs >= ENOUGH:
        return worded("as {jobs} done jobs tell", jobs=jobs)
    if not jobs:
        return worded("as the trade has it: no job is done here yet")
    return worded(
        "by {jobs} done job{s} and the trade's one and a half: fewer than {enough} tell little",
        jobs=jobs,
        s="" if jobs == 1 else "s",
        enough=ENOUGH,
    )


def is_grown(used: float, job: JobAhead, known: StandMinutes, person: str = "") -> bool:
    """Return whether a job has taken longer than nine of ten such jobs.

    Args:
        used: Minutes on the stand so far. [min]
        job: The job with its minutes. [min]
        known: What was learned of minutes. [-]
        person: Who does it. [-]

    Returns:
        Whether it is past its 90 % point. [-]

    Raises:
        InputRefused: Minutes below 0.

    Valid for: Work begun.

    Source: M_max at 90 %, MIL-HDBK-338B 5.6.2.1.
    """
    if not used >= 0:
        raise InputRefused(worded("Minutes on the stand are below 0: correct the times."))
    middle = max(job.minutes[1], 1.0) * float(np.exp(known.middle(job.kind, person)))
    return used > longest(middle, known.job_spread(job.minutes), 0.9)
