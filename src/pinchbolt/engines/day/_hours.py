"""When people are in, as arrays: from a clock to the minutes that a person stands at a bike, and back."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinchbolt.engines.day.day_types import DAY, Floats, Hands, Whole
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

# Of the hours that somebody is in, the share at a bike while there is work, and how that share differs from day to day. From memory.
AT_BIKES, SHARES_APART, DAYS_APART, WORTH = 0.90, 0.08, 0.12, 10.0


@dataclass(frozen=True, slots=True)
class AtBikes:
    """The share of open hours that a person stands at bikes on a day with work enough: mean, its sd, and from day to day. [-]"""

    mean: float = AT_BIKES
    sd: float = SHARES_APART
    apart: float = DAYS_APART


def learn_at_bikes(shares: Sequence[float]) -> AtBikes:
    """Return the share of a day at bikes by the days that had work enough.

    Args:
        shares: Of each such day of a person, minutes at bikes over minutes in. [-]

    Returns:
        Mean with its sd, and how days differ. [-]

    Raises:
        InputRefused: A share below 0.

    Valid for: Days on which a bike waited for a hand all day; others tell nothing.

    Source: Normal mean with a prior worth ten days, textbook; starting values from memory.
    """
    told = np.array(shares, float)
    if (told < 0).any():
        raise InputRefused(worded("A share of a day is below 0: correct the times."))
    told = np.minimum(told, 1.0)
    count = told.size
    mean = (AT_BIKES * WORTH + told.sum()) / (WORTH + count)
    apart = np.sqrt((WORTH * DAYS_APART**2 + ((told - mean) ** 2).sum()) / (WORTH + count))
    return AtBikes(float(mean), float(apart / np.sqrt(WORTH + count)), float(apart))


@dataclass(frozen=True, slots=True)
class Hours:
    """People (P) by days (D): `opens`, `closes` as clocks, equal where they are away; `next_in` is the next day with hours from each day on.

    `share` (runs, P, D) at bikes; `gone` (runs, P, D + 1) the minutes at bikes that lie before each day. [min], [-]
    """

    opens: Floats
    closes: Floats
    next_in: Whole
    share: Floats
    gone: Floats

    @property
    def days(self) -> int:
        """How many days it reaches."""
        return int(self.opens.shape[1])


def hours_of(hands: Sequence[Hands], at_bikes: AtBikes, runs: int, rng: np.random.Generator) -> Hours:
    """Draw how much of each day people stand at bikes, and lay out their hours.

    Raises:
        InputRefused: Nobody works here, or somebody's days are fewer than another's, or a day closes before it opens.
    """
    if not hands or len({len(one.days) for one in hands}) != 1:
        raise InputRefused(worded("Hours: one person at least, and as many days for each. Say who is in."))
    days = len(hands[0].days)
    opens, closes = np.zeros((len(hands), days)), np.zeros((len(hands), days))
    for row, one in enumerate(hands):
        for day, told in enumerate(one.days):
            start, end = told if told is not None else (0.0, 0.0)
            if not 0 <= start <= end <= DAY:
                raise InputRefused(
                    worded("{name}'s hours end before they begin: correct them.", name=one.name)
                )
            opens[row, day], closes[row, day] = day * DAY + start, day * DAY + end
    here = closes > opens
    next_in = np.full((len(hands), days + 1), days)
    for day in range(days - 1, -1, -1):
        next_in[:, day] = np.where(here[:, day], day, next_in[:, day + 1])
    mean = rng.normal(at_bikes.mean, at_bikes.sd, (runs, 1, 1))
    share = np.clip(rng.normal(mean, at_bikes.apart, (runs, len(hands), days)), 0.15, 1.0)
    gone = np.zeros((runs, len(hands), days + 1))
    np.cumsum(share * (closes - opens), axis=2, out=gone[:, :, 1:])
    return Hours(opens, closes, next_in, share, gone)


def next_at_work(hours: Hours, person: int, clock: Floats) -> Floats:
    """Return from when on a person can stand at a bike, at each clock or later; inf past the last day."""
    days = hours.days
    day = np.minimum(clock / DAY, days).astype(int)
    # Past the last day nothing closes any more: what is there is found by `next_in`.
    closes = np.append(hours.closes[person], np.inf)
    # Of a day that is over, or away, the next one with hours.
    on = hours.next_in[person].take(np.minimum(day + (clock >= closes.take(day)), days))
    opens = np.append(hours.opens[person], np.inf)
    found: Floats = np.maximum(clock, opens.take(on))
    return found


def done_at(hours: Hours, run: Whole, person: Whole, clock: Floats, minutes: Floats) -> Floats:
    """Return when a person who begins at a clock within their hours has done so many minutes at a bike; inf past the last day."""
    days = hours.days
    # Flat places: where a person's days begin, in the hours and in each run of them.
    own = person * days
    line = run * len(hours.opens) + person
    opens, gone, share = hours.opens.ravel(), hours.gone.ravel(), hours.share.ravel()
    first = line * (days + 1)
    on = np.minimum(clock / DAY, days - 1).astype(int)
    target = gone.take(first + on) + (clock - opens.take(own + on)) * share.take(line * days + on)
    target = target + minutes
    # A job is done on the day it is begun or on one of the next few.
    enough = target - 1e-9
    left = np.flatnonzero(gone.take(first + on + 1) < enough)
    while left.size:
        on[left] += 1
        left = left[on[left] < days]
        left = left[gone.take(first[left] + on[left] + 1) < enough[left]]
    at = np.minimum(on, days - 1)
    end: Floats = opens.take(own + at) + (target - gone.take(first + at)) / share.take(line * days + at)
    end[on >= days] = np.inf
    return end
