"""From the text of a TOML file to typed rows, with every fault said and none hidden.

Types are read off the row classes: what a field may hold is stated once, in its annotation.
"""

import dataclasses
import keyword
import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from difflib import get_close_matches
from enum import Enum
from functools import cache
from math import isfinite
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin

from pinchbolt.reference.faults import Fault
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.rows.condition import ALLOWED, Condition, condition
from pinchbolt.values.wording import worded

# Fields that say something to a person, in the language of this process; what a program goes by stays as it is.
SAID = frozenset(
    (
        "also", "ask", "because", "care", "caution", "check", "checks", "conflict", "do", "how", "name", "next", "note",
        "pattern", "plain", "quantity", "source", "steps", "stop", "unclear", "where", "words",
    )
)  # fmt: skip
NOT_IN_FILES = frozenset({"from_shop", "instead_of"})
PRICE = re.compile(r"[0-9]{1,6}(\.[0-9]{2})?")
MISSING = object()
UNKNOWN_FIELD = object()
Raw = dict[str, object]
Checker = Callable[[object], object]
RowKind = TypeVar("RowKind", bound=Row)
Rows = TypeVar("Rows")


class Wrong(Exception):
    """A value that its field does not hold. `at` is the place inside the field, `value` what stands there."""

    def __init__(self, value: object, allowed: str, at: str = "") -> None:
        super().__init__(allowed)
        self.value = value
        self.allowed = allowed
        self.at = at


def toml_key(attribute: str) -> str:
    """The key in the file for an attribute: `with_` is `with`."""
    return attribute[:-1] if attribute.endswith("_") and keyword.iskeyword(attribute[:-1]) else attribute


def shown(value: object) -> str:
    """A value as a message prints it: text in quotes, cut where it is long."""
    if isinstance(value, str):
        text = f'"{value}"'
    elif isinstance(value, bool):
        text = str(value).lower()
    else:
        text = str(value)
    return text if len(text) <= 60 else text[:56] + " ..."


# ---------------------------------------------------------------------------------------------- one value


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise Wrong(value, worded("text in quotes"))
    return value


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise Wrong(value, worded("true or false"))
    return value


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise Wrong(value, worded("a whole number"))
    return value


def _number(value: object) -> float:
    try:
        if not isinstance(value, bool) and isinstance(value, int | float) and isfinite(value):
            return float(value)
    except OverflowError:
        pass
    raise Wrong(value, worded("a number"))


def _money(value: object) -> Decimal:
    if not isinstance(value, str) or not PRICE.fullmatch(value):
        raise Wrong(value, worded('a price to the penny in quotes, such as "45.00"'))
    return Decimal(value)


def _condition(value: object) -> Condition:
    try:
        return condition(_text(value))
    except ValueError:
        raise Wrong(value, ALLOWED) from None


def _free(value: object) -> object:
    """Any value; lists become tuples, so that nothing in a row can be changed by accident."""
    if isinstance(value, list):
        return tuple(_free(item) for item in value)
    if isinstance(value, dict):
        return {name: _free(item) for name, item in value.items()}
    return value


_PLAIN: dict[object, Checker] = {
    str: _text, bool: _yes_or_no, int: _whole, float: _number, Decimal: _money, Condition: _condition, object: _free,
    Any: _free,
}  # fmt: skip


def _one_of(words: Sequence[object]) -> Checker:
    allowed = worded("one of ") + ", ".join(str(word) or '""' for word in words)

    def check(value: object) -> object:
        if value not in words or isinstance(value, bool):
            raise Wrong(value, allowed)
        return value

    return check


def _enumeration(kind: type[Enum]) -> Checker:
    check_word = _one_of([member.value for member in kind])

    def check(value: object) -> object:
        return kind(check_word(value))

    return check


def _list(of: Checker) -> Checker:
    def check(value: object) -> object:
        if not isinstance(value, list):
            raise Wrong(value, worded("a list in square brackets"))
        return tuple(_inside(of, item, f"[{place}]") for place, item in enumerate(value, start=1))

    return check


