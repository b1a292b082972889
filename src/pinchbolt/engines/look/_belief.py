"""What is believed of a bike's faults before and after each answer.

Faults of a bike hang together by what nobody sees: how neglected it is, whether it fell, and what the owner complains of. Given
these, they are independent but for pairs (a worn chain and its sprockets), so that each answer is counted in exactly.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from pinchbolt.engines.look._arrays import Array, SheetArrays, arrays_of
from pinchbolt.engines.look.look_types import LookSheet, shares_on
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_Z_POINTS = 9
_FELL, _FELL_AFTER_A_FALL = 0.05, 0.95
_WET_SHARE = 0.4
# A test of a complaint says yes in so many of ten where one of its causes is there.
_SPLIT_RIGHT = 0.85
_HELD = 10.0  # a bike's own odds move a cause's share by this factor at most
_FALL_COMPLAINT = "fall"


@dataclass(frozen=True)
class _Nodes:
    """What nobody sees, as a grid: weight of each node, its cause (-1: none), chances with and without the fault it goes with."""

    weight: Array
    cause: NDArray[np.int64]
    with_pair: Array
    without: Array
    parent: NDArray[np.int64]


@dataclass(frozen=True)
class LookBelief:
    """What is believed of one bike after some answers."""

    sheet: LookSheet
    arrays: SheetArrays
    nodes: _Nodes
    ratio: Array
    """Likelihood ratio of what was seen, fault by fault. [-]"""
    found: frozenset[str] = frozenset()
    split: tuple[tuple[str, bool], ...] = ()
    at_start: Array | None = None
    """Chances before the first answer. [-]"""


@dataclass(frozen=True)
class Chances:
    """Chance of each fault, and of each being the cause of what the owner complains of."""

    fault: Array
    cause: Array


def believed(sheet: LookSheet) -> LookBelief:
    """Return what is believed of a bike before anybody looked.

    logit P(f) = base + km x1 + age x2 + wet + neglect z + fall g, and + pair where the fault that it goes with is there; the
    base is such that the chance of a usual bike is that of its row. P(cause = f) goes by its share times its odds on this bike.

    Args:
        sheet: The bike. [-]

    Returns:
        The belief. [-]

    Source: Naive Bayes given a hidden common cause, trees of depth one; the figures are the rows'.
    """
    faults = sheet.faults
    parent = np.array([sheet.fault_at.get(one.goes_with, -1) for one in faults], dtype=np.int64)
    z, wz = hermegauss(_Z_POINTS)
    fell = _chance_of_fall(sheet)
    grid_z, grid_g = np.repeat(z, 2), np.tile([0.0, 1.0], _Z_POINTS)
    usual = np.repeat(wz / wz.sum(), 2) * np.tile([1 - _FELL, _FELL], _Z_POINTS)
    here = np.repeat(wz / wz.sum(), 2) * np.tile([1 - fell, fell], _Z_POINTS)
    lean = {name: np.array([one.leans.get(name, 0.0) for one in faults]) for name in _LEANS}
    pair = np.array([one.pair for one in faults])
    hidden = grid_z[:, None] * lean["neglect"] + grid_g[:, None] * lean["fall"]
    base = _bases(sheet, hidden, usual, parent, pair)
    wet = _WET_SHARE if sheet.past.wet is None else float(sheet.past.wet)
    known = np.array([one.forecast is not None for one in faults])
    moved = (
        sheet.past.log_km * lean["km"] + sheet.past.log_age * lean["age"] + (wet - _WET_SHARE) * lean["wet"]
    )
    logit = base + np.where(known, 0.0, moved) + hidden
    without, with_pair = _logistic(logit), _logistic(logit + pair)
    nodes = _with_causes(sheet, here, with_pair, without, parent)
    start = LookBelief(sheet, arrays_of(sheet), nodes, np.ones(len(faults)))
    return replace(start, at_start=chances_now(start).fault)


_LEANS = ("km", "age", "wet", "neglect", "fall")


def _chance_of_fall(sheet: LookSheet) -> float:
    if any(one.id == _FALL_COMPLAINT for one in sheet.complaints):
        return _FELL_AFTER_A_FALL
    return _FELL if sheet.past.fell is None else float(sheet.past.fell)


def _logistic(x: Array) -> Array:
    return 1.0 / (1.0 + np.exp(-x))


def _bases(sheet: LookSheet, hidden: Array, weight: Array, parent: NDArray[np.int64], pair: Array) -> Array:
    """The base of each fault that gives the chance of its row in the mean over neglect, falls and its pair; by bisection."""
    chance = np.array([one.chance if one.forecast is None else one.forecast for one in sheet.faults])
    chance = np.clip(chance, 1e-4, 1 - 1e-4)
    low, high = np.full(len(chance), -15.0), np.full(len(chance), 15.0)
    children = parent >= 0

    def mean_of(base: Array, with_parent: Array | None) -> Array:
        plain = _logistic(base + hidden)
        if with_parent is None:
            return np.asarray(weight @ plain)
        mixed = np.where(
            children, with_parent * _logistic(base + hidden + pair) + (1 - with_parent) * plain, plain
        )
        return np.asarray(weight @ mixed)

    base = np.zeros(len(chance))
    for with_parent in (False, True):
        # Roots first: a child's mean needs its parent's chances.
        of_parent = _logistic(base + hidden)[:, np.maximum(parent, 0)] if with_parent else None
        low[:], high[:] = -15.0, 15.0
        for _ in range(40):
            middle = (low + high) / 2
            above = mean_of(middle, of_parent) > chance
            high, low = np.where(above, middle, high), np.where(above, low, middle)
        base = np.where(children, (low + high) / 2, base) if with_parent else (low + high) / 2
    return base


def _with_causes(
    sheet: LookSheet, weight: Array, with_pair: Array, without: Array, parent: NDArray[np.int64]
) -> _Nodes:
    """The grid once more for each cause that a complaint may have: a cause is there for certain."""
    shares, none = _shares(sheet)
    if not shares:
        cause = np.full(len(weight), -1, dtype=np.int64)
        return _Nodes(weight, cause, with_pair, without, parent)
    numbers = list(shares)
    usual = np.array([sheet.faults[number].chance for number in numbers])
    p_parent = without[:, np.maximum(parent[numbers], 0)]
    p = np.where(
        parent[numbers] >= 0,
        p_parent * with_pair[:, numbers] + (1 - p_parent) * without[:, numbers],
        without[:, numbers],
    )
    own = np.clip((p / (1 - p)) / (usual / (1 - usual)), 1 / _HELD, _HELD)
    each = np.concatenate([np.full((len(weight), 1), none), own * np.array(list(shares.values()))], axis=1)
    each /= each.sum(axis=1, keepdims=True)
    all_with, all_without, weights, causes = [], [], [], []
    for column, number in enumerate((-1, *numbers)):
        surely, surely_without = with_pair.copy(), without.copy()
        if number >= 0:
            surely[:, number] = surely_without[:, number] = 1.0
        all_with.append(surely)
        all_without.append(surely_without)
        weights.append(weight * each[:, column])
        causes.append(np.full(len(weight), number, dtype=np.int64))
    return _Nodes(
        np.concatenate(weights),
        np.concatenate(causes),
        np.concatenate(all_with),
        np.concatenate(all_without),
        parent,
    )


def _shares(sheet: LookSheet) -> tuple[dict[int, float], float]:
    """Shares of causes by the fault's number and of none; of several complaints each counts alike."""
    found: dict[int, float] = {}
    none = 0.0
    told = [one for one in sheet.complaints if shares_on(sheet, one)]
    for one in told:
        none += one.nothing_found / len(told)
        for name, share in shares_on(sheet, one).items():
            number = sheet.fault_at[name]
            found[number] = found.get(number, 0.0) + share / len(told)
    return found, none


