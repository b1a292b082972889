"""A line of a file of chains, as somebody wrote it: read word by word, with what is wrong in it."""

import json
from math import inf, isfinite, nan
from pathlib import Path
from typing import Any

from pinchbolt.engines.wear import (
    INSTRUMENTS,
    MIXED,
    STARTS,
)
from pinchbolt.errors import InputRefused
from pinchbolt.values import Json, RepeatedKey, read_json
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

USES = {"road-dry": 0, "mixed": 1, "mud": 2, "e-bike": 3, "indoor": 4}
LIMITS, SHOWN, KM, DAYS = (0.1, 3.0), (-1.0, 8.0), (0.0, 50_000.0), (0.0, 7300.0)
CLOSED_KM = (1.0, 300_000.0)
# A chain that read this far below its limit had not passed it in half that distance. Common practice, no source.
CLEARLY_BELOW = 0.1
CLOSED_HOW = ("gauge", "bench")
# Whether a chain ran on a hub gear, by the word of the file.
DRIVES: dict[str | None, bool] = {None: False, "derailleur": False, "hub gear": True}
NAMED_FIELDS = ("use", "limit", "closed", "passed_after", "bench", "hub", "start")
MOST_READINGS = 200
NAMED = 5  # faults that are told in full


class LineWrong(Exception):
    """Why a line can't be read."""


def refusal_of(path: Path, faults: dict[int, str], count: int) -> InputRefused:
    numbers = ", ".join(map(str, list(faults)[:20])) + (" ..." if len(faults) > 20 else "")
    told = "; ".join(worded("line {n}: {why}", n=n, why=why) for n, why in list(faults.items())[:NAMED])
    verb = "line" if len(faults) == 1 else "lines"
    return InputRefused(
        worded(
            "{path}: {faults} of {count} {lines} could not be read ({at_lines} {numbers}), so "
            "nothing was written. {told}. Correct them and give the file again.",
            path=path,
            faults=figure_text(len(faults)),
            count=figure_text(count),
            lines=worded("line") if count == 1 else worded("lines"),
            at_lines=verb,
            numbers=numbers,
            told=told,
        ),
        {worded("line {n}", n=n): why for n, why in faults.items()},
    )


def text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as fault:
        raise InputRefused(
            worded("{path} is not there: name a file that is. Look at the path.", path=path)
        ) from fault
    except UnicodeDecodeError as fault:
        raise InputRefused(
            worded("{path} is no text in UTF-8: save it so and give it again.", path=path)
        ) from fault


def letters_of(path: Path) -> bytes:
    """The file's text in UTF-8 with plain ends of lines; most files are just that as they lie there."""
    try:
        letters = path.read_bytes()
    except FileNotFoundError:
        letters = b""
    return letters if letters and letters.isascii() and b"\r" not in letters else text_of(path).encode()


def no_number(word: str) -> None:
    raise ValueError(worded("{word} is no number", word=word))


