"""The engine's days ahead, compiled: the same steps for one run after the other instead of over arrays.

Seasons of the score ask thousands of promises; the counter asks one, and waits for no compiler. `tests/engines/day/test_day_quick.py`
holds both to the same minutes, to the last digit.
"""

from typing import Any, cast

import numpy as np
from numba import njit
from numba.extending import register_jitable

from pinchbolt.engines.day import _runs
from pinchbolt.engines.day.day_types import DAY

_DAY = float(DAY)


def _when(opens: Any, closes: Any, next_in: Any, person: int, clock: float) -> float:
    """`next_at_work` for one person."""
    days = opens.shape[1]
    if not clock < days * _DAY:
        return np.inf
    day = int(clock / _DAY)
    on = next_in[person, day + 1 if clock >= closes[person, day] else day]
    return max(clock, opens[person, on]) if on < days else np.inf


def _until(opens: Any, share: Any, gone: Any, person: int, clock: float, minutes: float) -> float:
    """`done_at` for one run (its `share` and `gone`) and person."""
    days = opens.shape[1]
    day = int(min(clock / _DAY, days - 1))
    target = gone[person, day] + (clock - opens[person, day]) * share[person, day]
    target = target + minutes
    on = 0
    while on < days and gone[person, on + 1] < target - 1e-9:
        on += 1
    if on >= days:
        return np.inf
    return opens[person, on] + (target - gone[person, on]) / share[person, on]


def _row(
    order: Any, left: Any, group: Any, now: float, stands: int, until: float,
    opens: Any, closes: Any, next_in: Any, share: Any, gone: Any, minutes: Any, on_stand: Any, pace: Any,
    person: Any, stand: Any, start: Any, end: Any,
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
        if not at <= until:
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
    run: Any, order: Any, left: Any, group: Any, now: float, stands: int, until: float,
    opens: Any, closes: Any, next_in: Any, share: Any, gone: Any, minutes: Any, on_stand: Any, pace: Any,
    person: Any, stand: Any, start: Any, end: Any,
) -> None:  # fmt: skip
    for row in range(run.size):
        one = run[row]
        _row(
            order[row], left[:, row].copy(), group, now, stands, until, opens, closes, next_in, share[one], gone[one],
            minutes[one], on_stand[one], pace[one], person[row], stand[row], start[row], end[row],
        )  # fmt: skip


def _leaves(run: Any, end: Any, nights: Any, after: Any, cured_on: Any, next_open: Any) -> Any:
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


def compiled() -> tuple[Any, Any]:
    """`_Table.play` and `_Table.may_leave`, compiled."""
    for one in (_when, _until, _row):
        register_jitable(one)
    rows, leaves = njit(cache=True)(_rows), njit(cache=True)(_leaves)

    def play(table: Any, until: float) -> None:
        hours, drawn = table.hours, table.drawn
        rows(
            table.run, table.order, np.stack(table.open), table.group, float(table.now), table.stands, float(until),
            hours.opens, hours.closes, hours.next_in, hours.share, hours.gone,
            *(np.ascontiguousarray(one) for one in (drawn.minutes, drawn.on_stand, drawn.pace)),
            table.person, table.stand, table.start, table.end,
        )  # fmt: skip

    def may_leave(table: Any) -> Any:
        hours, drawn = table.hours, table.drawn
        opens = np.where(hours.closes > hours.opens, hours.opens, np.inf).min(0)
        next_open = np.append(np.minimum.accumulate(opens[::-1])[::-1], np.inf)
        told = (np.ascontiguousarray(one) for one in (drawn.nights, drawn.after, drawn.cured_on))
        return leaves(table.run, table.end, *told, next_open)

    return play, may_leave


def use_it() -> None:
    """Let the engine play its days compiled, in this process."""
    table = cast(Any, _runs._Table)
    table.play, table.may_leave = compiled()
