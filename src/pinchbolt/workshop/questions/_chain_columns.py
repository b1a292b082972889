"""Chains of a file as columns: read many lines at once where all of them are plainly in order.

`wear_bulk` reads line by line and says of each what is wrong with it. That costs thirty microseconds a chain, as much as its
forecast. Here a block of lines is checked as columns; where anything at all is not plain, nothing is returned, and the block is
read line by line. So what is allowed, and what is said of the rest, is written in one place only; a test holds both together.
"""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinchbolt.values import Json

Numbers = NDArray[np.float64]


class ChainColumns(NamedTuple):
    """Chains one after the other, then their readings one after the other; `held` readings belong to each chain."""

    ids: list[object]
    workshop: list[str]
    use: Numbers
    limit: Numbers
    closed: Numbers
    passed_after: Numbers
    bench: Numbers
    hub: Numbers
    start: Numbers
    held: Numbers
    km: Numbers
    days: Numbers
    gauge: Numbers
    low: Numbers
    high: Numbers


class AllowedInChains(NamedTuple):
    """Words and their numbers, and the ranges of numbers, as `wear_bulk` has them."""

    uses: Mapping[str, int]
    instruments: Mapping[str, int]
    closed_how: Mapping[str | None, bool]
    drives: Mapping[str | None, bool]
    fitted: Mapping[str | None, int]
    limits: tuple[float, float]
    shown: tuple[float, float]
    km: tuple[float, float]
    days: tuple[float, float]
    closed_km: tuple[float, float]
    clearly_below: float
    most_readings: int


class _NotPlain(Exception):
    """Something is out of the ordinary: what it is, reading line by line tells."""


def columns_of(texts: Sequence[str], allowed: AllowedInChains) -> ChainColumns | None:
    """Return the chains of these lines, or None where any line must be looked at by itself."""
    from pydantic_core import from_json  # noqa: PLC0415

    try:
        return _columns(list(map(partial(from_json, allow_inf_nan=False), texts)), allowed)
    except (_NotPlain, ValueError, TypeError, KeyError, OverflowError):
        return None


def together(blocks: Sequence[ChainColumns]) -> ChainColumns:
    """Several blocks as one."""

    def whole(parts: tuple[Any, ...]) -> Any:
        return [x for part in parts for x in part] if isinstance(parts[0], list) else np.concatenate(parts)

    return ChainColumns(*map(whole, zip(*blocks, strict=True)))


def _columns(chains: list[Json], allowed: AllowedInChains) -> ChainColumns:
    _all(chains, dict)
    ids, workshops = [c["id"] for c in chains], [c["workshop"] for c in chains]
    for names in (ids, workshops):
        _all(names, int, str)
        _plain("" not in names)
    lists = [c["readings"] for c in chains]
    _all(lists, list)
    count = np.array(list(map(len, lists)))
    _plain(int(count.max(initial=0)) <= allowed.most_readings)
    readings = [one for some in lists for one in some]
    _all(readings, dict)
    limit = _numbers([c["limit"] for c in chains], allowed.limits, known=True)
    closed = _numbers([c.get("closed_km") for c in chains], allowed.closed_km)
    after = _numbers([c.get("passed_after_km") for c in chains], allowed.closed_km)
    _plain(bool((np.isnan(after) | (after <= closed)).all()))
    km = _numbers([r.get("km") for r in readings], allowed.km)
    days = _numbers([r.get("days") for r in readings], allowed.days)
    _plain(not (np.isnan(km) & np.isnan(days)).any())
    value, low, high = (
        _numbers([r.get(k) for r in readings], allowed.shown) for k in ("value", "low", "high")
    )
    is_value = ~np.isnan(value)
    _plain(bool((is_value != ~(np.isnan(low) & np.isnan(high))).all()))
    _plain(not (low >= high).any())
    low = np.where(is_value, value, np.where(np.isnan(low), -np.inf, low))
    high = np.where(is_value, value, np.where(np.isnan(high), np.inf, high))
    _ends_after_what_was_read(count, limit, closed, np.where(np.isnan(km), 0.0, km), high, allowed)
    return ChainColumns(
        ids,
        list(map(str, workshops)),
        _words([c["use"] for c in chains], allowed.uses),
        limit,
        closed,
        after,
        _words([c.get("closed_how") for c in chains], allowed.closed_how),
        _words([c.get("drive") for c in chains], allowed.drives),
        _words([c.get("fitted") for c in chains], allowed.fitted),
        count.astype(float),
        km,
        days,
        _words([r["instrument"] for r in readings], allowed.instruments),
        low,
        high,
    )


def _ends_after_what_was_read(
    count: NDArray[np.int64],
    limit: Numbers,
    closed: Numbers,
    km: Numbers,
    high: Numbers,
    allowed: AllowedInChains,
) -> None:
    """No chain was closed at less than half the distance at which it was clearly below its limit."""
    chain = np.repeat(np.arange(len(count)), count)
    gone = np.cumsum(km)
    before = np.concatenate([[0.0], gone])[np.cumsum(count) - count]
    gone = gone - before[chain]
    _plain(not ((high <= limit[chain] - allowed.clearly_below) & (closed[chain] < gone / 2)).any())


def _plain(good: bool) -> None:
    if not good:
        raise _NotPlain


def _all(values: Sequence[object], *kinds: type) -> None:
    _plain(set(map(type, values)) <= set(kinds))


def _words(values: list[object], meaning: Mapping[Any, Any]) -> Numbers:
    _all(values, str, type(None))
    return np.array([meaning[v] for v in values], float)


def _numbers(values: list[object], ends: tuple[float, float], *, known: bool = False) -> Numbers:
    _all(values, int, float, *(() if known else (type(None),)))
    found = np.array(values, float)
    _plain(bool((np.isnan(found) | ((found >= ends[0]) & (found <= ends[1]))).all()))
    return found
