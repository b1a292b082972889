"""Bikes that come in later: how many a day, how long their work takes, and by when they are promised."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.day.day_types import Floats, PastJob
from pinchbolt.errors import InputRefused

# Three a day, known as well as by two days (common practice, no source); and four bikes of a usual day, most promised for tomorrow.
RATE, WORTH = 3.0, 2.0
USUAL = (PastJob(25, 0.95), PastJob(45, 1.4), PastJob(70, 1.95), PastJob(130, 2.95))
# Older days count less: half after thirty open days, for seasons turn.
HALF_LIFE, NEWEST = 30.0, 120
# Of bikes to come one is like the newest twice as often as like the twentieth before it.
LIKE_THE_LAST = 20.0


@dataclass(frozen=True, slots=True)
class ComingIn:
    """Jobs a day as a gamma of `shape` and `days`, and what came in so far, the newest last. [-], [1/days]"""

    shape: float = RATE * WORTH
    days: float = WORTH
    past: tuple[PastJob, ...] = field(default=USUAL)

    @property
    def rate(self) -> float:
        """Jobs a day, in the middle. [1/day]"""
        return self.shape / self.days


def learn_coming(counts: Sequence[int], past: Sequence[PastJob]) -> ComingIn:
    """Return what is known of the bikes that come in.

    ``rate ~ gamma(a + sum w n, b + sum w)``, days weighed by their age.

    Args:
        counts: Jobs of each open day, the newest last. [-]
        past: Jobs as they came in, the newest last. [min, days]

    Returns:
        Rate of a day and jobs to draw from. [-]

    Raises:
        InputRefused: A count below 0.

    Valid for: Open days; a workshop whose season turns within some weeks.

    Example:
        >>> round(learn_coming([5, 5, 5, 5], ()).rate, 2)
        4.32

    Source: Gamma prior of a Poisson count, textbook; half-life from memory.
    """
    if any(one < 0 for one in counts):
        raise InputRefused("A day has fewer than no jobs: correct the count.")
    many = np.array(counts, float)
    weights = 0.5 ** (np.arange(many.size)[::-1] / HALF_LIFE)
    return ComingIn(
        RATE * WORTH + float(weights @ many),
        WORTH + float(weights.sum()),
        tuple(past)[-NEWEST:] if len(past) >= len(USUAL) * 3 else (*USUAL, *past),
    )


@dataclass(frozen=True, slots=True)
class Later:
    """Later bikes by run: when each came, from when on it can be started, by when it is promised [min], its usual minutes, nights.

    What is not there came after all time.
    """

    came: Floats
    ready: Floats
    promise: Floats
    usual: Floats
    nights: Floats

    def only(self, chosen: NDArray[np.bool_]) -> "Later":
        """Return some of its columns."""
        return Later(*(getattr(self, name)[:, chosen] for name in self.__dataclass_fields__))


def draw_later(
    coming: ComingIn,
    open_days: Sequence[tuple[float, float]],
    now: float,
    runs: int,
    rng: np.random.Generator,
) -> Later:
    """Draw the bikes that come in on the open days ahead (each opens and closes at a clock, in minutes); today from now on."""
    opens, closes = (np.array(one) for one in zip(*open_days, strict=True))
    rates = rng.gamma(coming.shape, 1 / coming.days, (runs, 1))
    share = np.ones(opens.size)
    # Where nobody is in on any day, nothing comes in.
    whole = closes[0] - opens[0]
    share[0] = np.clip((closes[0] - max(now, opens[0])) / whole, 0.0, 1.0) if whole > 0 else 0.0
    counts = rng.poisson(rates * share)
    most = int(counts.sum(1).max(initial=0)) or 1
    # One row a run: the day of each bike, days side by side.
    ends = counts.cumsum(1)
    place = np.arange(most)
    day = (place[None, :, None] >= ends[:, None, :]).sum(2)
    there = day < opens.size
    day = np.minimum(day, opens.size - 1)
    begins = np.maximum(opens, now)
    came = begins[day] + rng.uniform(0, 1, day.shape) * np.maximum(closes - begins, 0.0)[day]
    # The newest tell most: as the queue grows, so do the days that bikes are promised for.
    newest = 0.5 ** (np.arange(len(coming.past))[::-1] / LIKE_THE_LAST)
    of = rng.choice(len(coming.past), day.shape, p=newest / newest.sum())
    usual, lead, wait, nights = (
        np.array([getattr(one, name) for one in coming.past], float)[of]
        for name in ("usual", "lead", "wait", "nights")
    )
    waited = np.minimum(day + np.ceil(wait).astype(int), opens.size - 1)
    ready = np.where(wait > 0, np.maximum(opens[waited], came), came)
    # Day and share of that day's hours at which it is promised; none is promised for before it comes.
    last = np.minimum(day + lead.astype(int), opens.size - 1)
    promise = np.maximum(opens[last] + lead % 1 * (closes - opens)[last], came)
    beyond = np.inf
    return Later(np.where(there, came, beyond), np.where(there, ready, beyond), promise, usual, nights)
