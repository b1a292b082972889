"""What chance decides before the days are played: minutes, arrivals, later bikes. One stream of chance for each, so that a job more
leaves the others as they were."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr, ndtri

from pinchbolt.engines.day._ahead import ShopAhead
from pinchbolt.engines.day._coming_in import draw_later
from pinchbolt.engines.day._hours import Hours
from pinchbolt.engines.day._waiting_days import days_left
from pinchbolt.engines.day.day_types import DAY, Floats, JobAhead, Wait

# What is begun comes before all; jobs without a promise come after those with one.
_BEGUN, _NO_PROMISE = -1e9, 1e7
# A job that is past everything known still takes a while; and the far end of the bell.
_LEAST_LEFT, _FAR = 0.02, 1 - 1e-9
# A part comes with the first round of the day: some time in its first hour.
_FIRST_ROUND = 60.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """By run and job (the open ones, then later bikes): from when it can be started, its rank, minutes, nights. [min]

    `on_stand` are minutes that nothing shortens at the stand, `after` those past the nights; `pace` is each person's (runs, people).
    `cured_on` is the day before which it may not leave, 0 where nothing cures; `came` is when it is in the shop. [min], [-], [days]
    """

    ready: Floats
    rank: Floats
    minutes: Floats
    nights: Floats
    on_stand: Floats
    after: Floats
    cured_on: Floats
    pace: Floats
    came: Floats

    def until(self, clock: float) -> "Drawn":
        """Return it without the later bikes that come after a clock in each run."""
        there = np.asarray((self.came <= clock).any(0))
        if there.all():
            return self
        by_job = {name: getattr(self, name)[:, there] for name in self.__dataclass_fields__ if name != "pace"}
        return Drawn(**by_job, pace=self.pace)


def draw(ahead: ShopAhead, jobs: Sequence[JobAhead], hours: Hours) -> Drawn:
    """Draw what chance decides for jobs on a shop's days."""
    seed, runs, known = ahead.seed, ahead.runs, ahead.learned.minutes
    world = np.random.default_rng([seed, 2])
    shop = world.normal(*known.shop, runs)
    names = [one.name for one in ahead.hands]
    pace = np.exp(_effects(names, known.people, known.people_apart, runs, world))
    opens = _open_days(hours)
    spread = np.sqrt(known.spread**2 + known.kinds_apart**2)
    usual_done = _done_in_usual(hours, ahead.now, pace, shop + spread**2 / 2)
    queue = sum(job.minutes[1] for job in jobs if job.used is None)
    chance = np.random.default_rng([seed, 3])
    later = draw_later(ahead.learned.coming, opens, ahead.now, queue, usual_done, chance)
    noise = np.random.default_rng([seed, 4])
    further = later.usual * np.exp(shop[:, None] + noise.normal(0, spread, later.usual.shape))
    columns = [_one_job(ahead, job, place, shop, pace, opens) for place, job in enumerate(jobs)]
    ready, minutes = (
        np.stack([one[side] for one in columns], 1) if columns else np.zeros((runs, 0)) for side in (0, 1)
    )
    nights, after, cured_on = (
        np.array([float(getattr(job, name)) for job in jobs]) for name in ("nights", "after", "cured_on")
    )
    cures = (nights > 0) | (cured_on > 0)
    rank = np.array([_rank(job, place) for place, job in enumerate(jobs)])

    def beside(own: Floats, behind: Floats) -> Floats:
        return np.hstack([np.broadcast_to(own, (runs, len(jobs))), behind])

    nothing = np.zeros_like(later.usual)
    return Drawn(
        ready=beside(ready, later.ready),
        rank=beside(rank, later.promise),
        minutes=beside(minutes, further),
        nights=beside(nights, later.nights),
        on_stand=beside(np.where(cures, 0.0, after), nothing),
        after=beside(np.where(cures, after, 0.0), nothing),
        cured_on=beside(cured_on, nothing),
        pace=pace,
        came=beside(np.full(len(jobs), -np.inf), later.came),
    )


def _rank(job: JobAhead, place: int) -> float:
    """What is begun first, then the earliest promise, then what was promised nothing, as it came."""
    by = _NO_PROMISE + place if job.promise is None else job.promise
    return by + (_BEGUN if job.used is not None else 0.0)


