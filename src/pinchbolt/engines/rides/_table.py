"""CSV: one ride a row, under column names that are ours or are mapped to ours."""

import csv
import re
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from math import isfinite

from pinchbolt.engines.rides._points import MOST_DISTANCE_M, MOST_ELAPSED_S, is_sensible, seconds_of
from pinchbolt.engines.rides._sport import is_indoors, sport_by_words
from pinchbolt.engines.rides.rides_types import NO_HOUR, NO_ZONE, RecordedRide
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

COLUMNS = (
    "start", "distance_km", "distance_m", "moving_s", "elapsed_s", "ascent_m", "descent_m", "energy_kj", "indoor", "sport",
    "device", "bike",
)  # fmt: skip
_YES, _NO = ("yes", "true", "1", "indoor"), ("no", "false", "0", "")
_MOST_ROWS = 100_000
_MOST_BYTES = 32_000_000
_SHOWN = 5


def table_rides(name: str, data: bytes, columns: Mapping[str, str]) -> tuple[RecordedRide, ...]:
    """Return the rides of a CSV table; *columns* maps our names to those of the file.

    Raises:
        InputRefused: A column that is needed is missing, or any row can't be read.
    """
    if len(data) > _MOST_BYTES:
        raise InputRefused(
            worded(
                "{name} has {data} MB: a table has 32 MB at most. Cut it into pieces.",
                name=name,
                data=figure_text(len(data) / 1000000.0, 0),
            )
        )
    rows = _rows(name, data)
    head = [cell.strip() for cell in rows[0]]
    at = _places(name, head, columns)
    rides, wrong = [], []
    decimal_comma = ";" in data[:4096].decode("utf-8", "replace").splitlines()[0]
    for line, row in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in row):
            continue
        cells = {ours: row[place].strip() if place < len(row) else "" for ours, place in at.items()}
        try:
            rides.append(_ride(cells, decimal_comma))
        except _Wrong as fault:
            wrong.append((line, str(fault)))
    if wrong:
        lines = ", ".join(str(line) for line, _ in wrong[:_SHOWN]) + (" ..." if len(wrong) > _SHOWN else "")
        raise InputRefused(
            worded(
                "{name}: {wrong} of {rows} rows can't be read (lines {lines}; the first: "
                "{first}), so none was taken. Correct them and read the file again.",
                name=name,
                wrong=figure_text(len(wrong)),
                rows=figure_text(len(wrong) + len(rides)),
                lines=lines,
                first=wrong[0][1],
            )
        )
    if not rides:
        raise InputRefused(
            worded("{name} has a head but no rows: one ride a row is needed. Export it again.", name=name)
        )
    return tuple(rides)


def is_table(head: bytes) -> bool:
    """Whether the first bytes are a row of our own names, whatever the file is called."""
    names = re.split(r"[,;\t]", head.decode("utf-8-sig", "replace").partition("\n")[0].strip())
    return "start" in names and bool({"distance_km", "distance_m"} & set(names))


class _Wrong(Exception):
    """What is wrong in a cell."""


def _rows(name: str, data: bytes) -> list[list[str]]:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    first = text.splitlines()[0] if text.strip() else ""
    mark = max((",", ";", "\t"), key=first.count)
    try:
        rows = list(csv.reader(text.splitlines(keepends=True), delimiter=mark))
    except csv.Error as error:
        raise InputRefused(
            worded(
                "{name} is no table that can be read ({error}): CSV is needed. Export it again.",
                name=name,
                error=error,
            )
        ) from None
    if len(rows) > _MOST_ROWS:
        raise InputRefused(
            worded(
                "{name} has {rows} rows: {most_rows} are allowed. Cut it into pieces.",
                name=name,
                rows=figure_text(len(rows)),
                most_rows=figure_text(_MOST_ROWS),
            )
        )
    if not rows or not first.strip():
        raise InputRefused(
            worded(
                "{name} is empty: a row of names and one ride a row are needed. Export it again.", name=name
            )
        )
    return rows


