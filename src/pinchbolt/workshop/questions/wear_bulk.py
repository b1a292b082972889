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
from pinchbolt.values import Json, RepeatedKey, read_json
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.questions._chain_columns import AllowedInChains, ChainColumns, columns_of, together
from pinchbolt.workshop.questions._chain_scan import quick_scan

USES = {"road-dry": 0, "mixed": 1, "mud": 2, "e-bike": 3, "indoor": 4}
LIMITS, SHOWN, KM, DAYS = (0.1, 3.0), (-1.0, 8.0), (0.0, 50_000.0), (0.0, 7300.0)
CLOSED_KM = (1.0, 300_000.0)
# A chain that read this far below its limit had not passed it in half that distance. Common practice, no source.
CLEARLY_BELOW = 0.1
CLOSED_HOW, DRIVES = ("gauge", "bench"), ("derailleur", "hub gear")
MOST_READINGS = 200
NAMED = 5  # faults that are told in full
BLOCK = 512  # lines that are read at once where all are plain
LINE_BY_LINE = 500  # lines that are sooner read so than what reads them at once is loaded
AT_ONCE = 4096  # chains that are forecast at once, while the next are read
ALLOWED = AllowedInChains(
    uses=USES,
    instruments={name: k for k, name in enumerate(INSTRUMENTS)},
    closed_how={None: False, "gauge": False, "bench": True},
    drives={None: False, "derailleur": False, "hub gear": True},
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
        sentence = f'at is "{at[:60]}": chances between 0 and 1, each larger than the one before, such as 0.1,0.5,0.9.'
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
        plain = read_json(_text(path), parse_constant=_no_number)
    except ValueError as fault:
        raise InputRefused(
            f"{path} is not what learning wrote: one JSON object is needed. Make it with: pinchbolt wear learn IN --save FILE"
        ) from fault
    if not isinstance(plain, dict):
        raise InputRefused(f"{path} is not what learning wrote: one JSON object is needed. Learn again.")
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
    text = _letters(path)
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
        raise _refusal(path, faults, count)
    if not found:
        raise InputRefused(
            f"{path} holds no chain: one JSON object a line is needed. See: docs/methods/wear.md"
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
            chain = _chain(text)
            mark = chain["id"]
            if mark in seen:
                raise _Wrong(f"id is {mark}, as on line {seen[mark]}: each chain has its own")
            seen[mark] = number
            chains.append(chain)
        except _Wrong as wrong:
            faults[number] = str(wrong)
    if not chains:
        return None
    readings = np.array([r for c in chains for r in c["readings"]], float).reshape(-1, 5)
    named = ("use", "limit", "closed", "passed_after", "bench", "hub", "start")
    return ChainColumns._make(
        [
            [c["id"] for c in chains],
            [c["workshop"] for c in chains],
            *(np.array([c[name] for c in chains], float) for name in named),
            np.array([len(c["readings"]) for c in chains], float),
            *readings.T,
        ]
    )


class _Wrong(Exception):
    """Why a line can't be read."""


def _refusal(path: Path, faults: dict[int, str], count: int) -> InputRefused:
    numbers = ", ".join(map(str, list(faults)[:20])) + (" ..." if len(faults) > 20 else "")
    told = "; ".join(f"line {n}: {why}" for n, why in list(faults.items())[:NAMED])
    verb = "line" if len(faults) == 1 else "lines"
    return InputRefused(
        f"{path}: {len(faults):,} of {count:,} {'line' if count == 1 else 'lines'} could not be read ({verb} {numbers}), so "
        f"nothing was written. {told}. Correct them and give the file again.",
        {f"line {n}": why for n, why in faults.items()},
    )


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as fault:
        raise InputRefused(f"{path} is not there: name a file that is. Look at the path.") from fault
    except UnicodeDecodeError as fault:
        raise InputRefused(f"{path} is no text in UTF-8: save it so and give it again.") from fault


def _letters(path: Path) -> bytes:
    """The file's text in UTF-8 with plain ends of lines; most files are just that as they lie there."""
    try:
        letters = path.read_bytes()
    except FileNotFoundError:
        letters = b""
    return letters if letters and letters.isascii() and b"\r" not in letters else _text(path).encode()


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")


def _chain(text: str) -> Json:
    """One line as checked values."""
    try:
        one = read_json(text, parse_constant=_no_number)
    except RepeatedKey as fault:
        raise _Wrong(fault.sentence.rstrip(".")) from fault
    except (ValueError, RecursionError) as fault:
        raise _Wrong("not a JSON object on one line") from fault
    if not isinstance(one, dict):
        raise _Wrong('a JSON object is needed, such as {"id": 1, "workshop": 3, "use": "mixed", ...}')
    for name in ("id", "workshop"):
        if isinstance(one.get(name), bool) or not isinstance(one.get(name), int | str) or one[name] == "":
            raise _Wrong(f"{name} is {_short(one.get(name))}: a whole number or a name is needed")
    if not isinstance(one.get("use"), str) or one["use"] not in USES:
        raise _Wrong(f"use is {_short(one.get('use'))}: {', '.join(USES)}")
    readings = one.get("readings")
    if not isinstance(readings, list) or len(readings) > MOST_READINGS:
        raise _Wrong(
            f"readings is {_short(readings)}: a list of at most {MOST_READINGS} readings, empty if none was taken"
        )
    chain = {
        "id": one["id"],
        "workshop": str(one["workshop"]),
        "use": USES[one["use"]],
        "limit": _number(one.get("limit"), "limit", "%", *LIMITS),
        "readings": [_reading(r, k) for k, r in enumerate(readings, start=1)],
        "hub": _drive(one.get("drive")),
        "start": _fitted(one.get("fitted")),
        **_closing(one),
    }
    _closed_after_readings(chain)
    return chain


def _closed_after_readings(chain: Json) -> None:
    """A chain that was clearly below its limit at some distance did not reach it in less than half of that."""
    gone = 0.0
    for k, (km, _, _, _, high) in enumerate(chain["readings"], start=1):
        gone += km if isfinite(km) else 0.0
        if high <= chain["limit"] - CLEARLY_BELOW and chain["closed"] < gone / 2:
            raise _Wrong(
                f"closed_km is {chain['closed']:g}: reading {k}, {gone:g} km from its fitting, shows it below its limit. "
                "closed_km counts from fitting"
            )


def _closing(one: Json) -> Json:
    """When the chain was seen past its limit, and how: by its gauge, or measured at the bench."""
    how = one.get("closed_how") or "gauge"
    if how not in CLOSED_HOW:
        raise _Wrong(f"closed_how is {_short(how)}: {', '.join(CLOSED_HOW)}")
    closed = _or_unknown(one.get("closed_km"), "closed_km", "km", *CLOSED_KM)
    after = _or_unknown(one.get("passed_after_km"), "passed_after_km", "km", *CLOSED_KM)
    # Measured off the bike and not past yet: such a chain is on the road again, and has no closing.
    not_yet = how == "bench" and not isfinite(closed)
    if isfinite(after) and not after <= closed and not not_yet:
        raise _Wrong(
            f"passed_after_km is {after:g} and closed_km {_short(one.get('closed_km'))}: it can't be after it"
        )
    return {"closed": closed, "passed_after": after, "bench": how == "bench"}


def _drive(word: object) -> bool:
    if word not in (None, *DRIVES):
        raise _Wrong(f"drive is {_short(word)}: {', '.join(DRIVES)}, or left out")
    return bool(word == DRIVES[1])


def _fitted(word: object) -> int:
    if word is None:
        return MIXED
    if word not in STARTS:
        raise _Wrong(f"fitted is {_short(word)}: {', '.join(STARTS)}, or left out")
    return STARTS.index(word)


def _reading(one: Any, k: int) -> tuple[float, float, int, float, float]:
    """km, days, instrument, low, high."""
    at = f"reading {k}"
    if not isinstance(one, dict):
        raise _Wrong(f"{at} is {_short(one)}: a JSON object is needed")
    if not isinstance(one.get("instrument"), str) or one["instrument"] not in INSTRUMENTS:
        raise _Wrong(f"{at}, instrument is {_short(one.get('instrument'))}: {', '.join(INSTRUMENTS)}")
    km = _or_unknown(one.get("km"), f"{at}, km", "km", *KM)
    days = _or_unknown(one.get("days"), f"{at}, days", "days", *DAYS)
    if not isfinite(km) and not isfinite(days):
        raise _Wrong(f"{at} has neither km nor days: one of them is needed")
    value = _or_unknown(one.get("value"), f"{at}, value", "%", *SHOWN)
    low = _or_unknown(one.get("low"), f"{at}, low", "%", *SHOWN)
    high = _or_unknown(one.get("high"), f"{at}, high", "%", *SHOWN)
    if isfinite(value) == (isfinite(low) or isfinite(high)):
        raise _Wrong(f"{at} is one value, or low and high of which one may be null: give one of the two")
    if isfinite(value):
        low = high = value
    elif isfinite(low) and isfinite(high) and low >= high:
        raise _Wrong(f"{at} is {low:g} to {high:g} %: low must be below high")
    low, high = low if isfinite(low) else -inf, high if isfinite(high) else inf
    return km, days, INSTRUMENTS.index(one["instrument"]), low, high


def _number(value: object, name: str, unit: str, least: float, greatest: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= greatest:
        raise _Wrong(f"{name} is {_short(value)}: {least:g} to {greatest:g} {unit}")
    return float(value)


def _or_unknown(value: object, name: str, unit: str, least: float, greatest: float) -> float:
    return nan if value is None else _number(value, name, f"{unit}, or null", least, greatest)


def _short(value: object) -> str:
    text = "missing" if value is None else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 40 else text[:37] + "..."


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