def _open_days(hours: Hours) -> list[tuple[float, float]]:
    """Days on which anybody is in: from when to when."""
    here = hours.closes > hours.opens
    found = []
    for day in range(hours.days):
        if here[:, day].any():
            found.append(
                (float(hours.opens[here[:, day], day].min()), float(hours.closes[here[:, day], day].max()))
            )
    return found or [(0.0, 0.0)]


def _done_in_usual(hours: Hours, now: float, pace: Floats, longer: Floats) -> Floats:
    """The usual minutes that each run gets done on each day on which anybody is in, today from now on: (runs, days). [min]"""
    here = (hours.closes > hours.opens).any(0)
    left = np.maximum(hours.closes - np.maximum(hours.opens, now), 0.0)
    done: Floats = (hours.share * left / pace[:, :, None]).sum(1) / np.exp(longer)[:, None]
    return done[:, here] if here.any() else np.zeros((pace.shape[0], 1))


def _effects(
    names: Sequence[str],
    known: Mapping[str, tuple[float, float]],
    apart: float,
    runs: int,
    rng: np.random.Generator,
) -> Floats:
    told = [known.get(name, (0.0, apart)) for name in names]
    return np.stack([rng.normal(mean, sd, runs) for mean, sd in told], 1)


def _one_job(
    ahead: ShopAhead,
    job: JobAhead,
    place: int,
    shop: Floats,
    pace: Floats,
    opens: Sequence[tuple[float, float]],
) -> tuple[Floats, Floats]:
    """From when on one job can be started, and its minutes at the usual pace, by run."""
    known, runs = ahead.learned.minutes, shop.size
    rng = np.random.default_rng([ahead.seed, 5, place])
    ready = np.full(runs, ahead.now)
    for wait in job.waits:
        ready = np.maximum(ready, _comes(ahead, wait, opens, rng))
    kind = rng.normal(*known.kinds.get(job.kind, (0.0, known.kinds_apart)), runs)
    spread = known.job_spread(job.minutes)
    middle = np.log(max(job.minutes[1], 1.0)) + shop + kind
    chance = rng.uniform(0, 1, runs)
    if not job.used:
        return ready, np.exp(middle + spread * ndtri(np.clip(chance, 1e-9, _FAR)))
    # Of what is begun only what lies past the time already used is left.
    own = next((pace[:, n] for n, one in enumerate(ahead.hands) if one.name == job.used_by), np.ones(runs))
    past = ndtr((np.log(job.used) - middle - np.log(own)) / spread)
    whole = np.exp(middle + spread * ndtri(np.clip(past + (1 - past) * chance, 1e-9, _FAR))) * own
    return ready, np.maximum(whole - job.used, _LEAST_LEFT * job.used) / own


def _comes(
    ahead: ShopAhead, wait: Wait, opens: Sequence[tuple[float, float]], rng: np.random.Generator
) -> Floats:
    """The clock at which one part or answer is here: parts by the first round of a day, answers some time of it."""
    begins, ends = (np.append(one, np.inf) for one in zip(*opens, strict=True))
    days = begins[:-1] // DAY
    here_today, spans = days[0] == 0, ends[:-1] - begins[:-1]
    if wait.what == "part":
        spans = np.full(days.size, _FIRST_ROUND)
    # Of a wait that goes on today is not over yet: it may still come in what is left of the time in which such things come.
    ahead_of_it = 1 - (ahead.now - begins[0]) / spans[0] if here_today and spans[0] > 0 else 0.0
    still = float(np.clip(ahead_of_it, 0.0, 1.0))
    left = days_left(ahead.learned.waiting.of(wait), wait.since, still, ahead.runs, rng).astype(int)
    if wait.due is not None and wait.due > 0:
        first = int(np.searchsorted(days, wait.due))
    else:
        # Today counts as nothing; where nobody is in today, the next open day counts as one.
        first = 0 if here_today else -1
    place = np.clip(first + left, 0, days.size)
    some_time = rng.uniform(0, 1, ahead.runs)
    came = begins[place] + some_time * np.append(spans, 0.0)[place]
    # What is to come today and is not here comes in what is left of the day.
    left_of_day = np.maximum(ends[place] - ahead.now, 0.0)
    soon = ahead.now + some_time * np.where(np.isfinite(left_of_day), left_of_day, 0.0)
    return np.where(came > ahead.now, came, soon)