def _places(name: str, head: Sequence[str], columns: Mapping[str, str]) -> dict[str, int]:
    unknown = [ours for ours in columns if ours not in COLUMNS]
    if unknown:
        sentence = worded(
            'Column "{unknown}" is not ours: {columns}. Write ours=theirs.',
            unknown=unknown[0][:40],
            columns=", ".join(COLUMNS),
        )
        raise InputRefused(sentence, {"columns": sentence})
    at = {}
    for ours in COLUMNS:
        theirs = columns.get(ours, ours)
        if theirs in head:
            at[ours] = head.index(theirs)
        elif ours in columns:
            sentence = worded(
                '{name} has no column "{theirs}": it has {head}. Map {ours} to one of them.',
                name=name,
                theirs=theirs[:40],
                head=", ".join(head)[:200],
                ours=ours,
            )
            raise InputRefused(sentence, {"columns": sentence})
    if "start" not in at or not {"distance_km", "distance_m"} & set(at):
        sentence = worded(
            "{name} has the columns {head}: start and distance_km (or distance_m) are needed. "
            "Map them, such as start=Date distance_km=Distance.",
            name=name,
            head=", ".join(head)[:200],
        )
        raise InputRefused(sentence, {"columns": sentence})
    return at


def _ride(cells: Mapping[str, str], decimal_comma: bool) -> RecordedRide:
    start, said = _start(cells["start"])
    if cells.get("distance_m"):
        distance = _figure(cells, "distance_m", MOST_DISTANCE_M, decimal_comma)
    else:
        km = _figure(cells, "distance_km", MOST_DISTANCE_M / 1000, decimal_comma)
        distance = None if km is None else km * 1000
    if distance is None:
        raise _Wrong(worded("no distance"))
    elapsed, moving = (
        _duration(cells, "elapsed_s", decimal_comma),
        _duration(cells, "moving_s", decimal_comma),
    )
    sport = sport_by_words(cells.get("sport", ""))
    return RecordedRide(
        start=start,
        elapsed_s=max(elapsed or 0.0, moving or 0.0),
        moving_s=moving if moving is not None else (elapsed or 0.0),
        distance_m=distance,
        distance_from="table",
        ascent_m=_figure(cells, "ascent_m", 50000.0, decimal_comma),
        descent_m=_figure(cells, "descent_m", 50000.0, decimal_comma),
        energy_kj=_figure(cells, "energy_kj", 200000.0, decimal_comma),
        indoor=_indoor(cells.get("indoor"), sport.words),
        is_ride=sport.is_ride,
        sport=sport.words,
        ask=sport.ask,
        device=cells.get("device", "")[:120],
        bike=cells.get("bike", "")[:120],
        damaged=said,
    )


def _start(text: str) -> tuple[datetime, tuple[str, ...]]:
    try:
        time = datetime.fromisoformat(text)
        if not is_sensible(seconds_of(time)):
            raise ValueError
    except (ValueError, OverflowError):
        raise _Wrong(
            worded(
                'start is "{text}": a day such as 2026-05-01 or 2026-05-01T08:00:00Z is needed',
                text=text[:30],
            )
        ) from None
    if ":" not in text and "T" not in text:
        # Noon is the same day almost everywhere.
        return time.replace(hour=12, tzinfo=UTC), (NO_HOUR,)
    if time.tzinfo is None:
        return time.replace(tzinfo=UTC), (NO_ZONE,)
    return time.astimezone(UTC), ()


def _figure(cells: Mapping[str, str], name: str, most: float, decimal_comma: bool) -> float | None:
    text = cells.get(name, "")
    if not text:
        return None
    plain = (
        text.replace(".", "").replace(",", ".") if decimal_comma and "," in text else text.replace(",", "")
    )
    try:
        value = float(plain)
    except ValueError:
        value = float("nan")
    if not (isfinite(value) and 0 <= value <= most):
        raise _Wrong(
            worded('{name} is "{text}": 0 to {most:g} is allowed', name=name, text=text[:30], most=most)
        )
    return value


def _duration(cells: Mapping[str, str], name: str, decimal_comma: bool) -> float | None:
    """Seconds, or hours, minutes and seconds with colons between."""
    text = cells.get(name, "")
    if ":" not in text:
        return _figure(cells, name, MOST_ELAPSED_S, decimal_comma)
    pieces = text.split(":")
    if len(pieces) <= 3 and all(piece.isascii() and piece.isdigit() for piece in pieces):
        value = 0.0
        for piece in pieces:
            value = value * 60 + int(piece[:6])
        if value <= MOST_ELAPSED_S:
            return value
    raise _Wrong(worded('{name} is "{text}": seconds or h:mm:ss are needed', name=name, text=text[:30]))


def _indoor(text: str | None, sport: str) -> bool | None:
    if text is None:
        return is_indoors(sport)
    told = text.lower()
    if told in _YES:
        return True
    if told in _NO:
        return False if told else is_indoors(sport)
    raise _Wrong(worded('indoor is "{text}": yes or no is needed', text=text[:20]))