def answered(belief: LookBelief, look: str, found: bool | Mapping[str, bool]) -> LookBelief:
    """Return the belief after an answer; *found* for a whole look means the first fault that it sees, else fault by fault.

    A find multiplies the odds of its fault by seen / false alarm, a sound answer those of all that it would have shown by
    (1 - seen) / (1 - false alarm).

    Args:
        belief: What was believed before. [-]
        look: Id of the look. [-]
        found: Whether something was found, or by fault. [-]

    Returns:
        The belief after it. [-]

    Raises:
        InputRefused: This bike has no such look.

    Source: Bayes' rule.
    """
    sheet = belief.sheet
    number = sheet.look_at.get(look)
    if number is None:
        raise InputRefused(
            worded('"{look}" is no look at this bike: choose one from its walk-round.', look=look[:60])
        )
    row = sheet.looks[number]
    by_fault = dict.fromkeys(row.sees, False)
    if isinstance(found, Mapping):
        by_fault |= {name: is_there for name, is_there in found.items() if name in by_fault}
    elif found:
        # What else the look would have shown is not said by a find.
        by_fault = {next(iter(row.sees)): True}
    ratio = belief.ratio.copy()
    for name, is_there in by_fault.items():
        seen, alarm = row.sees[name], row.false_alarm
        ratio[sheet.fault_at[name]] *= seen / alarm if is_there else (1 - seen) / (1 - alarm)
    there = frozenset(name for name, is_there in by_fault.items() if is_there)
    return replace(belief, ratio=ratio, found=belief.found | there)


