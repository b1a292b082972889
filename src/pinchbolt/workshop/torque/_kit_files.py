"""Joints and tools of a kit out of files: JSON, TOML or CSV, told apart by the file's ending."""

import csv
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from io import StringIO
from math import isfinite
from pathlib import Path
from typing import TypeVar

from pinchbolt.engines.build import lowest_figures
from pinchbolt.engines.torque import ToolSpec
from pinchbolt.errors import InputRefused
from pinchbolt.values import read_json
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables

LARGEST_FILE = 1_000_000
MOST_ROWS = 1000
NAMED = 5  # faults that are told in full
MOST_TORQUE = 1000  # N·m
BEST_THERE_IS = 0.5  # percent: a share typed for a percentage is asked about
BY_HAND = "hand"
JOINT_FIELDS = ("id", "joint", "name", "drive", "floor_n_m", "cap_n_m")
TOOL_FIELDS = (
    "id", "tool", "name", "grams", "price", "drive", "least_n_m", "greatest_n_m", "step_n_m", "steps_n_m",
    "deviation_percent", "due",
)  # fmt: skip
Raw = Mapping[str, object]
Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class KitJoint:
    """A joint that the kit is to cover. `window` is None where its torque need not be kept. [N·m]"""

    id: str
    name: str
    drives: tuple[str, ...]
    window: tuple[float, float] | None
    heads: tuple[tuple[str, ...], ...] = ()
    bits: tuple[tuple[str, ...], ...] = ()
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KitTool:
    """A tool that may go into the kit: what it turns, and for a torque tool what it can be set to. [g]"""

    id: str
    name: str
    grams: float
    price: Decimal | None
    drives: tuple[str, ...]
    torque: ToolSpec | None
    bits: tuple[str, ...] = ()


def read_joints(path: Path) -> tuple[KitJoint, ...]:
    """Return the joints of a file.

    Raises:
        InputRefused: The file or a row can't be read: all are named.
    """
    return _each(path, "joint", JOINT_FIELDS, _joint)


def read_tools(path: Path) -> tuple[KitTool, ...]:
    """Return the tools of a file.

    Raises:
        InputRefused: The file or a row can't be read: all are named.
    """
    return _each(path, "tool", TOOL_FIELDS, _tool)


def _each(path: Path, what: str, known: tuple[str, ...], made: Callable[[Raw], Made]) -> tuple[Made, ...]:
    rows = _rows(path, what)
    found, faults = list[Made](), list[str]()
    for number, raw in enumerate(rows, start=1):
        try:
            strange = [name for name in raw if name not in known]
            if strange:
                raise InputRefused(
                    worded('"{strange}" is not known: {known}.', strange=strange[0], known=", ".join(known))
                )
            found.append(made(raw))
        except InputRefused as fault:
            faults.append(f"{what} {number}: {fault.sentence}")
    if faults:
        more = worded(" {faults} more like it.", faults=len(faults) - NAMED) if len(faults) > NAMED else ""
        raise InputRefused(
            worded(
                "{name}: {faults}{more} Correct the file; nothing was chosen.",
                name=path.name,
                faults=" ".join(faults[:NAMED]),
                more=more,
            )
        )
    return tuple(found)


def _rows(path: Path, what: str) -> list[Raw]:
    """The rows of a file as they stand there, whatever its kind."""
    readers: Mapping[str, Callable[[str], object]] = {
        ".json": read_json,
        ".toml": tomllib.loads,
        ".csv": lambda text: list(csv.DictReader(StringIO(text))),
    }
    reader = readers.get(path.suffix.lower())
    if reader is None:
        raise InputRefused(
            worded("{name}: it ends in .json, .toml or .csv. Name it by what it holds.", name=path.name)
        )
    try:
        with path.open("rb") as stream:
            held = stream.read(LARGEST_FILE + 1)
        if len(held) > LARGEST_FILE:
            raise InputRefused(
                worded(
                    "{name}: over {largest_file:.0f} MB. Send fewer {what}s.",
                    name=path.name,
                    largest_file=LARGEST_FILE / 1000000.0,
                    what=what,
                )
            )
        read = reader(held.decode("utf-8-sig"))
    except OSError as fault:
        raise InputRefused(
            worded(
                "{path}: {strerror}. Name a file that may be read.",
                path=path,
                strerror=(fault.strerror or worded("cannot be read")).lower(),
            )
        ) from fault
    except (ValueError, RecursionError) as fault:
        raise InputRefused(
            worded(
                "{name}: no sound {suffix}: {fault}. Correct the file.",
                name=path.name,
                suffix=path.suffix[1:].upper(),
                fault=str(fault)[:160].rstrip("."),
            )
        ) from fault
    rows = (
        next((read[name] for name in (f"{what}s", what) if name in read), None)
        if isinstance(read, dict)
        else read
    )
    return _sound_rows(rows, path.name, what)