def _fixed_list(of: Sequence[Checker]) -> Checker:
    def check(value: object) -> object:
        if not isinstance(value, list) or len(value) != len(of):
            raise Wrong(value, worded("a list of {of} in square brackets", of=len(of)))
        pairs = zip(of, value, strict=True)
        return tuple(_inside(one, item, f"[{place}]") for place, (one, item) in enumerate(pairs, start=1))

    return check


def _key_checker(kind: Any) -> Callable[[str], object]:
    if get_origin(kind) is Literal:
        return _one_of(get_args(kind))

    def check(name: str) -> object:
        try:
            key = kind(name)
        except ValueError:
            key = None
        if key is None or (kind is not str and not isfinite(key)):
            raise Wrong(
                name, worded("names that are {kind}numbers", kind=worded("whole ") if kind is int else "")
            )
        return key

    return check


def _table(key_kind: Any, of: Checker) -> Checker:
    key_of = _key_checker(key_kind)

    def check(value: object) -> object:
        if not isinstance(value, dict):
            raise Wrong(value, worded("a table in braces"))
        return {key_of(name): _inside(of, item, f".{name}") for name, item in value.items()}

    return check


def _any_of(checkers: Sequence[Checker]) -> Checker:
    def check(value: object) -> object:
        allowed: list[str] = []
        for one in checkers:
            try:
                return one(value)
            except Wrong as wrong:
                allowed.append(wrong.allowed)
        raise Wrong(value, " or ".join(allowed))

    return check


def _inside(of: Checker, value: object, at: str) -> object:
    try:
        return of(value)
    except Wrong as wrong:
        raise Wrong(wrong.value, wrong.allowed, at + wrong.at) from None


def _nested(kind: type) -> Checker:
    def check(value: object) -> object:
        if not isinstance(value, dict):
            raise Wrong(value, worded("a table in braces"))
        values, wrongs = _fields(kind, value)
        if wrongs:
            raise wrongs[0]
        return kind(**values)

    return check


@cache
def checker(kind: Any) -> Checker:
    """What turns a value of the file into a *kind*, or raises `Wrong`."""
    if kind in _PLAIN:
        return _PLAIN[kind]
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Literal:
        return _one_of(inner)
    if origin in (Union, UnionType):
        ways = [checker(one) for one in inner if one is not NoneType]
        return ways[0] if len(ways) == 1 else _any_of(ways)
    if origin is tuple and len(inner) == 2 and inner[1] is Ellipsis:
        return _list(checker(inner[0]))
    if origin is tuple:
        return _fixed_list([checker(one) for one in inner])
    if origin is Mapping:
        return _table(inner[0], checker(inner[1]))
    if isinstance(kind, type) and issubclass(kind, Enum):
        return _enumeration(kind)
    if isinstance(kind, type) and dataclasses.is_dataclass(kind):
        return _nested(kind)
    raise TypeError(f"no way to read {kind}")


# ---------------------------------------------------------------------------------------------- one row


@dataclasses.dataclass(frozen=True, slots=True)
class _Field:
    attribute: str
    check: Checker
    needed: bool


@cache
def _plan(kind: type) -> dict[str, _Field]:
    """The fields of a row class by their key in the file."""
    plan = {}
    for field in dataclasses.fields(kind):
        if field.name not in NOT_IN_FILES:
            needed = field.default is dataclasses.MISSING
            plan[toml_key(field.name)] = _Field(field.name, checker(cast(Any, field.type)), needed)
    return plan


def _said(value: object) -> object:
    if isinstance(value, str):
        return worded(value)
    return type(value)(_said(one) for one in value) if isinstance(value, tuple | list) else value


def said_rows(value: Rows) -> Rows:
    """Return rows as they stand in a file with what they say to a person said, at any depth."""
    if isinstance(value, dict):
        said = {name: _said(one) if name in SAID else said_rows(one) for name, one in value.items()}
        return cast(Rows, said)
    return cast(Rows, [said_rows(one) for one in value]) if isinstance(value, list) else value


