"""Who is asked back in which week: by risk where few are due, by a linear programme where many are; safety first, nobody left out."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.visits.visits_types import AskedBack, BikeDue, WeeksPlan
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.values.wording import worded

# A bike with a part that can throw its rider is asked back while the chance of being past is at most this.
SAFETY_CHANCE = 0.10
# A minute beyond a week's room costs as much as three of the usual: evenings and hurry. Common practice, no source.
OVERTIME = 3.0
# From so many on the weeks are filled by the programme. Common practice, no source.
MANY = 100
_Costs = NDArray[np.float64]


def weeks_allowed(bike: BikeDue) -> tuple[int, ...]:
    """Return the weeks in which a bike may be asked back: a safety one only while it is unlikely to be past, else now.

    Args:
        bike: The bike. [-]

    Returns:
        Weeks from 0 on, at least one. [-]

    Source: The house's rule: safety first, and never dropped.
    """
    weeks = range(len(bike.past) - 1)
    if not bike.safety:
        return tuple(weeks)
    return tuple(week for week in weeks if bike.past[week + 1] <= SAFETY_CHANCE) or (0,)


def week_cost(bike: BikeDue, week: int) -> float:
    """Return what asking a bike back in a week is expected to cost: past by its end, or early.

    Args:
        bike: The bike. [-]
        week: From 0. [-]

    Returns:
        Expected cost. [money]

    Source: Expectation; docs/methods/visits.md.
    """
    return bike.past[week + 1] * bike.loss + bike.early * max(0, bike.own_week - week)


def plan_of_weeks(bikes: Sequence[BikeDue], room: Sequence[float], many: int = MANY) -> WeeksPlan:
    """Return who is asked back in which week, as the room of each week lets it.

    A few are taken by risk: safety first, then what waiting costs most, each in the week that costs least with the overtime
    that it brings. Above *many* a linear programme: minimise sum of cost x plus overtime, each bike's shares adding up to 1;
    what it splits between weeks goes to the week where it costs least.

    Args:
        bikes: Those that are due. [-]
        room: Bench minutes of each week. [min]
        many: From so many on by the programme. [bikes]

    Returns:
        Each bike with its week; nobody is left out. [-]

    Raises:
        InputRefused: Chances that fall or do not fit the weeks, or a value that is not finite.
        NotPossibleNow: The solver found nothing.

    Valid for: Some thousand bikes. What a plan cannot hold goes over the week's room, and it says by how much.

    Example:
        >>> due = [BikeDue("A", (0.1, 0.2, 0.9), 1, 60, 100.0), BikeDue("B", (0.1, 0.1, 0.2), 1, 60, 100.0)]
        >>> [(one.name, one.week) for one in plan_of_weeks(due, [60, 60]).asked]
        [('A', 0), ('B', 1)]

    Source: Assignment with overflow as a linear programme; scipy.optimize.linprog (HiGHS). docs/methods/visits.md.
    """
    _refuse(bikes, room)
    if not bikes:
        return WeeksPlan((), 0.0, (0.0,) * len(room), worded("nobody is due"))
    costs = np.array([[week_cost(one, week) for week in range(len(room))] for one in bikes])
    for at, one in enumerate(bikes):
        closed = np.ones(len(room), dtype=bool)
        closed[list(weeks_allowed(one))] = False
        costs[at, closed] = np.inf
    minutes = np.array([one.minutes for one in bikes])
    free = np.array(room, dtype=float)
    is_few = len(bikes) <= many
    weeks = _placed(bikes, costs, minutes, free, None if is_few else _shares(costs, minutes, free))
    weeks = _improved(weeks, costs, minutes, free)
    used = np.bincount(weeks, weights=minutes, minlength=len(free))
    over = np.maximum(0.0, used - free)
    asked = [
        AskedBack(one.name, int(week), one.past[int(week) + 1])
        for one, week in zip(bikes, weeks, strict=True)
    ]
    safe = {one.name: not one.safety for one in bikes}
    asked.sort(key=lambda one: (one.week, safe[one.name], -one.chance_past, one.name))
    cost = float(costs[np.arange(len(bikes)), weeks].sum() + OVERTIME * over.sum())
    return WeeksPlan(
        tuple(asked),
        cost,
        tuple(map(float, over)),
        worded("by risk") if is_few else worded("by the programme"),
    )


def _refuse(bikes: Sequence[BikeDue], room: Sequence[float]) -> None:
    if not room or not all(np.isfinite(one) and one >= 0 for one in room):
        raise InputRefused(
            worded("The weeks have no room that can be added up: minutes of 0 or more a week are needed.")
        )
    for one in bikes:
        told = np.array(one.past)
        if (
            len(told) != len(room) + 1
            or not ((told >= 0) & (told <= 1)).all()
            or (np.diff(told) < -1e-9).any()
        ):
            raise InputRefused(
                worded(
                    "{name}: {room} chances from 0 to 1 that never fall are needed, one a week and one more.",
                    name=one.name,
                    room=len(room) + 1,
                )
            )
        if not (np.isfinite(one.minutes) and one.minutes > 0 and one.loss >= 0 and one.early >= 0):
            raise InputRefused(
                worded("{name}: minutes above 0 and costs of 0 or more are needed.", name=one.name)
            )


def _placed(
    bikes: Sequence[BikeDue], costs: _Costs, minutes: _Costs, free: _Costs, shares: _Costs | None
) -> NDArray[np.int64]:
    """Each bike in the week that costs least with its overtime; safety first, then the one that loses most by waiting."""
    spread = np.where(np.isfinite(costs), costs, -np.inf).max(axis=1) - costs.min(axis=1)
    order = sorted(range(len(bikes)), key=lambda at: (not bikes[at].safety, -spread[at], bikes[at].name))
    if shares is not None:
        # What the programme did not split goes first, to its own week.
        order.sort(key=lambda at: -shares[at].max())
    used, weeks = np.zeros(len(free)), np.zeros(len(bikes), dtype=np.int64)
    for at in order:
        more = np.maximum(0.0, used + minutes[at] - free) - np.maximum(0.0, used - free)
        price = costs[at] + OVERTIME * more
        if shares is not None:
            price = np.where(shares[at] > 1e-6, price, np.inf)
        weeks[at] = int(np.argmin(price))
        used[weeks[at]] += minutes[at]
    return weeks


def _shares(costs: _Costs, minutes: _Costs, free: _Costs) -> _Costs:
    """The linear programme: what share of each bike goes into which week."""
    from scipy.optimize import linprog  # noqa: PLC0415 - slow to load, needed here only
    from scipy.sparse import csr_array, eye_array, hstack, kron, vstack  # noqa: PLC0415

    count, weeks = costs.shape
    open_ones = np.isfinite(costs).reshape(-1)
    once = kron(eye_array(count), csr_array(np.ones((1, weeks)))).tocsc()[:, open_ones]
    used = kron(csr_array(minutes[None, :]), csr_array(np.eye(weeks))).tocsc()[:, open_ones]
    answer = linprog(
        np.concatenate([costs.reshape(-1)[open_ones], np.full(weeks, OVERTIME)]),
        A_ub=hstack([used, csr_array(-np.eye(weeks))]),
        b_ub=free,
        A_eq=vstack([hstack([once, csr_array((count, weeks))])]),
        b_eq=np.ones(count),
        method="highs",
    )
    if answer.x is None:
        raise NotPossibleNow(worded("The weeks were not filled: take fewer weeks, and try again."))
    shares = np.zeros(count * weeks)
    shares[open_ones] = answer.x[: int(open_ones.sum())]
    return shares.reshape(count, weeks)


def _improved(weeks: NDArray[np.int64], costs: _Costs, minutes: _Costs, free: _Costs) -> NDArray[np.int64]:
    """The same with single bikes moved, or two changed over, as long as that is cheaper; a few rounds."""
    used: _Costs = np.bincount(weeks, weights=minutes, minlength=len(free)).astype(float)

    def over(total: _Costs) -> _Costs:
        return OVERTIME * np.maximum(0.0, total - free)

    for _ in range(4):
        moved = False
        for at in range(len(weeks)):
            here = weeks[at]
            without = used.copy()
            without[here] -= minutes[at]
            gain = costs[at, here] + over(used)[here] - over(without)[here]
            price = costs[at] + over(without + minutes[at]) - over(without)
            best = int(np.argmin(price))
            if price[best] < gain - 1e-9:
                weeks[at], used, moved = best, without, True
                used[best] += minutes[at]
        moved = _changed_over(weeks, costs, minutes, used, free) or moved
        if not moved:
            break
    return weeks


def _changed_over(
    weeks: NDArray[np.int64], costs: _Costs, minutes: _Costs, used: _Costs, free: _Costs
) -> bool:
    """Two bikes of different weeks change over where that is cheaper."""
    if len(weeks) > 2 * MANY:
        return False
    every, changed = np.arange(len(weeks)), False
    for at in range(len(weeks)):
        here, there = weeks[at], weeks
        more = minutes[at] - minutes  # what their week gains and ours loses
        with np.errstate(invalid="ignore"):
            own = costs[at, there] - costs[at, here] + costs[every, here] - costs[every, there]
        gain = own + OVERTIME * (
            np.maximum(0, used[there] + more - free[there])
            - np.maximum(0, used[there] - free[there])
            + np.maximum(0, used[here] - more - free[here])
            - np.maximum(0, used[here] - free[here])
        )
        gain = np.where((there == here) | ~np.isfinite(gain), 0.0, gain)
        best = int(np.argmin(gain))
        if gain[best] < -1e-9:
            used[there[best]] += more[best]
            used[here] -= more[best]
            weeks[at], weeks[best], changed = weeks[best], here, True
    return changed
