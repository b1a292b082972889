"""Plain JSON values back as the types that they were before `as_json`; what does not fit is named by its place."""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import Enum
from functools import cache
from math import inf
from types import NoneType, UnionType
from typing import Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from pinchbolt.values.wording import worded

T = TypeVar("T")
Reader = Callable[[object], object]

# An infinite end is kept as null: which end it was follows from its name.
_OPEN = {"low": -inf, "high": inf, "median": inf}


class _Unfit(ValueError):
    """Something that does not fit; each level that it passes on its way out puts its name before it."""

    def __init__(self, words: str, place: tuple[str, ...] = ()) -> None:
        super().__init__(f"{'.'.join(place) or 'it'} {words}")
        self.words, self.place = words, place

    def inside(self, name: str) -> "_Unfit":
        return _Unfit(self.words, (name, *self.place))


def from_plain(kind: type[T], told: object) -> T:
    """Return *told* as a *kind*: fields that are not there take their default, those that *kind* does not know are left.

    Args:
        kind: A dataclass of plain values, days, verdicts, tuples and dataclasses like it, or a tuple of such. [-]
        told: What `as_json` made of one, now or in an earlier release. [-]

    Returns:
        The value; an end that is null is infinite again. [-]

    Raises:
        ValueError: Something is missing or is of another kind; the words say what and where.
    """
    return cast(T, _reader(cast(Hashable, kind))(told))


@cache
def _reader(kind: object) -> Reader:
    """How a value of *kind* is read, worked out once."""
    origin, inside = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        other = _reader(next(one for one in inside if one is not NoneType))
        return lambda told: None if told is None else other(told)
    if origin is Literal:
        return _known(lambda told: told in inside)
    if origin is tuple:
        return _entries(inside)
    if not isinstance(kind, type):
        raise TypeError(f"{kind} is no kind of plain value")
    if is_dataclass(kind):
        return _object(kind)
    if issubclass(kind, Enum):
        values = {one.value: one for one in kind}
        return lambda told: values[_fits(isinstance(told, str) and told in values, told)]
    if kind is date:
        return _day
    if kind is Decimal:
        return _amount
    if kind is float:
        # A truth is no figure, though Python counts it as one.
        return _figure
    return _known(lambda told: type(told) is kind)


def _object(kind: type) -> Reader:
    hints = get_type_hints(kind)
    known = [(one.name, hints[one.name], _reader(hints[one.name])) for one in fields(kind)]
    needed = {one.name for one in fields(kind) if one.default is MISSING and one.default_factory is MISSING}

    def read(told: object) -> object:
        if not isinstance(told, Mapping):
            return _fits(False, told)
        given = {}
        for name, hint, reader in known:
            if name in told:
                value = told[name]
                is_open = value is None and hint is float and name in _OPEN
                given[name] = _OPEN[name] if is_open else _inside(name, reader, value)
            elif name in needed:
                raise _Unfit(worded("is missing"), (name,))
        try:
            return kind(**given)
        except ValueError as fault:
            raise _Unfit(worded("can't be: {fault}", fault=fault)) from fault

    return read


def _entries(inside: tuple[object, ...]) -> Reader:
    """Any number of entries of one kind, or one of each kind."""
    any_number = inside[-1] is Ellipsis
    readers = [_reader(one) for one in inside if one is not Ellipsis]

    def read(told: object) -> object:
        if not isinstance(told, list | tuple):
            return _fits(False, told)
        if not any_number and len(told) != len(readers):
            raise _Unfit(worded("has {told} entries, not {readers}", told=len(told), readers=len(readers)))
        each = readers * len(told) if any_number else readers
        try:
            return tuple([reader(one) for reader, one in zip(each, told, strict=True)])
        except _Unfit:
            # Only now does it matter which one it was.
            return tuple(_inside(str(n), each[n], one) for n, one in enumerate(told))

    return read


def _figure(told: object) -> object:
    try:
        return float(cast(float, told)) if type(told) in (float, int) else _fits(False, told)
    except OverflowError:
        # A whole number of hundreds of digits.
        return _fits(False, told)


def _day(told: object) -> object:
    try:
        return date.fromisoformat(cast(str, told))
    except (TypeError, ValueError):
        return _fits(False, told)


def _amount(told: object) -> object:
    """Money is kept as text, so that no float touches it."""
    try:
        amount = Decimal(told) if isinstance(told, str) else None
    except InvalidOperation:
        amount = None
    return amount if amount is not None and amount.is_finite() else _fits(False, told)


def _known(fits: Callable[[object], bool]) -> Reader:
    return lambda told: _fits(fits(told), told)


def _inside(name: str, reader: Reader, told: object) -> object:
    try:
        return reader(told)
    except _Unfit as fault:
        raise fault.inside(name) from None


def _fits(it_does: bool, told: object) -> object:
    if not it_does:
        raise _Unfit(worded("is {told!r}", told=str(told)[:40]))
    return told
