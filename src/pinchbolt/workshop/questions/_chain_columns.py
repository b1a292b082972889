"""Chains of a file as columns: read many lines at once where all of them are plainly in order.

`wear_bulk` reads line by line and says of each what is wrong with it. Here the lines of a block are read letter by letter
(`_chain_scan`) and checked as columns; where anything at all is out of order, nothing is returned, and the block is read line by
line. So what is allowed, and what is said of the rest, is written in one place only; a test holds both together.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pinchbolt.workshop.questions import _chain_scan as scan

Numbers = NDArray[np.float64]
Meaning = Mapping[str, int] | Mapping[str | None, int] | Mapping[str | None, bool]


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


def columns_of(
    text: bytes, begins: NDArray[np.int64], ends: NDArray[np.int64], allowed: AllowedInChains, quick: Callable[..., int]
) -> ChainColumns | None:  # fmt: skip
    """Return the chains of the lines of *text* from *begins* to *ends*, or None where any must be looked at by itself.

    *quick*: `_chain_scan.scan`, or its compiled form.
    """
    lines = len(begins)
    marks, chains, held = np.zeros((lines, 4), np.int64), np.zeros((lines, len(scan.CHAIN_NAMES))), np.zeros(lines, np.int64)  # fmt: skip
    letters = np.frombuffer(text, np.uint8)
    most = int(np.count_nonzero(letters[begins[0] : ends[-1]] == scan.OPEN))
    readings = np.zeros((most, len(scan.READING_NAMES)))
    words = scan.words_of((scan.CHAIN_NAMES, scan.READING_NAMES, *map(_words, _meanings(allowed))))
    count = quick(letters, begins, ends, *words, marks, chains, held, readings)
    try:
        _plain(int(held.min()) >= 0)
        return _columns(text, marks, chains, held, readings[:count], allowed)
    except _NotPlain:
        return None


def together(blocks: Sequence[ChainColumns]) -> ChainColumns:
    """Several blocks as one."""

    def whole(parts: tuple[Any, ...]) -> Any:
        return [x for part in parts for x in part] if isinstance(parts[0], list) else np.concatenate(parts)

    return ChainColumns(*map(whole, zip(*blocks, strict=True)))


def _meanings(allowed: AllowedInChains) -> tuple[Meaning, ...]:
    """What words mean, in the order of the groups of `_chain_scan`."""
    return allowed.uses, allowed.closed_how, allowed.drives, allowed.fitted, allowed.instruments


def _words(meaning: Meaning) -> tuple[str, ...]:
    return tuple(word for word in meaning if word is not None)


def _columns(
    text: bytes, marks: NDArray[np.int64], chains: Numbers, held: NDArray[np.int64], readings: Numbers, allowed: AllowedInChains
) -> ChainColumns:  # fmt: skip
    _plain(int(held.max()) <= allowed.most_readings)
    chain = dict(zip(scan.CHAIN_NAMES, chains.T.copy(), strict=True))
    reading = dict(zip(scan.READING_NAMES, readings.T.copy(), strict=True))
    for name, ends in (
        ("limit", allowed.limits),
        ("closed_km", allowed.closed_km),
        ("passed_after_km", allowed.closed_km),
    ):
        _within(chain[name], ends)
    meant = dict(zip(("use", "closed_how", "drive", "fitted", "instrument"), _meanings(allowed), strict=True))
    closed, after = chain["closed_km"], chain["passed_after_km"]
    bench = _meant(chain["closed_how"], meant["closed_how"])
    not_yet = np.isnan(closed) & (bench > 0)
    _plain(bool((np.isnan(after) | (after <= closed) | not_yet).all()))
    km, days, value, low, high = (reading[name] for name in ("km", "days", "value", "low", "high"))
    for column, ends in (
        (km, allowed.km),
        (days, allowed.days),
        *((c, allowed.shown) for c in (value, low, high)),
    ):
        _within(column, ends)
    _plain(not (np.isnan(km) & np.isnan(days)).any())
    is_value = ~np.isnan(value)
    _plain(bool((is_value != ~(np.isnan(low) & np.isnan(high))).all()))
    _plain(not (low >= high).any())
    low = np.where(is_value, value, np.where(np.isnan(low), -np.inf, low))
    high = np.where(is_value, value, np.where(np.isnan(high), np.inf, high))
    _ends_after_what_was_read(held, chain["limit"], closed, np.where(np.isnan(km), 0.0, km), high, allowed)
    return ChainColumns(
        _marks(text, marks[:, 0], marks[:, 1]),
        list(map(str, _marks(text, marks[:, 2], marks[:, 3]))),
        _meant(chain["use"], meant["use"]),
        chain["limit"],
        closed,
        after,
        bench,
        _meant(chain["drive"], meant["drive"]),
        _meant(chain["fitted"], meant["fitted"]),
        held.astype(float),
        km,
        days,
        _meant(reading["instrument"], meant["instrument"]),
        low,
        high,
    )


def _marks(text: bytes, first: NDArray[np.int64], end: NDArray[np.int64]) -> list[object]:
    """Whole numbers as they are, names by their letters."""
    if (end < 0).all():
        return list(first.tolist())
    return [a if b < 0 else text[a:b].decode() for a, b in zip(first.tolist(), end.tolist(), strict=True)]


def _meant(places: Numbers, meaning: Meaning) -> Numbers:
    """What the words at these places mean (nan: null, or left out)."""
    words = [float(value) for word, value in meaning.items() if word is not None]
    left_out = [float(value) for word, value in meaning.items() if word is None] or [np.nan]
    table = np.array([*words, *left_out])
    return np.asarray(table[np.where(np.isnan(places), len(words), places).astype(int)])


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


def _within(found: Numbers, ends: tuple[float, float]) -> None:
    _plain(bool((np.isnan(found) | ((found >= ends[0]) & (found <= ends[1]))).all()))
