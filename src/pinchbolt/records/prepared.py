"""Questions whose statement is written once: the ORM composes it for the first asking, later ones fill in their values.

Composing a statement costs the processor several times what the database needs to answer it, and an act or a page asks the same
questions of other rows. Nothing of an answer is kept here: each asking goes to the database.
"""

import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import update_wrapper
from typing import Generic, TypeVar, cast

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model, QuerySet
from django.db.models.sql.compiler import SQLCompiler

Row = TypeVar("Row")
Given = int | str | date | datetime | None | tuple[int, ...] | tuple[str, ...]
_LARGEST = 2_147_483_647  # in reach of every column of whole numbers
_FIRST_NUMBER = 2_147_000_000  # no number of a row
_FIRST_DAY = date(9000, 1, 1)
_FIRST_MOMENT = datetime(9000, 1, 1, tzinfo=UTC)
# A question over lists has a statement for each length, of some 20 kB at a hundred values: a shop's bikes have some dozens of
# lengths. Of a longer list the rows cost more than the composing, and a statement kept for it would take the memory of many.
_MOST_STATEMENTS, _LONGEST_LIST = 40, 100


class NotToBePrepared(TypeError):
    """A value is not handed to the database as it is: this question must be composed for each asking."""


@dataclass(slots=True)
class _Statement:
    """The statement with the compiler that reads its rows, and which of its values is which of those given."""

    sql: str
    values: tuple[object, ...]
    given: tuple[int | None, ...]
    compiler: SQLCompiler
    converters: object
    rows: Callable[[object], Iterable[object]]


@dataclass(slots=True)
class _Asking:
    """What the ORM's makers of rows ask of a query set: its query, and from that the compiler."""

    compiler: SQLCompiler
    model: object
    db: str
    _known_related_objects: dict[object, object] = field(default_factory=dict)
    _fields: tuple[str, ...] | None = None

    @property
    def query(self) -> "_Asking":
        return self

    def get_compiler(self, using: str) -> SQLCompiler:
        assert using == self.db
        return self.compiler


class prepared(Generic[Row]):
    """A query set as a function of plain values (int, str, date, datetime, None, tuples of int or str), all by position.

    Calling it returns the rows as a list. The function must be made of its values alone and use each of them. What is given by
    name decides how the question is composed.

    Raises:
        NotToBePrepared: A value does not reach the database as it was given.
    """

    def __init__(self, question: Callable[..., QuerySet[Model, Row]]) -> None:
        self.question = question
        self._kept = threading.local()
        update_wrapper(self, question)

    def __call__(self, *given: Given, **way: str) -> list[Row]:
        """Ask, and return the rows."""
        once = _each_once(given)
        if not _worth_keeping(once):
            return list(self.question(*once, **way))
        statement = self._statement(once, way)
        return (
            [] if statement is None else cast(list[Row], list(_rows_of(statement, _filled(statement, once))))
        )

    def first(self, *given: Given, **way: str) -> Row | None:
        """Ask, and return the first row, or None; the question itself says how many are looked up."""
        return next(iter(self(*given, **way)), None)

    def said(self, *given: Given, **way: str) -> tuple[str, tuple[object, ...]] | None:
        """Return the statement and its values as they go to the database; None where no row can be meant."""
        once = _each_once(given)
        statement = self._statement(once, way)
        return None if statement is None else (statement.sql, _filled(statement, once))

    def _statement(self, given: tuple[Given, ...], way: dict[str, str]) -> _Statement | None:
        kept: dict[object, _Statement | None] = self._kept.__dict__.setdefault("statements", {})
        shape = (*map(_shape, given), *way.items())
        if shape in kept:
            statement = kept[shape]
            if statement is None or statement.compiler.connection is _here():
                return statement
        if len(kept) >= _MOST_STATEMENTS:
            kept.clear()
        kept[shape] = statement = _composed(self.question, given, way)
        return statement


def _each_once(given: tuple[Given, ...]) -> tuple[Given, ...]:
    """As the ORM does: a value that stands twice in a list is asked for once."""
    return tuple(cast(Given, tuple(dict.fromkeys(one))) if isinstance(one, tuple) else one for one in given)