def _sound_rows(rows: object, name: str, what: str) -> list[Raw]:
    """Rows of a file, without their empty fields."""
    if not isinstance(rows, list) or not rows or not all(isinstance(row, dict) for row in rows):
        raise InputRefused(
            worded(
                '{name}: a list of {what}s is needed, or one named "{what}s". Correct the file.',
                name=name,
                what=what,
            )
        )
    if len(rows) > MOST_ROWS:
        raise InputRefused(
            worded(
                "{name}: {rows} {what}s: {most_rows} at most. Send fewer.",
                name=name,
                rows=figure_text(len(rows)),
                what=what,
                most_rows=figure_text(MOST_ROWS),
            )
        )
    return [{key: value for key, value in row.items() if value not in ("", None)} for row in rows]


def _joint(raw: Raw) -> KitJoint:
    name = _text(raw, "id")
    asked = str(raw.get("joint", name))
    row = tables().joints.get(asked)
    if "joint" in raw and row is None:
        raise InputRefused(
            worded('joint is "{asked}": it is a row of the joints table, or left out.', asked=asked[:40])
        )
    drives = _words(raw, "drive") or (row.drive if row else ())
    if not drives:
        raise InputRefused(
            worded(
                '"{name}" has no drive: name what turns it, such as hex-5, or the joint\'s row in "joint".',
                name=name,
            )
        )
    floor, cap = _figure(raw, "floor_n_m"), _figure(raw, "cap_n_m")
    if (floor is None) != (cap is None) or (floor is not None and cap is not None and not 0 < floor <= cap):
        raise InputRefused(
            worded(
                '"{name}": floor_n_m and cap_n_m stand together, above 0, the floor not above the cap.',
                name=name,
            )
        )
    window = (floor, cap) if floor is not None and cap is not None else None
    if window is None and row is not None and row.closed_by == "torque" and "drive" not in raw:
        figures = lowest_figures(tables(), row)
        window = (figures.low, figures.high)
    return KitJoint(name, str(raw.get("name", row.name if row else name)), drives, window)


def _tool(raw: Raw) -> KitTool:
    name = _text(raw, "id")
    asked = str(raw.get("tool", name))
    hand, torque = tables().tools.get(asked), tables().torque_tools.get(asked)
    if "tool" in raw and hand is None and torque is None:
        raise InputRefused(
            worded('tool is "{asked}": it is a row of the tools table, or left out.', asked=asked[:40])
        )
    row = hand or torque
    grams = _figure(raw, "grams")
    if grams is None and row is None:
        raise InputRefused(worded('"{name}" has no grams: its mass in g is needed.', name=name))
    drives = _words(raw, "drive") or (hand.covers if hand else ())
    by_file = any(field in raw for field in ("least_n_m", "greatest_n_m", "steps_n_m"))
    torque_tool = _torque_tool(name, raw) if by_file else (tool_of_table(asked, name) if torque else None)
    if not drives and torque_tool is None:
        raise InputRefused(
            worded('"{name}" does nothing: name what it turns in "drive", or its torque.', name=name)
        )
    known_price = tables().tool_prices.get(asked)
    price = _price(raw) if "price" in raw else (known_price.price if known_price else None)
    return KitTool(
        id=name,
        name=str(raw.get("name", row.name if row else name)),
        grams=grams if grams is not None else float(row.grams if row else 0),
        price=price,
        drives=drives,
        torque=torque_tool,
    )