def _fields(kind: type, raw: Raw) -> tuple[dict[str, Any], list[Wrong]]:
    plan = _plan(kind)
    values: dict[str, Any] = {}
    wrongs: list[Wrong] = []
    said_too = getattr(kind, "said_too", ())
    for name, value in raw.items():
        if name not in plan:
            near = get_close_matches(name, plan, n=1)
            hint = (
                worded('was "{near}" meant?', near=near[0])
                if near
                else worded("the fields are {plan}", plan=", ".join(plan))
            )
            wrongs.append(Wrong(UNKNOWN_FIELD, hint, f".{name}"))
            continue
        try:
            read = plan[name].check(value)
            values[plan[name].attribute] = _said(read) if name in SAID or name in said_too else read
        except Wrong as wrong:
            wrongs.append(Wrong(wrong.value, wrong.allowed, f".{name}{wrong.at}"))
    for name, field in plan.items():
        if field.needed and name not in raw:
            wrongs.append(Wrong(MISSING, _missing_allowed(field.check), f".{name}"))
    return values, wrongs


def _missing_allowed(check: Checker) -> str:
    try:
        check(MISSING)
    except Wrong as wrong:
        return wrong.allowed
    return worded("any value")


def key_of(kind: type[Row], raw: Raw) -> tuple[object, ...]:
    """What tells this row apart from the others of its table."""
    return tuple(raw.get(field) for field in kind.key)


def name_of(kind: type[Row], raw: Raw, table: str, number: int) -> str:
    """The row's name in a message, also where its key is missing or wrong."""
    parts = key_of(kind, raw)
    if not parts:
        return table
    if any(not isinstance(part, str | int | float) or part == "" for part in parts):
        return f"{table} {number}"
    return " / ".join(str(part) for part in parts)


def row_of(
    kind: type[RowKind], raw: Raw, file: str, name: str, instead_of: tuple[str, ...] | None = None
) -> tuple[RowKind | None, list[Fault]]:
    """The typed row, or None with all that is wrong in it. *instead_of* is given for a row of the workshop's own."""
    values, wrongs = _fields(kind, raw)
    if wrongs:
        return None, [_fault(wrong, kind, raw, file, name) for wrong in wrongs]
    if instead_of is not None:
        values |= {"from_shop": True, "instead_of": instead_of}
    return kind(**values), []


def _fault(wrong: Wrong, kind: type[Row], raw: Raw, file: str, name: str) -> Fault:
    field = wrong.at.removeprefix(".")
    if wrong.value is UNKNOWN_FIELD:
        return Fault(file, name, field, worded("is not known here"), wrong.allowed)
    allowed = wrong.allowed
    unit = raw.get("unit")
    if field in kind.in_unit and isinstance(unit, str) and unit:
        allowed = allowed.replace(worded("a number"), worded("a number in {unit}", unit=unit))
    return Fault(
        file,
        name,
        field,
        worded("is missing") if wrong.value is MISSING else worded("is {shown}", shown=shown(wrong.value)),
        allowed,
    )


def as_read(row: Row) -> dict[str, object]:
    """The row as a plain mapping by the keys of the file, without what the file does not say."""
    return {
        toml_key(name): value
        for name, value in vars(row).items()
        if name not in NOT_IN_FILES and value is not None and value != ""
    }


# ---------------------------------------------------------------------------------------------- one file


def raw_tables(text: bytes, file: str) -> tuple[Raw, list[Fault]]:
    """The content of a TOML file, or the line that cannot be read."""
    try:
        return tomllib.loads(text.decode("utf-8")), []
    except UnicodeDecodeError as error:
        line = text.count(b"\n", 0, error.start) + 1
        return {}, [
            Fault(
                worded("{file}, line {line}", file=file, line=line),
                "",
                "",
                worded("cannot be read"),
                worded("plain UTF-8 text"),
            )
        ]
    except tomllib.TOMLDecodeError as error:
        at_line = re.search(r"\(at line (\d+), column \d+\)", str(error))
        line = int(at_line.group(1)) if at_line else text.count(b"\n") + 1
        what = re.sub(r" \(at .*\)$", "", str(error))
        return {}, [
            Fault(
                worded("{file}, line {line}", file=file, line=line),
                "",
                "",
                worded("cannot be read ({what})", what=what),
                worded("TOML, and the whole file"),
            )
        ]
    except RecursionError:
        return {}, [
            Fault(
                file,
                "",
                "",
                worded("cannot be read (lists inside lists, too deep)"),
                worded("TOML as the other tables use it"),
            )
        ]
