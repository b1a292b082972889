"""The few tools that do most: what to have at home, where not everything can be had."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from pinchbolt.engines.kits.choose import needs_of
from pinchbolt.engines.kits.cover import DUST, PATIENCE
from pinchbolt.engines.kits.kits_types import CoverJoint, CoverTool, Need
from pinchbolt.errors import InputRefused, NotPossibleNow, Unknown
from pinchbolt.values.wording import worded

MOST_FEW = 12


@dataclass(frozen=True, slots=True)
class FewTool:
    """One of the few: how many needs it meets, and how many only it meets of these few."""

    id: str
    meets: int
    alone: int
    price: Decimal


@dataclass(frozen=True, slots=True)
class Few:
    """The few tools, the most for their money first; `met` of `needs`, and what stays open."""

    tools: tuple[FewTool, ...]
    met: int
    needs: int
    price: Decimal
    open: tuple[Need, ...]
    proven: bool


def best_few(joints: Sequence[CoverJoint], tools: Sequence[CoverTool], most: int = 5) -> Few:
    """Return at most *most* tools that meet the most needs of *joints*; of those that meet as many the cheapest.

    maximise sum y_n with y_n at most the sum of x over the tools that meet need n, and sum x at most *most*; then the least
    price among those.

    Args:
        joints: Joints of the owner's bikes. [-]
        tools: Tools that can be had, each with its price. [-]
        most: How many tools. [-]

    Returns:
        The tools by needs met for their money, needs met in all, and what stays open. [-]

    Raises:
        InputRefused: Not 1 to 12 tools.
        Unknown: A price is missing.
        NotPossibleNow: The solver found nothing in its time.

    Valid for: Up to a few hundred tools and joints.

    Source: Maximum cover as a whole-number programme; branch and bound of scipy.optimize.milp.
    """
    if not 1 <= most <= MOST_FEW:
        raise InputRefused(
            worded(
                "{most} tools: 1 to {most_few} are possible. Say how many there may be.",
                most=most,
                most_few=MOST_FEW,
            )
        )
    unpriced = [tool.name for tool in tools if tool.price is None]
    if unpriced:
        raise Unknown(
            worded(
                "No price is known for {unpriced}: enter it, or leave the tool out.",
                unpriced=", ".join(unpriced),
            )
        )
    needs = needs_of(joints, tools)
    able = [need for need in needs if need.by]
    if not able or not tools:
        return Few((), 0, len(needs), Decimal(0), needs, True)
    # Of as many needs the cheapest: all prices together weigh less than one need.
    prices = np.array([float(tool.price or 0) for tool in tools])
    cost = np.concatenate([prices / (1 + prices.sum()), -np.ones(len(able))])
    chosen, proven = _chosen(cost, able, tools, most)
    few = [tools[at] for at in chosen]
    ids = frozenset(tool.id for tool in few)
    told = [
        FewTool(
            tool.id,
            sum(tool.id in need.by for need in able),
            sum(need.by & ids == {tool.id} for need in able),
            tool.price or Decimal(0),
        )
        for tool in few
    ]
    told.sort(key=lambda one: (-one.meets / float(one.price or 1), one.id))
    still = tuple(need for need in needs if need.by.isdisjoint(ids))
    price = sum((one.price for one in told), Decimal(0))
    return Few(tuple(told), len(needs) - len(still), len(needs), price, still, proven)


def _chosen(
    cost: np.ndarray[tuple[int], np.dtype[np.float64]],
    needs: Sequence[Need],
    tools: Sequence[CoverTool],
    most: int,
) -> tuple[list[int], bool]:
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - slow to load, needed here only

    count = len(tools)
    lines = np.zeros((len(needs) + 1, count + len(needs)))
    for at, need in enumerate(needs):
        lines[at, :count] = [1.0 if tool.id in need.by else 0.0 for tool in tools]
        lines[at, count + at] = -1.0
    lines[-1, :count] = -1.0
    lows = np.concatenate([np.zeros(len(needs)), [-float(most)]])
    answer = milp(
        cost,
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, 1),
        constraints=[LinearConstraint(lines, lows, np.inf)],
        options={"time_limit": PATIENCE, "mip_rel_gap": 0.0},
    )
    if answer.x is None:
        raise NotPossibleNow(
            worded("The tools were not found in time: take fewer joints or fewer tools, and try again.")
        )
    proven = answer.status == 0 and float(answer.mip_dual_bound) >= float(answer.fun) - DUST
    return [at for at in range(count) if answer.x[at] > 0.5], proven