def tool_of_table(asked: str, name: str) -> ToolSpec:
    """Return a torque tool of the table as the torque engine takes it, with the deviation of its class and no date."""
    row = tables().torque_tools[asked]
    of_class = tables().torque_classes[row.class_]
    deviation = of_class.deviation
    if deviation is None:
        deviation = of_class.deviation_to_10 if row.range[1] <= 10 else of_class.deviation_over_10
    assert deviation is not None  # the table loader holds one of the three
    return ToolSpec(name, row.name, row.range[0], row.range[1], deviation, row.step or 0.1, row.steps)


def _torque_tool(name: str, raw: Raw) -> ToolSpec:
    steps = tuple(_number(word, "steps_n_m") for word in _list(raw.get("steps_n_m", ())))
    least, greatest = _figure(raw, "least_n_m"), _figure(raw, "greatest_n_m")
    if steps:
        least, greatest = least or min(steps), greatest or max(steps)
    out = _figure(raw, "deviation_percent")
    if least is None or greatest is None or out is None:
        raise InputRefused(
            worded(
                '"{name}": a torque tool has least_n_m and greatest_n_m, or steps_n_m, and '
                "deviation_percent (6 for 6 %).",
                name=name,
            )
        )
    if not 0 <= out < 100 or 0 < out < BEST_THERE_IS:
        raise InputRefused(
            worded(
                '"{name}": deviation_percent is {out:g}: {best_there_is:g} to below 100, or 0 for '
                "one taken as exact; 6 for 6 %.",
                name=name,
                out=out,
                best_there_is=BEST_THERE_IS,
            )
        )
    step = _figure(raw, "step_n_m")
    if step == 0 or max((greatest, *steps)) > MOST_TORQUE:
        raise InputRefused(
            worded(
                '"{name}": step_n_m is above 0, and no setting above {most_torque} N·m. Correct the row.',
                name=name,
                most_torque=figure_text(MOST_TORQUE),
            )
        )
    return ToolSpec(
        name,
        str(raw.get("name", name)),
        least,
        greatest,
        out / 100,
        step or 0.1,
        steps,
        _day(raw),
    )


def _day(raw: Raw) -> date | None:
    given = raw.get("due")
    if given is None or isinstance(given, date):
        return given
    try:
        return date.fromisoformat(str(given))
    except ValueError:
        raise InputRefused(
            worded('due is "{given}": a day such as 2026-11-25.', given=str(given)[:20])
        ) from None


def _price(raw: Raw) -> Decimal:
    try:
        price = Decimal(str(raw["price"]))
    except InvalidOperation:
        price = Decimal(-1)
    if not (price.is_finite() and 0 <= price < 1_000_000):
        raise InputRefused(worded('price is "{raw}": a number of 0 or more.', raw=str(raw["price"])[:20]))
    return price


def _text(raw: Raw, field: str) -> str:
    if not str(raw.get(field, "")).strip():
        raise InputRefused(worded("{field} is missing: each has one of its own.", field=field))
    return str(raw[field]).strip()[:80]


def _figure(raw: Raw, field: str) -> float | None:
    return _number(raw[field], field) if field in raw else None


def _number(value: object, field: str) -> float:
    try:
        number = (
            float(value)
            if isinstance(value, str | int | float) and not isinstance(value, bool)
            else float("nan")
        )
    except (TypeError, ValueError):
        number = float("nan")
    if not (isfinite(number) and 0 <= number < 1_000_000):
        raise InputRefused(
            worded('{field} is "{value}": a number of 0 or more.', field=field, value=str(value)[:20])
        )
    return number


def _list(value: object) -> Iterable[object]:
    """A list as it stands; in a CSV the entries of one cell stand apart by semicolons or blanks."""
    if isinstance(value, str):
        return value.replace(";", " ").split()
    return value if isinstance(value, list | tuple) else [value]


def _words(raw: Raw, field: str) -> tuple[str, ...]:
    return tuple(str(word)[:60] for word in _list(raw.get(field, ())))
