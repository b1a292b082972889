"""Plain JSON values back as the types that they were before `as_json`; what does not fit is named by its place."""

from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date
from enum import Enum
from functools import cache
from math import inf
from types import NoneType, UnionType
from typing import Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

T = TypeVar("T")

# An infinite end is kept as null: which end it was follows from its name.
_OPEN = {"low": -inf, "high": inf, "median": inf}


def from_plain(kind: type[T], told: object, where: str = "") -> T:
    """Return *told* as a *kind*: fields that are not there take their default, those that *kind* does not know are left.

    Args:
        kind: A dataclass of plain values, days, verdicts, tuples and dataclasses like it. [-]
        told: What `as_json` made of one, now or in an earlier release. [-]
        where: What *told* is called in a complaint. [-]

    Returns:
        The value; an end that is null is infinite again. [-]

    Raises:
        ValueError: Something is missing or is of another kind; the words say what and where.
    """
    return cast(T, _read(kind, told, where))


def _read(kind: object, told: object, where: str) -> object:
    origin, inside = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        if told is None and NoneType in inside:
            return None
        return _read(next(one for one in inside if one is not NoneType), told, where)
    if origin is Literal:
        return _fits(told in inside, told, where)
    if origin is tuple:
        return _row(inside, told, where)
    if isinstance(kind, type):
        return _one(kind, told, where)
    raise TypeError(f"{where}: {kind} is no kind of plain value")


def _one(kind: type, told: object, where: str) -> object:
    if is_dataclass(kind):
        return _object(kind, told, where)
    if issubclass(kind, Enum):
        return kind(_fits(told in [one.value for one in kind], told, where))
    if kind is date:
        return date.fromisoformat(str(_fits(isinstance(told, str), told, where)))
    if kind is float:
        _fits(isinstance(told, int | float) and not isinstance(told, bool), told, where)
        return float(cast(float, told))
    return _fits(type(told) is kind, told, where)


def _object(kind: type, told: object, where: str) -> object:
    if not isinstance(told, Mapping):
        raise ValueError(f"{where or 'it'} is {str(told)[:40]!r}")
    given = {}
    for field, hint in _fields(kind):
        name = f"{where}.{field.name}".lstrip(".")
        if field.name in told:
            value = told[field.name]
            is_open = value is None and hint is float and field.name in _OPEN
            given[field.name] = _OPEN[field.name] if is_open else _read(hint, value, name)
        elif field.default is MISSING and field.default_factory is MISSING:
            raise ValueError(f"{name} is missing")
    return kind(**given)


def _row(inside: tuple[object, ...], told: object, where: str) -> object:
    if not isinstance(told, list | tuple):
        raise ValueError(f"{where} is {str(told)[:40]!r}")
    kinds = (inside[0],) * len(told) if inside[-1] is Ellipsis else inside
    if len(kinds) != len(told):
        raise ValueError(f"{where} has {len(told)} entries, not {len(kinds)}")
    return tuple(
        _read(kind, one, f"{where}.{n}") for n, (kind, one) in enumerate(zip(kinds, told, strict=True))
    )


def _fits(it_does: bool, told: object, where: str) -> object:
    if not it_does:
        raise ValueError(f"{where} is {str(told)[:40]!r}")
    return told


@cache
def _fields(kind: type) -> tuple[tuple["Field[object]", object], ...]:
    hints = get_type_hints(kind)
    return tuple((field, hints[field.name]) for field in fields(kind))
