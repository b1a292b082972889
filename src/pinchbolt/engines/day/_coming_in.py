"""Bikes that come in later: how many a day, how long their work takes, and by when they are promised."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.day.day_types import Floats, PastJob
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

# Three a day, known as well as by two days (common practice, no source); and four bikes of a usual day, most promised for tomorrow.
RATE, WORTH = 3.0, 2.0
USUAL = (PastJob(25, 0.95), PastJob(45, 1.4), PastJob(70, 1.95), PastJob(130, 2.95))
# Older days count less: half after thirty open days, for seasons turn.
HALF_LIFE, NEWEST = 30.0, 120
# The least that a bike that comes later is promised ahead, in open days: half a day.
_LEAST_LEAD = 0.5


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


NOTHING_COMES = ComingIn(1e-9, 1.0)
"""Of a shop that takes no more in."""


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
        raise InputRefused(worded("A day has fewer than no jobs: correct the count."))
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


def draw_later(
    coming: ComingIn,
    open_days: Sequence[tuple[float, float]],
    now: float,
    queue: float,
    worked_off: Floats,
    rng: np.random.Generator,
) -> Later:
    """Draw the bikes that come in on the open days ahead (each opens and closes at a clock, in minutes); today from now on.

    Days promised follow the queue: a bike that was promised five days ahead when three days' work stood here is promised nine ahead
    once seven stand here in that run. `queue` is what stands here unbegun now [usual minutes], `worked_off` what each run gets done
    on each of these days, today what is left of it. (runs, days) [usual minutes]
    """
    runs = worked_off.shape[0]
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
    of = rng.integers(0, len(coming.past), day.shape)
    usual, lead, wait, nights = (
        np.array([getattr(one, name) for one in coming.past], float)[of]
        for name in ("usual", "lead", "wait", "nights")
    )
    behind = np.array([queue if one.queue is None else one.queue for one in coming.past], float)[of]
    grown = _queue_at(day, came, there, usual, queue, worked_off, opens, closes) - behind
    a_day = np.maximum(
        worked_off[:, -1:] if opens.size == 1 else worked_off[:, 1:].mean(1, keepdims=True), 1.0
    )
    lead = np.maximum(lead + grown / a_day, np.minimum(lead, _LEAST_LEAD))
    waited = np.minimum(day + np.ceil(wait).astype(int), opens.size - 1)
    ready = np.where(wait > 0, np.maximum(opens[waited], came), came)
    # Day and share of that day's hours at which it is promised; none is promised for before it comes.
    last = np.minimum(day + lead.astype(int), opens.size - 1)
    promise = np.maximum(opens[last] + lead % 1 * (closes - opens)[last], came)
    beyond = np.inf
    return Later(np.where(there, came, beyond), np.where(there, ready, beyond), promise, usual, nights)


def _queue_at(
    day: NDArray[np.intp],
    came: Floats,
    there: NDArray[np.bool_],
    usual: Floats,
    queue: float,
    worked_off: Floats,
    opens: Floats,
    closes: Floats,
) -> Floats:
    """Usual minutes that stand in the shop when each later bike comes: the queue now, what came since, less what was worked off."""
    runs, days = worked_off.shape
    cell = np.arange(runs)[:, None] * days + day
    comes = np.bincount(cell.ravel(), np.where(there, usual, 0.0).ravel(), runs * days).reshape(runs, days)
    stands = np.empty((runs, days + 1))
    stands[:, 0] = queue
    for n in range(days):
        stands[:, n + 1] = np.maximum(stands[:, n] + comes[:, n] - worked_off[:, n], 0.0)
    of_day = np.clip((came - opens[day]) / np.maximum(closes - opens, 1.0)[day], 0.0, 1.0)
    # Between a day's beginning and the next one's, by the share of its hours.
    begin = stands[:, :-1].ravel()[cell]
    found: Floats = begin + (stands[:, 1:].ravel()[cell] - begin) * of_day
    return found
