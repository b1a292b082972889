"""Chains in bulk: a file with one chain a line in, a forecast a line out; and learning from such a file."""

import gc
import json
import os
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from math import inf, isfinite, nan
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.wear import (
    INSTRUMENTS,
    LEVELS,
    MIXED,
    STARTS,
    ChainForecasts,
    ChainLines,
    GaugeDoubted,
    LearnedChains,
    forecast_chains,
    gauges_doubted,
    learn_chains,
    trade_chains,
)
from pinchbolt.errors import InputRefused
from pinchbolt.values import read_json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.questions._chain_columns import AllowedInChains, ChainColumns, columns_of, together
from pinchbolt.workshop.questions._chain_lines import (
    CLEARLY_BELOW,
    CLOSED_KM,
    DAYS,
    DRIVES,
    KM,
    LIMITS,
    MOST_READINGS,
    NAMED_FIELDS,
    SHOWN,
    USES,
    LineWrong,
    chain_of,
    letters_of,
    no_number,
    refusal_of,
    text_of,
)
from pinchbolt.workshop.questions._chain_scan import quick_scan

BLOCK = 512  # lines that are read at once where all are plain
LINE_BY_LINE = 500  # lines that are sooner read so than what reads them at once is loaded
AT_ONCE = 4096  # chains that are forecast at once, while the next are read
ALLOWED = AllowedInChains(
    uses=USES,
    instruments={name: k for k, name in enumerate(INSTRUMENTS)},
    closed_how={None: False, "gauge": False, "bench": True},
    drives=DRIVES,
    fitted={None: MIXED, **{name: k for k, name in enumerate(STARTS)}},
    limits=LIMITS,
    shown=SHOWN,
    km=KM,
    days=DAYS,
    closed_km=CLOSED_KM,
    clearly_below=CLEARLY_BELOW,
    most_readings=MOST_READINGS,
)
Progress = Callable[[float], None]
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class ChainsRead:
    """What a file held: the ids as they were given, the names of the workshops, the chains as arrays."""

    ids: tuple[object, ...]
    shops: tuple[str, ...]
    lines: ChainLines


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned and from how much; instruments on which new chains clearly read as worn."""

    chains: int
    closed: int
    workshops: int
    belief: LearnedChains
    doubted: tuple[GaugeDoubted, ...]


def wear_batch(
    source: Path,
    target: Path,
    learned: Path | None = None,
    progress: Progress | None = None,
    left_out: dict[int, str] | None = None,
    *,
    at: str = "",
) -> int:
    """Write the forecast of every chain of *source* to *target* and return how many there were.

    Where *left_out* is given, lines that can't be read are put there by number, and the others are forecast. *at*:
    chances at which distances are told, with commas between them; else seven usual ones.

    Raises:
        InputRefused: A line can't be read: all are named, and nothing is written.
    """
    known = trade_chains(tables().wear_priors) if learned is None else read_learned(learned)
    levels, ids, texts = _levels(at), 0, []
    # One thread reads and writes, what it has read is forecast meanwhile.
    with _many_small_things(), ThreadPoolExecutor(1) as behind:
        try:
            ahead = [
                (read.ids, behind.submit(forecast_chains, read.lines, read.shops, known, levels=levels))
                for read in _pieces_of(source, left_out)
            ]
        except InputRefused:
            behind.shutdown(cancel_futures=True)
            raise
        for done, (marks, forecast) in enumerate(ahead, start=1):
            texts.append("".join(_told_lines(marks, forecast.result())))
            ids += len(marks)
            if progress:
                progress(done / len(ahead))
    _write(target, "".join(texts))
    return ids


@contextmanager
def _many_small_things() -> Iterator[None]:
    """Thousands of small objects that all go at once: looking for rings among them takes a quarter of the time of reading."""
    watching = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if watching:
            gc.enable()


def _levels(at: str) -> tuple[float, ...]:
    """Chances from words; the usual ones where nothing was asked."""
    try:
        levels = tuple(float(word) for word in at.split(",")) if at else LEVELS
    except ValueError:
        levels = ()
    if not levels or any(not 0 < level < 1 for level in levels) or list(levels) != sorted(set(levels)):
        sentence = worded(
            'at is "{at}": chances between 0 and 1, each larger than the one before, such as 0.1,0.5,0.9.',
            at=at[:60],
        )
        raise InputRefused(sentence, {"at": sentence})
    return levels


def wear_learn(
    source: Path, save: Path, progress: Progress | None = None, left_out: dict[int, str] | None = None
) -> Learned:
    """Learn from every chain of *source* and keep what was learned in *save*; *left_out* as for `wear_batch`.

    Raises:
        InputRefused: A line can't be read: all are named, and nothing is written.
    """
    read = read_chains(source, left_out)
    belief = learn_chains(read.lines, read.shops, trade_chains(tables().wear_priors), progress)
    _write(save, json.dumps(belief.as_plain(), indent=1) + "\n")
    return Learned(belief.chains, belief.closed, len(read.shops), belief, gauges_doubted(belief))


def read_learned(path: Path) -> LearnedChains:
    """Return what an earlier `learn` kept.

    Raises:
        InputRefused: No such file, not of this kind, or of another version.
    """
    try:
        plain = read_json(text_of(path), parse_constant=no_number)
    except ValueError as fault:
        raise InputRefused(
            worded(
                "{path} is not what learning wrote: one JSON object is needed. Make it with: "
                "pinchbolt wear learn IN --save FILE",
                path=path,
            )
        ) from fault
    if not isinstance(plain, dict):
        raise InputRefused(
            worded("{path} is not what learning wrote: one JSON object is needed. Learn again.", path=path)
        )
    return LearnedChains.from_plain(plain)


def read_chains(path: Path, left_out: dict[int, str] | None = None) -> ChainsRead:
    """Return the chains of a file, one JSON object a line; lines that can't be read go to *left_out*, if it is given.

    Raises:
        InputRefused: No such file, no chain in it, or lines that can't be read, each with what is allowed.
    """
    with _many_small_things():
        pieces = list(_pieces_of(path, left_out, at_once=0))
    return pieces[0]


def _pieces_of(path: Path, left_out: dict[int, str] | None, at_once: int = AT_ONCE) -> Iterator[ChainsRead]:
    """The chains of a file, piece by piece, about *at_once* each (0: all together), all pieces alike. See `read_chains`."""
    faults: dict[int, str] = {}
    seen: dict[object, int] = {}
    text = letters_of(path)
    begins, ends = _lines_of(text)
    numbers = _not_blank(text, begins, ends)
    count = len(numbers)
    quick = quick_scan() if count > LINE_BY_LINE else None
    size = -(-count // max(1, round(count / at_once))) if at_once else count
    found = False
    for begin in range(0, count, max(size, 1)):
        some = numbers[begin : begin + size]
        blocks = [
            _block(text, begins, ends, some[k : k + BLOCK], seen, faults, quick)
            for k in range(0, len(some), BLOCK)
        ]
        read = [block for block in blocks if block is not None]
        if read and (not faults or left_out is not None):
            found = True
            yield _as_arrays(together(read))
    if faults and left_out is not None:
        left_out.update(faults)
    elif faults:
        raise refusal_of(path, faults, count)
    if not found:
        raise InputRefused(
            worded(
                "{path} holds no chain: one JSON object a line is needed. See: docs/methods/wear.md",
                path=path,
            )
        )


def _lines_of(text: bytes) -> tuple[Whole, Whole]:
    """Where each line begins and ends."""
    ends = np.append(np.flatnonzero(np.frombuffer(text, np.uint8) == ord("\n")), len(text))
    return np.concatenate([[0], ends[:-1] + 1]), ends


def _not_blank(text: bytes, begins: Whole, ends: Whole) -> Whole:
    """Places of the lines that hold something."""
    holds = begins < ends
    letters = np.frombuffer(text, np.uint8)
    for i in np.flatnonzero(holds)[letters[begins[holds]] != ord("{")]:
        holds[i] = not text[begins[i] : ends[i]].decode().isspace()
    return np.flatnonzero(holds)


def _block(
    text: bytes, begins: Whole, ends: Whole, places: Whole, seen: dict[object, int], faults: dict[int, str],
    quick: Callable[..., int] | None,
) -> ChainColumns | None:  # fmt: skip
    """Some lines at once where all are plain, else one by one."""
    block = quick and columns_of(text, begins[places], ends[places], ALLOWED, quick)
    marks = dict(zip(block.ids, (places + 1).tolist(), strict=True)) if block else {}
    if not block or len(marks) < len(places) or not seen.keys().isdisjoint(marks):
        rows = [(int(i) + 1, text[begins[i] : ends[i]].decode()) for i in places]
        return _one_by_one(rows, seen, faults)
    seen.update(marks)
    return block


def _one_by_one(
    rows: list[tuple[int, str]], seen: dict[object, int], faults: dict[int, str]
) -> ChainColumns | None:
    """The lines of a block that can be read; what is wrong with the others goes to *faults*."""
    chains = []
    for number, text in rows:
        try:
            chain = chain_of(text)
            mark = chain["id"]
            if mark in seen:
                raise LineWrong(
                    worded(
                        "id is {mark}, as on line {seen}: each chain has its own", mark=mark, seen=seen[mark]
                    )
                )
            seen[mark] = number
            chains.append(chain)
        except LineWrong as wrong:
            faults[number] = str(wrong)
    if not chains:
        return None
    readings = np.array([r for c in chains for r in c["readings"]], float).reshape(-1, 5)
    return ChainColumns._make(
        [
            [c["id"] for c in chains],
            [c["workshop"] for c in chains],
            *(np.array([c[name] for c in chains], float) for name in NAMED_FIELDS),
            np.array([len(c["readings"]) for c in chains], float),
            *readings.T,
        ]
    )


def _as_arrays(read: ChainColumns) -> ChainsRead:
    count = read.held.astype(int)
    held = np.arange(max(1, int(count.max())))[None] < count[:, None]

    def table(column: Any, empty: float) -> Any:
        whole = np.full(held.shape, empty)
        whole[held] = column
        return whole

    shops = tuple(dict.fromkeys(read.workshop))
    number = {name: k for k, name in enumerate(shops)}
    lines = ChainLines(
        shop=np.array([number[name] for name in read.workshop]),
        use=read.use.astype(int),
        limit=read.limit,
        closed=read.closed,
        passed_after=read.passed_after,
        bench=read.bench > 0,
        hub=read.hub > 0,
        start=read.start.astype(int),
        km=table(read.km, nan),
        days=table(read.days, nan),
        gauge=table(read.gauge, -1).astype(int),
        low=table(read.low, -inf),
        high=table(read.high, inf),
    )
    return ChainsRead(tuple(read.ids), shops, lines)


def _told_lines(ids: tuple[object, ...], found: ChainForecasts) -> Iterator[str]:
    distances = ", ".join(f'"{level:g}": %.1f' for level in found.levels)
    line = (
        f'{{"id": %s, "to_limit_km": {{{distances}}}, "chance_past_limit": %.6f, "odds_same": %s, "like_hub_gear": %.4f, '
        '"last_reading_a_slip": %.4f}\n'
    )
    # One reading has no odds: nan is no JSON.
    odds = [f"{one:.6g}" if isfinite(one) else "null" for one in found.odds_same.tolist()]
    rows = zip(
        [mark if type(mark) is int else json.dumps(mark, ensure_ascii=False) for mark in ids],
        *(np.round(found.to_limit_km, 1) + 0.0).T.tolist(),  # no minus before nought
        found.chance_past_limit.tolist(),
        odds,
        found.like_hub.tolist(),
        found.slip.tolist(),
        strict=True,
    )
    return map(line.__mod__, rows)


def _write(target: Path, text: str) -> None:
    """All of it or nothing: written beside the target, then put in its place."""
    aside = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        with aside.open("w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(target)
    finally:
        aside.unlink(missing_ok=True)