def chain_of(text: str) -> Json:
    """One line as checked values."""
    try:
        one = read_json(text, parse_constant=no_number)
    except RepeatedKey as fault:
        raise LineWrong(fault.sentence.rstrip(".")) from fault
    except (ValueError, RecursionError) as fault:
        raise LineWrong(worded("not a JSON object on one line")) from fault
    if not isinstance(one, dict):
        raise LineWrong(
            worded('a JSON object is needed, such as {"id": 1, "workshop": 3, "use": "mixed", ...}')
        )
    for name in ("id", "workshop"):
        if isinstance(one.get(name), bool) or not isinstance(one.get(name), int | str) or one[name] == "":
            raise LineWrong(
                worded(
                    "{name} is {short}: a whole number or a name is needed",
                    name=name,
                    short=_short(one.get(name)),
                )
            )
    if not isinstance(one.get("use"), str) or one["use"] not in USES:
        raise LineWrong(worded("use is {short}: {uses}", short=_short(one.get("use")), uses=", ".join(USES)))
    readings = one.get("readings")
    if not isinstance(readings, list) or len(readings) > MOST_READINGS:
        raise LineWrong(
            worded(
                "readings is {short}: a list of at most {most_readings} readings, empty if none was taken",
                short=_short(readings),
                most_readings=MOST_READINGS,
            )
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
            raise LineWrong(
                worded(
                    "closed_km is {chain:g}: reading {k}, {gone:g} km from its fitting, shows it below "
                    "its limit. closed_km counts from fitting",
                    chain=chain["closed"],
                    k=k,
                    gone=gone,
                )
            )


def _closing(one: Json) -> Json:
    """When the chain was seen past its limit, and how: by its gauge, or measured at the bench."""
    how = one.get("closed_how") or "gauge"
    if how not in CLOSED_HOW:
        raise LineWrong(
            worded("closed_how is {short}: {closed_how}", short=_short(how), closed_how=", ".join(CLOSED_HOW))
        )
    closed = _or_unknown(one.get("closed_km"), "closed_km", "km", *CLOSED_KM)
    after = _or_unknown(one.get("passed_after_km"), "passed_after_km", "km", *CLOSED_KM)
    # Measured off the bike and not past yet: such a chain is on the road again, and has no closing.
    not_yet = how == "bench" and not isfinite(closed)
    if isfinite(after) and not after <= closed and not not_yet:
        raise LineWrong(
            worded(
                "passed_after_km is {after:g} and closed_km {short}: it can't be after it",
                after=after,
                short=_short(one.get("closed_km")),
            )
        )
    return {"closed": closed, "passed_after": after, "bench": how == "bench"}


def _drive(word: object) -> bool:
    if not isinstance(word, str | None) or word not in DRIVES:
        raise LineWrong(
            worded(
                "drive is {short}: {drives}, or left out",
                short=_short(word),
                drives=", ".join(name for name in DRIVES if name),
            )
        )
    return DRIVES[word]


def _fitted(word: object) -> int:
    if word is None:
        return MIXED
    if word not in STARTS:
        raise LineWrong(
            worded("fitted is {short}: {starts}, or left out", short=_short(word), starts=", ".join(STARTS))
        )
    return STARTS.index(word)


def _reading(one: Any, k: int) -> tuple[float, float, int, float, float]:
    """km, days, instrument, low, high."""
    at = worded("reading {k}", k=k)
    if not isinstance(one, dict):
        raise LineWrong(worded("{at} is {short}: a JSON object is needed", at=at, short=_short(one)))
    if not isinstance(one.get("instrument"), str) or one["instrument"] not in INSTRUMENTS:
        raise LineWrong(
            worded(
                "{at}, instrument is {short}: {instruments}",
                at=at,
                short=_short(one.get("instrument")),
                instruments=", ".join(INSTRUMENTS),
            )
        )
    km = _or_unknown(one.get("km"), f"{at}, km", "km", *KM)
    days = _or_unknown(one.get("days"), worded("{at}, days", at=at), "days", *DAYS)
    if not isfinite(km) and not isfinite(days):
        raise LineWrong(worded("{at} has neither km nor days: one of them is needed", at=at))
    value = _or_unknown(one.get("value"), worded("{at}, value", at=at), "%", *SHOWN)
    low = _or_unknown(one.get("low"), worded("{at}, low", at=at), "%", *SHOWN)
    high = _or_unknown(one.get("high"), worded("{at}, high", at=at), "%", *SHOWN)
    if isfinite(value) == (isfinite(low) or isfinite(high)):
        raise LineWrong(
            worded("{at} is one value, or low and high of which one may be null: give one of the two", at=at)
        )
    if isfinite(value):
        low = high = value
    elif isfinite(low) and isfinite(high) and low >= high:
        raise LineWrong(
            worded("{at} is {low:g} to {high:g} %: low must be below high", at=at, low=low, high=high)
        )
    low, high = low if isfinite(low) else -inf, high if isfinite(high) else inf
    return km, days, INSTRUMENTS.index(one["instrument"]), low, high


def _number(value: object, name: str, unit: str, least: float, greatest: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= greatest:
        raise LineWrong(
            worded(
                "{name} is {short}: {least:g} to {greatest:g} {unit}",
                name=name,
                short=_short(value),
                least=least,
                greatest=greatest,
                unit=unit,
            )
        )
    return float(value)


def _or_unknown(value: object, name: str, unit: str, least: float, greatest: float) -> float:
    return (
        nan if value is None else _number(value, name, worded("{unit}, or null", unit=unit), least, greatest)
    )


def _short(value: object) -> str:
    text = "missing" if value is None else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 40 else text[:37] + "..."
