"""The days ahead as loops, one run after the other, to be compiled: `_runs` over arrays says what they do.

One question asked of a fresh program waits for no compiler, and is answered over arrays. A program that goes on (a server, a score)
loads the compiled form beside its work (`make_quick`), and answers some four times as quickly from then on: the same person, stand and
minute to the last digit, as a test holds.
"""

from collections.abc import Callable
from contextlib import suppress
from functools import cache

import numpy as np

from pinchbolt.engines.day.day_types import DAY, Floats, Whole

_DAY = float(DAY)


def _when(opens: Floats, closes: Floats, next_in: Whole, person: int, clock: float) -> float:
    """`next_at_work` for one person."""
    days = opens.shape[1]
    if not clock < days * _DAY:
        return np.inf
    day = int(clock / _DAY)
    on = next_in[person, day + 1 if clock >= closes[person, day] else day]
    return float(max(clock, opens[person, on])) if on < days else np.inf


def _until(opens: Floats, share: Floats, gone: Floats, person: int, clock: float, minutes: float) -> float:
    """`done_at` for one run (its `share` and `gone`) and person."""
    days = opens.shape[1]
    day = int(min(clock / _DAY, days - 1))
    target = gone[person, day] + (clock - opens[person, day]) * share[person, day]
    target = target + minutes
    on = day
    while on < days and gone[person, on + 1] < target - 1e-9:
        on += 1
    if on >= days:
        return np.inf
    return float(opens[person, on] + (target - gone[person, on]) / share[person, on])


def _row(
    order: Whole, left: Floats, group: Whole, now: float, stands: int, until: float,
    opens: Floats, closes: Floats, next_in: Whole, share: Floats, gone: Floats, minutes: Floats, on_stand: Floats, pace: Floats,
    person: Whole, stand: Whole, start: Floats, end: Floats,
) -> None:  # fmt: skip
    """One run: each step gives one job to whoever begins first. `left` (groups, jobs by rank) is used up.

    By when the next job of a group comes is known from below; where that was too early no job is found, and it is looked for anew.
    """
    groups, jobs = left.shape
    free, place = np.full(group.size, now), np.full(stands, now)
    come, head = np.full(groups, -np.inf), np.zeros(groups, np.int64)
    steps = 0
    while steps < jobs:
        least, at, who = place.min(), np.inf, 0
        for one in range(group.size):
            begin = _when(opens, closes, next_in, one, max(free[one], come[group[one]], least))
            if begin < at:
                at, who = begin, one
        if at == np.inf or not at <= until:
            return
        mine = group[who]
        while head[mine] < jobs and left[mine, head[mine]] == np.inf:
            head[mine] += 1
        pick = head[mine]
        while pick < jobs and left[mine, pick] > at:
            pick += 1
        if pick == jobs:
            come[mine] = left[mine].min()
            continue
        job, here = order[pick], place.argmin()
        done = _until(opens, share, gone, who, at, minutes[job] * pace[who] + on_stand[job])
        person[job], stand[job], start[job], end[job] = who, here, at, done
        free[who] = place[here] = done
        for one in range(groups):
            left[one, pick] = np.inf
        steps += 1


def _rows(
    run: Whole, order: Whole, left: Floats, group: Whole, now: float, stands: int, until: float,
    opens: Floats, closes: Floats, next_in: Whole, share: Floats, gone: Floats, minutes: Floats, on_stand: Floats, pace: Floats,
    person: Whole, stand: Whole, start: Floats, end: Floats,
) -> None:  # fmt: skip
    for row in range(run.size):
        one = run[row]
        _row(
            order[row], left[:, row].copy(), group, now, stands, until, opens, closes, next_in, share[one], gone[one],
            minutes[one], on_stand[one], pace[one], person[row], stand[row], start[row], end[row],
        )  # fmt: skip


def _leaves(
    run: Whole, end: Floats, nights: Floats, after: Floats, cured_on: Floats, next_open: Floats
) -> Floats:
    """`_Table.may_leave`; `next_open` by day, inf behind the last."""
    found = end.copy()
    days = next_open.size - 1
    for row in range(run.size):
        one = run[row]
        for job in range(end.shape[1]):
            if end[row, job] == np.inf:
                continue
            cured = int(cured_on[one, job])
            if nights[one, job] > 0:
                day = min(end[row, job] // _DAY, days - 1)
                found[row, job] = (
                    next_open[int(min(int(day) + int(nights[one, job]), days))] + after[one, job]
                )
            if cured > 0:
                found[row, job] = max(found[row, job], next_open[min(cured, days)] + after[one, job])
    return found


@cache
def compiled() -> tuple[Callable[..., None], Callable[..., Floats]]:
    """Return the rows of a table played, and when its bikes may leave, compiled; what was compiled is kept beside the source."""
    from numba import njit  # noqa: PLC0415
    from numba.extending import register_jitable  # noqa: PLC0415

    for step in (_when, _until, _row):
        register_jitable(step)
    one, two, three = "[::1]", "[:,::1]", "[:,:,::1]"
    rows = (
        f"void(i8{one},i8{two},f8{three},i8{one},f8,i8,f8,f8{two},f8{two},i8{two},f8{three},f8{three},"
        f"f8{two},f8{two},f8{two},i8{two},i8{two},f8{two},f8{two})"
    )
    leaves = f"f8{two}(i8{one},f8{two},f8{two},f8{two},f8{two},f8{one})"
    # Compiled here and not at the first question; without the lock of the interpreter: who asks at the same time is answered on the
    # other cores.
    return njit(rows, nogil=True, cache=True)(_rows), njit(leaves, nogil=True, cache=True)(_leaves)


LOADED: list[tuple[Callable[..., None], Callable[..., Floats]]] = []
"""The compiled form, once this program has it."""


def make_quick() -> None:
    """Load the compiled form: from now on this program plays its days by it, and gets the same answers, sooner.

    Returns:
        Nothing. [-]

    Raises:
        Nothing: without numba days are played over arrays, as before. [-]

    Valid for: A program that goes on; loading takes longer than one answer, compiling it the very first time some seconds.

    Source: The same steps as loops; a test holds both to the last digit.
    """
    if LOADED:
        return
    with suppress(ModuleNotFoundError):
        LOADED.append(compiled())
