"""A drawn shop for the day's score: hidden minutes, spreads, part days, interruptions and seasons, worked off plainly by the clock.

Every number here is an assumption. The shop is played quarter hour by quarter hour, a way of its own beside the engine's runs.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from math import exp

import numpy as np

from pinchbolt.engines.day import (
    DAY,
    DoneJob,
    Hands,
    JobAhead,
    PastJob,
    ShopAhead,
    ShopTaught,
    Wait,
    learn_at_bikes,
    learn_coming,
    learn_minutes,
    learn_waiting,
)

OPENS, CLOSES = 540.0, 1050.0
STEP = 15.0
CLOSED = (5, 6)
LAST = 17 * 60.0
NOON = 12 * 60.0
KINDS = {
    "tyre": 30,
    "brakes": 50,
    "gears": 60,
    "drive": 90,
    "bleed": 80,
    "wheel": 75,
    "service": 170,
    "suspension": 220,
}
NIGHTS = {"bleed": 0.4, "suspension": 0.2, "tyre": 0.05}
PEOPLE = ("ada", "ben")


@dataclass
class Truth:
    """What the shop does not know of itself."""

    middles: dict[str, float]
    spreads: dict[str, float]
    paces: dict[str, float]
    part_days: dict[str, np.ndarray]
    share: float
    rate: float
    season: float
    drop_ins: float


@dataclass
class Job:
    """A bike in the shop."""

    id: str
    kind: str
    usual: float
    came: float
    true: float
    nights: int
    supplier: str = ""
    here: int = 0  # day on which its part comes
    promise: float = 0.0
    told: float = 0.0
    left: float = 0.0
    used: float | None = None
    by: str = ""
    ready: float | None = None
    queue: float = 0.0  # usual minutes that stood unbegun in the shop when it came


def truth(seed: int, load: float) -> Truth:
    """Draw what is hidden; `load` is the work that comes in, of what two people can do on average."""
    rng = np.random.default_rng([seed, 100])
    share = float(rng.uniform(0.58, 0.75))
    drop_ins = float(rng.uniform(0.3, 0.9))
    middles = {kind: float(rng.normal(0.05, 0.25)) for kind in KINDS}
    spreads = {kind: float(rng.uniform(0.2, 0.5)) for kind in KINDS}
    paces = {name: float(rng.normal(0, 0.12)) for name in PEOPLE}
    mean = (
        np.mean([usual * exp(middles[kind] + spreads[kind] ** 2 / 2) for kind, usual in KINDS.items()]) * 1.04
    )
    can = len(PEOPLE) * (CLOSES - OPENS) * share
    rate = load * can / mean
    days = {name: rng.dirichlet([3, 2.5, 1.2, 0.7, 0.3]) for name in ("north", "south", "east")}
    return Truth(middles, spreads, paces, days, share, rate, float(rng.uniform(0, 2 * np.pi)), drop_ins)


@dataclass
class Shop:
    """The shop by the clock: who has which bike, what is done, what the records hold."""

    true: Truth
    seed: int
    open: list[Job] = field(default_factory=list)
    done: list[Job] = field(default_factory=list)
    records: list[DoneJob] = field(default_factory=list)
    past: list[PastJob] = field(default_factory=list)
    counts: list[int] = field(default_factory=list)
    parts: dict[str, list[float]] = field(default_factory=dict)
    shares: list[float] = field(default_factory=list)
    learned: ShopTaught = field(default_factory=ShopTaught)
    holds: dict[str, Job | None] = field(default_factory=lambda: dict.fromkeys(PEOPLE))
    busy: dict[str, float] = field(default_factory=lambda: dict.fromkeys(PEOPLE, 0.0))
    full: dict[str, bool] = field(default_factory=lambda: dict.fromkeys(PEOPLE, True))

    def arrivals(self, day: int) -> list[Job]:
        """The bikes of a day, drawn alike for every rule."""
        rng = np.random.default_rng([self.seed, 200, day])
        rate = self.true.rate * (1 + 0.15 * np.sin(self.true.season + 2 * np.pi * day / 210))
        found = []
        for n in range(rng.poisson(rate)):
            kind = str(rng.choice(list(KINDS)))
            usual = max(10.0, float(KINDS[kind] * rng.lognormal(0, 0.25)))
            stuck = 1.8 if rng.uniform() < 0.05 else 1.0
            true = usual * stuck * exp(self.true.middles[kind] + self.true.spreads[kind] * rng.normal())
            came = day * DAY + rng.uniform(OPENS, CLOSES)
            nights = int(rng.uniform() < NIGHTS.get(kind, 0.0))
            job = Job(f"{day}-{n}", kind, usual, float(came), float(true), nights)
            if rng.uniform() < 0.22:
                job.supplier = str(rng.choice(list(self.true.part_days)))
                took = int(rng.choice([1, 2, 3, 5, 9], p=self.true.part_days[job.supplier]))
                job.here = day_on(day, took)
                self.parts.setdefault(job.supplier, [])
            job.left = job.true
            found.append(job)
        return sorted(found, key=lambda one: one.came)

    def ahead(self, now: float) -> ShopAhead:
        """The shop as its own records show it now."""
        day = int(now // DAY)
        week = [(OPENS, CLOSES) if (day + n) % 7 not in CLOSED else None for n in range(45)]
        hands = tuple(Hands(name, week) for name in PEOPLE)
        jobs = tuple(self.as_ahead(one, now) for one in self.open if one.ready is None and one.left > 0)
        return ShopAhead(now - day * DAY, hands, 2, jobs, self.learned, self.seed, RUNS)

    def as_ahead(self, job: Job, now: float) -> JobAhead:
        """A job as the records show it."""
        day = int(now // DAY)
        waits = ()
        if job.supplier and job.here * DAY + OPENS > now:
            waits = (Wait("part", job.supplier, open_days(int(job.came // DAY), day)),)
        spread = (0.7 * job.usual, job.usual, 1.7 * job.usual)
        promise = job.promise - day * DAY if job.promise else None
        return JobAhead(job.id, spread, job.kind, promise, job.used, job.by, waits, job.nights)

    def work(self, since: float, until: float) -> None:
        """Work on in quarters of an hour: begun first, then the earliest promise, of what is here."""
        clock = since
        while clock < until:
            step = min(STEP, until - clock)
            for name in PEOPLE:
                self.quarter(name, clock, step)
            clock += step

    def quarter(self, name: str, clock: float, step: float) -> None:
        """One person's quarter: a call, a customer, or the bike in the stand."""
        day = int(clock // DAY)
        rng = np.random.default_rng([self.seed, 300, day, PEOPLE.index(name), int(clock % DAY // STEP)])
        of_day = np.random.default_rng([self.seed, 301, day, PEOPLE.index(name)]).normal(0, 0.1)
        called = rng.uniform() > np.clip(self.true.share + of_day, 0.2, 0.95)
        left = step
        while left > 0:
            job = self.holds[name] or self.taken_up(name, clock, called)
            if job is None:
                return
            pace = exp(self.true.paces[name])
            spent = left if called else min(left, job.left * pace)
            job.used = (job.used or 0.0) + spent
            self.busy[name] += spent
            left -= spent
            if called:
                return
            job.left -= spent / pace
            if job.left <= 1e-9:
                self.finished(name, job, clock + step - left)

    def taken_up(self, name: str, clock: float, called: bool) -> Job | None:
        """The next bike: begun first, then the earliest promise."""
        taken = [one for one in self.holds.values() if one is not None]
        here = [
            one
            for one in self.open
            if one not in taken and one.came <= clock + STEP and one.here * DAY + OPENS <= clock
        ]
        if not here:
            self.full[name] = False
        if not here or called:
            return None
        job = min(here, key=lambda one: (one.used is None, one.promise))
        job.by, self.holds[name] = name, job
        return job

    def finished(self, name: str, job: Job, clock: float) -> None:
        """Off the stand; what must cure leaves when the shop is open after its night."""
        self.holds[name] = None
        self.records.append(DoneJob(job.usual, max(job.used or 0.0, 1.0), job.kind, name))
        job.ready = day_on(int(clock // DAY), job.nights) * DAY + OPENS if job.nights else clock
        self.open.remove(job)
        self.done.append(job)

    def evening(self) -> None:
        """How much of the day was spent at bikes, where there was work all day."""
        self.shares += [self.busy[name] / (CLOSES - OPENS) for name in PEOPLE if self.full[name]]
        self.busy, self.full = dict.fromkeys(PEOPLE, 0.0), dict.fromkeys(PEOPLE, True)

    def learn(self) -> None:
        """What the records tell in the morning."""
        self.learned = ShopTaught(
            learn_minutes(self.records[-400:]),
            learn_waiting(self.parts),
            learn_coming(self.counts, self.past),
            learn_at_bikes(self.shares[-120:]),
        )


def day_on(day: int, count: int) -> int:
    """The open day that comes so many open days later."""
    while count:
        day += 1
        count -= day % 7 not in CLOSED
    return day


def open_days(since: int, until: int) -> int:
    """Open days that went by between two days."""
    return sum(1 for day in range(since + 1, until + 1) if day % 7 not in CLOSED)


RUNS, AFTER = 128, 15
Promises = Callable[[Shop, Job], tuple[float, float] | None]


def hours_ahead(now: float) -> list[float]:
    """Noon and five of the open days ahead, from the start of today."""
    day = int(now // DAY)
    return [n * DAY + hour for n in range(40) if (day + n) % 7 not in CLOSED for hour in (NOON, LAST)]


def in_season(jobs: list[Job], days: int = 150, warm: int = 30) -> list[Job]:
    """Those that came after the first weeks and within the season."""
    return [job for job in jobs if warm <= job.came / DAY < days]


def season(seed: int, load: float, promise: Promises, days: int = 150) -> list[Job]:
    """Play a season and some weeks more; return all that came.

    A bike that nothing is promised is not taken in: it comes back with no promise (0) and is in nobody's records.
    """
    shop, away = Shop(truth(seed, load), seed), []
    for day in range(days + AFTER):
        if day % 7 in CLOSED:
            continue
        shop.learn()
        clock = day * DAY + OPENS
        taken: list[Job] = []
        for job in shop.arrivals(day):
            shop.work(clock, job.came)
            clock = job.came
            job.queue = sum(one.usual for one in shop.open if one.used is None)
            told = promise(shop, job)
            if told is None:
                away.append(job)
                continue
            job.promise, job.told = told
            taken.append(job)
            shop.open.append(job)
        shop.work(clock, day * DAY + CLOSES)
        shop.evening()
        for job in taken:
            wait = open_days(day, job.here) if job.supplier else 0
            shop.past.append(PastJob(job.usual, lead_of(job, day), wait, job.nights, job.queue))
        for job in shop.open + shop.done:
            if job.supplier and job.here == day:
                shop.parts[job.supplier].append(open_days(int(job.came // DAY), day))
        shop.counts.append(len(taken))
    return [*shop.done, *shop.open, *away]


def lead_of(job: Job, day: int) -> float:
    """Open days to the day of a promise, and the share of that day's hours behind the point."""
    return open_days(day, int(job.promise // DAY)) + (job.promise % DAY - OPENS) / (CLOSES - OPENS)
