"""The days ahead, played many times by the shop's own rule: what is begun goes on first, then the earliest promise."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.day._ahead import ShopAhead
from pinchbolt.engines.day._day_loops import LOADED
from pinchbolt.engines.day._drawn import Drawn, draw
from pinchbolt.engines.day._hours import Hours, done_at, hours_of, next_at_work
from pinchbolt.engines.day.day_types import DAY, Floats, JobAhead, Whole
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

# Runs that are over are left out now and then.
_COMPRESS = 12


@dataclass(frozen=True, slots=True)
class Played:
    """What came of it: for each scenario (S), run (N) and job (J, later bikes behind) who, on which stand, from when, until when.

    `ready` is when the bike may leave; inf where that lies past the days played. `came` is when work could first begin. Clocks. [min]
    """

    person: Whole
    stand: Whole
    start: Floats
    end: Floats
    ready: Floats
    came: Floats


def play(
    ahead: ShopAhead,
    new: JobAhead | None = None,
    promises: Sequence[float | None] = (None,),
    until: float = np.inf,
) -> Played:
    """Play the days ahead in every scenario: *new* promised for each of *promises*; None: the days without it.

    Args:
        ahead: The shop as it stands. [min]
        new: A job that may be taken in. [min]
        promises: What it would be promised for, one scenario each. [min]
        until: The clock up to which it is of interest: what begins later is left out. [min]

    Returns:
        Each scenario's runs; the same chance in each. [min]

    Raises:
        InputRefused: No stand, nobody in, hours or minutes out of order.

    Valid for: One person at a bike, work not broken off for another bike; a bike that waits half done is off its stand.

    Source: List scheduling by the shop's own rule (common practice, no source); Monte Carlo.
    """
    return lay_out(ahead, new).play(promises, until)


@dataclass(frozen=True, slots=True)
class LaidOut:
    """The days ahead with all that chance decides: drawn once, to be played for one promise and another."""

    ahead: ShopAhead
    jobs: tuple[JobAhead, ...]
    new: JobAhead | None
    hours: Hours
    drawn: Drawn

    def play(self, promises: Sequence[float | None], until: float = np.inf) -> Played:
        """Play them as `play` says."""
        drawn, places, runs = self.drawn.until(until), len(promises), self.ahead.runs
        ready = np.tile(drawn.ready, (places, 1))
        if self.new is None:
            order = np.tile(np.argsort(drawn.rank, axis=1, kind="stable"), (places, 1))
        else:
            own = len(self.jobs) - 1
            order = _by_rank(drawn.rank, own, promises if self.new.used is None else [None] * places)
            for place in (n for n, promise in enumerate(promises) if promise is None):
                ready[place * runs : (place + 1) * runs, own] = np.inf
        run = np.tile(np.arange(runs), places)
        table = _Table(self.ahead, self.hours, drawn, self.jobs, run, ready, order)
        shape = (places, runs, drawn.ready.shape[1])
        leaves = table.played(until)
        return Played(
            table.person.reshape(shape),
            table.stand.reshape(shape),
            table.start.reshape(shape),
            table.end.reshape(shape),
            leaves.reshape(shape),
            ready.reshape(shape),
        )


def lay_out(ahead: ShopAhead, new: JobAhead | None = None) -> LaidOut:
    """Draw what chance decides, with a job that may be taken in.

    Raises:
        InputRefused: As `play`.
    """
    _refuse(ahead, new)
    jobs = (*ahead.jobs, new) if new is not None else ahead.jobs
    hours = hours_of(ahead.hands, ahead.learned.at_bikes, ahead.runs, np.random.default_rng([ahead.seed, 1]))
    return LaidOut(ahead, jobs, new, hours, draw(ahead, jobs, hours))


def _by_rank(rank: Floats, own: int, promises: Sequence[float | None]) -> Whole:
    """Jobs by rank in each run, one scenario below the other: all are sorted once, and the job *own* is put in where its promise is due."""
    runs, jobs = rank.shape
    sorted_ = np.argsort(rank, axis=1, kind="stable")
    others = sorted_[sorted_ != own].reshape(runs, jobs - 1)
    ranks, place = np.take_along_axis(rank, others, 1), np.arange(jobs)
    order = np.full((len(promises), runs, jobs), own)
    for scenario, promise in zip(order, promises, strict=True):
        due = rank[:, [own]] if promise is None else promise
        scenario[place != (ranks <= due).sum(1, keepdims=True)] = others.ravel()
    return order.reshape(-1, jobs)


class _Table:
    """The runs side by side: in each step every run gives one job to one person."""

    def __init__(
        self,
        ahead: ShopAhead,
        hours: Hours,
        drawn: Drawn,
        jobs: Sequence[JobAhead],
        run: Whole,
        ready: Floats,
        order: Whole,
    ) -> None:
        self.hours, self.drawn, self.run = hours, drawn, run
        self.now, self.stands = ahead.now, min(ahead.stands, len(ahead.hands))
        self.order = order
        shape = ready.shape
        self.person = np.full(shape, -1)
        self.stand = np.full(shape, -1)
        self.start, self.end = np.full(shape, np.inf), np.full(shape, np.inf)
        by_rank = np.take_along_axis(ready, self.order, 1)
        # People who do the same work look at the same jobs: one table for each such group.
        lacks = sorted({one.lacks for one in ahead.hands}, key=sorted)
        self.group = np.array([lacks.index(one.lacks) for one in ahead.hands])
        # Of later bikes nobody knows what they need: anybody may do them.
        left_out = np.zeros((len(lacks), shape[1]), bool)
        for row, lack in enumerate(lacks):
            left_out[row, : len(jobs)] = [bool(job.needs & lack) for job in jobs]
        self.open = [np.where(left_out[row][self.order], np.inf, by_rank) for row in range(len(lacks))]

    def played(self, until: float) -> Floats:
        """Play until nothing is left that begins within the time of interest; when each bike may leave."""
        if not LOADED:
            self._play(until)
            return self._may_leave()
        rows, leaves = LOADED[0]
        hours, drawn = self.hours, self.drawn
        told = (drawn.minutes, drawn.on_stand, drawn.pace, drawn.nights, drawn.after, drawn.cured_on)
        minutes, on_stand, pace, *cures = (np.ascontiguousarray(one) for one in told)
        rows(
            self.run, self.order, np.stack(self.open), self.group, float(self.now), self.stands, float(until),
            hours.opens, hours.closes, hours.next_in, hours.share, hours.gone, minutes, on_stand, pace,
            self.person, self.stand, self.start, self.end,
        )  # fmt: skip
        found: Floats = leaves(self.run, self.end, *cures, self._next_open())
        return found

    def _play(self, until: float) -> None:
        """Give out jobs until none is left that begins within the time of interest."""
        rows = np.arange(self.run.size)
        people = len(self.group)
        free = np.full((rows.size, people), float(self.now))
        stands = np.full((rows.size, self.stands), float(self.now))
        for step in range(self.order.shape[1]):
            at, who = self._next(rows, free, stands)
            alive = np.isfinite(at) & (at <= until)
            if not alive.any():
                return
            if not alive.all() and (step % _COMPRESS == 0 or not alive[: alive.size // 2].any()):
                rows, free, stands, at, who = rows[alive], free[alive], stands[alive], at[alive], who[alive]
                self.open = [one[alive] for one in self.open]
                alive = alive[alive]
            self._give(rows, free, stands, np.where(alive, at, np.inf), who)

    def _next(self, rows: Whole, free: Floats, stands: Floats) -> tuple[Floats, Whole]:
        """Who can begin first, and when."""
        come = np.stack([one.min(1) for one in self.open])
        begin = np.empty_like(free)
        place = stands.min(1)
        for person, group in enumerate(self.group):
            clock = np.maximum(np.maximum(free[:, person], come[group]), place)
            begin[:, person] = next_at_work(self.hours, person, clock)
        who = begin.argmin(1)
        return begin[np.arange(rows.size), who], who

    def _give(self, rows: Whole, free: Floats, stands: Floats, at: Floats, who: Whole) -> None:
        """The first by rank of what has come, to whoever begins first; what nobody can begin any more stays as it is."""
        side = np.arange(rows.size)
        pick = np.zeros(rows.size, int)
        for number, one in enumerate(self.open):
            mine = self.group[who] == number
            if mine.all():
                pick = (one <= at[:, None]).argmax(1)
            elif mine.any():
                pick[mine] = (one[mine] <= at[mine, None]).argmax(1)
        live = np.isfinite(at)
        if not live.all():
            side, rows_, at_, who_, pick_ = side[live], rows[live], at[live], who[live], pick[live]
        else:
            rows_, at_, who_, pick_ = rows, at, who, pick
        job, run = self.order[rows_, pick_], self.run[rows_]
        minutes = self.drawn.minutes[run, job] * self.drawn.pace[run, who_] + self.drawn.on_stand[run, job]
        end = done_at(self.hours, run, who_, at_, minutes)
        stand = stands[side].argmin(1)
        self.person[rows_, job], self.stand[rows_, job] = who_, stand
        self.start[rows_, job], self.end[rows_, job] = at_, end
        free[side, who_] = end
        stands[side, stand] = end
        for one in self.open:
            one[side, pick_] = np.inf

    def _next_open(self) -> Floats:
        """When the shop is next open, from each day on; inf behind the last."""
        hours = self.hours
        opens = np.where(hours.closes > hours.opens, hours.opens, np.inf).min(0)
        return np.append(np.minimum.accumulate(opens[::-1])[::-1], np.inf)

    def _may_leave(self) -> Floats:
        """When each bike may leave: after its work, or past its nights, when the shop is open again, with what follows them."""
        nights, after = self.drawn.nights[self.run], self.drawn.after[self.run]
        days, next_open = self.hours.days, self._next_open()
        day = np.minimum(np.where(np.isfinite(self.end), self.end, 0.0) // DAY, days - 1).astype(int)
        later = next_open[np.minimum(day + nights.astype(int), days)] + after
        leaves = np.where(nights > 0, later, self.end)
        # What was done before cures on, whatever else is worked on meanwhile.
        cured_on = self.drawn.cured_on[self.run].astype(int)
        cured = next_open[np.minimum(cured_on, days)] + after
        leaves = np.where(cured_on > 0, np.maximum(leaves, cured), leaves)
        return np.where(np.isfinite(self.end), leaves, np.inf)


def _refuse(ahead: ShopAhead, new: JobAhead | None) -> None:
    if ahead.stands < 1:
        raise InputRefused(worded("There is no stand: say how many there are."))
    for job in (*ahead.jobs, *((new,) if new else ())):
        low, usual, high = job.minutes
        if not 0 <= low <= usual <= high or not np.isfinite(high):
            raise InputRefused(
                worded(
                    "Minutes of {id} are {low:g}, {usual:g}, {high:g}: they must not fall.",
                    id=job.id,
                    low=low,
                    usual=usual,
                    high=high,
                )
            )
        if job.nights < 0 or job.after < 0 or job.cured_on < 0:
            raise InputRefused(worded("{id}: nights and minutes after the work can't be below 0.", id=job.id))