def told_split(belief: LookBelief, split: str, yes: bool) -> LookBelief:
    """Return the belief after a test that tells the causes of a complaint apart was answered.

    Args:
        belief: What was believed before. [-]
        split: Id of the test. [-]
        yes: The answer. [-]

    Returns:
        The belief after it. [-]

    Source: Bayes' rule; 85 of 100 such answers right, common practice, no source.
    """
    return replace(belief, split=(*belief.split, (split, yes)))


def _split_weight(belief: LookBelief) -> Array:
    """What the tests say of each node's cause."""
    weight = np.ones(len(belief.nodes.weight))
    splits = {one.id: one for told in belief.sheet.complaints for one in told.splits}
    at = belief.sheet.fault_at
    for name, yes in belief.split:
        row = splits.get(name)
        if row is None:
            continue
        for_it, against = (row.yes, row.no) if yes else (row.no, row.yes)
        weight[np.isin(belief.nodes.cause, [at[one] for one in for_it if one in at])] *= _SPLIT_RIGHT
        weight[np.isin(belief.nodes.cause, [at[one] for one in against if one in at])] *= 1 - _SPLIT_RIGHT
        named = [at[one] for one in (*for_it, *against) if one in at]
        weight[~np.isin(belief.nodes.cause, named)] *= 0.5
    return weight


def chances_now(belief: LookBelief) -> Chances:
    """Return the chance of each fault after all answers, and of each being the cause of the complaint.

    Args:
        belief: What is believed. [-]

    Returns:
        Chances in the order of the sheet's faults. [-]

    Source: Sum over the grid of what nobody sees; pairs summed out exactly.
    """
    nodes, ratio = belief.nodes, belief.ratio
    children = np.flatnonzero(nodes.parent >= 0)
    up = np.broadcast_to(ratio, nodes.without.shape).copy()
    p1, p0 = nodes.with_pair[:, children], nodes.without[:, children]
    m1, m0 = 1 - p1 + p1 * ratio[children], 1 - p0 + p0 * ratio[children]
    for column, child in enumerate(children):
        up[:, nodes.parent[child]] *= m1[:, column] / m0[:, column]
    roots = np.flatnonzero(nodes.parent < 0)
    p = nodes.without[:, roots]
    likely = 1 - p + p * up[:, roots]
    weight = nodes.weight * np.prod(likely, axis=1) * np.prod(m0, axis=1) * _split_weight(belief)
    weight = weight / weight.sum()
    there = np.empty_like(nodes.without)
    there[:, roots] = p * up[:, roots] / likely
    of_parent = there[:, nodes.parent[children]]
    there[:, children] = of_parent * p1 * ratio[children] / m1 + (1 - of_parent) * p0 * ratio[children] / m0
    cause = np.zeros(len(ratio))
    known = nodes.cause >= 0
    np.add.at(cause, nodes.cause[known], weight[known])
    return Chances(weight @ there, cause)