def _worth_keeping(given: tuple[Given, ...]) -> bool:
    """Whether no list is long, and no number past every column: of that the ORM, which knows the column, says that no row has it."""
    lists = [one if isinstance(one, tuple) else (one,) for one in given]
    numbers = (each for one in lists for each in one if isinstance(each, int))
    return all(len(one) <= _LONGEST_LIST for one in lists) and all(abs(one) <= _LARGEST for one in numbers)


def _here() -> BaseDatabaseWrapper:
    """The connection of this thread, behind the name that stands for it."""
    found: BaseDatabaseWrapper = connection._connections[connection._alias]  # type: ignore[attr-defined]
    return found


def _shape(given: Given) -> object:
    """What decides the statement: no value, a single one, or how many."""
    return len(given) if isinstance(given, tuple) else None if given is None else type(given).__name__


def _composed(
    question: Callable[..., QuerySet[Model, object]], given: tuple[Given, ...], way: dict[str, str]
) -> _Statement | None:
    stand_ins = _StandIns()
    rows = question(*(stand_ins.of(one) for one in given), **way)
    if rows._prefetch_related_lookups:  # type: ignore[attr-defined]
        raise NotToBePrepared(f"{question.__qualname__}: what is fetched beside the rows would be left out")
    compiler = rows.query.get_compiler(connection=_here())
    try:
        sql, values = compiler.as_sql()
    except EmptyResultSet:
        return None
    places = {_sent(one): number for number, one in enumerate(stand_ins.flat)}
    found = tuple(places.get(one) if _may_be_key(one) else None for one in values)
    if {place for place in found if place is not None} != set(places.values()):
        raise NotToBePrepared(f"{question.__qualname__}: a value does not reach the database as it was given")
    fields = [one[0] for one in compiler.select[: compiler.col_count]]
    return _Statement(
        sql,
        tuple(values),
        found,
        compiler,
        compiler.get_converters(fields),
        cast(Callable[[object], Iterable[object]], rows._iterable_class),
    )


class _StandIns:
    """Values that no question contains by itself, so that each is found again in the statement's values."""

    def __init__(self) -> None:
        self.flat: list[object] = []

    def of(self, given: Given) -> object:
        if given is None:
            return None
        if isinstance(given, tuple):
            return tuple(self._one(one) for one in given)
        return self._one(given)

    def _one(self, given: object) -> object:
        number = len(self.flat)
        match given:
            case bool() | float():
                raise NotToBePrepared(f"{given!r} stands for itself in a statement")
            case int():
                made: object = _FIRST_NUMBER + number
            case str():
                made = f"value {number} of this question"
            case datetime():
                made = _FIRST_MOMENT + timedelta(days=number)
            case date():
                made = _FIRST_DAY + timedelta(days=number)
            case _:
                raise NotToBePrepared(f"{type(given).__name__} is no plain value")
        self.flat.append(made)
        return made


def _may_be_key(value: object) -> bool:
    return isinstance(value, int | str | date)


def _sent(value: object) -> object:
    """A value as Django hands it to this database."""
    if isinstance(value, datetime):
        return connection.ops.adapt_datetimefield_value(value)
    if isinstance(value, date):
        return connection.ops.adapt_datefield_value(value)
    return value


def _filled(statement: _Statement, given: Sequence[Given]) -> tuple[object, ...]:
    flat: list[object] = []
    for one in given:
        if isinstance(one, tuple):
            flat.extend(one)
        elif one is not None:
            flat.append(_sent(one))
    return tuple(
        value if place is None else flat[place]
        for value, place in zip(statement.values, statement.given, strict=True)
    )


def _rows_of(statement: _Statement, values: tuple[object, ...]) -> Iterator[object]:
    compiler = copy(statement.compiler)
    compiler.as_sql = lambda *_, **__: (statement.sql, values)  # type: ignore[method-assign, assignment]
    compiler.get_converters = lambda _: statement.converters  # type: ignore[method-assign, assignment, return-value]
    asked = _Asking(compiler, compiler.query.model, compiler.connection.alias)
    return iter(statement.rows(asked))
