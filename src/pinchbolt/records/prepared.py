"""Questions whose statement is written once: the ORM composes it for the first asking, later ones fill in their values.

Composing a statement costs the processor several times what the database needs to answer it, and an act or a page asks the same
questions of other rows. Nothing of an answer is kept here: each asking goes to the database.
"""

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import update_wrapper
from typing import Generic, NamedTuple, TypeVar, cast

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model, QuerySet
from django.db.models.query import (
    FlatValuesListIterable,
    ModelIterable,
    ValuesListIterable,
    get_related_populators,
)
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
    """The statement, which of its values is which of those given, and what makes rows of what the database answers."""

    sql: str
    values: tuple[object, ...]
    given: tuple[int | None, ...]
    connection: BaseDatabaseWrapper
    rows: Callable[[Iterable[tuple[object, ...]]], list[object]]


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
        asked = _Asked.of(given)
        if asked.is_long:
            return list(self.question(*asked.given, **way))
        statement = self._statement(asked, way)
        if statement is None:
            return []
        with statement.connection.cursor() as cursor:
            cursor.execute(statement.sql, _filled(statement, asked.flat))  # type: ignore[arg-type]
            found = cursor.fetchall()
        return cast(list[Row], statement.rows(found))

    def first(self, *given: Given, **way: str) -> Row | None:
        """Ask, and return the first row, or None; the question itself says how many are looked up."""
        return next(iter(self(*given, **way)), None)

    def said(self, *given: Given, **way: str) -> tuple[str, tuple[object, ...]] | None:
        """Return the statement and its values as they go to the database; None where no row can be meant."""
        asked = _Asked.of(given)
        statement = self._statement(asked, way)
        return None if statement is None else (statement.sql, _filled(statement, asked.flat))

    def _statement(self, asked: "_Asked", way: dict[str, str]) -> _Statement | None:
        kept: dict[object, _Statement | None] = self._kept.__dict__.setdefault("statements", {})
        shape = (*asked.shape, *way.items())
        if shape in kept:
            statement = kept[shape]
            if statement is None or statement.connection is _here():
                return statement
        if len(kept) >= _MOST_STATEMENTS:
            kept.clear()
        kept[shape] = statement = _composed(self.question, asked.given, way)
        return statement


class _Asked(NamedTuple):
    """The values as the ORM takes them, what of them decides the statement, and each of them as it goes to the database.

    A value that stands twice in a list is asked for once. Long is a list of many, and a number past every column: of that the ORM,
    which knows the column, says that no row has it.
    """

    given: tuple[Given, ...]
    shape: tuple[object, ...]
    flat: list[object]
    is_long: bool

    @classmethod
    def of(cls, given: tuple[Given, ...]) -> "_Asked":
        once: list[Given] = []
        shape: list[object] = []
        flat: list[object] = []
        is_long = False
        for one in given:
            if isinstance(one, tuple):
                several = cast(tuple[int | str, ...], tuple(dict.fromkeys(one)) if len(one) > 1 else one)
                once.append(cast(Given, several))
                shape.append(len(several))
                flat.extend(several)
                is_long = is_long or len(several) > _LONGEST_LIST
            else:
                once.append(one)
                shape.append(None if one is None else type(one).__name__)
                if one is not None:
                    flat.append(_sent(one))
        is_long = is_long or any(isinstance(one, int) and abs(one) > _LARGEST for one in flat)
        return cls(tuple(once), tuple(shape), flat, is_long)


def _here() -> BaseDatabaseWrapper:
    """The connection of this thread, behind the name that stands for it."""
    found: BaseDatabaseWrapper = connection._connections[connection._alias]  # type: ignore[attr-defined]
    return found


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
    return _Statement(sql, tuple(values), found, compiler.connection, _reader(rows, compiler))


def _reader(
    rows: QuerySet[Model, object], compiler: SQLCompiler
) -> Callable[[Iterable[tuple[object, ...]]], list[object]]:
    """What the ORM does with each row of this question, with all that it looks up for that looked up once."""
    made = _maker(rows, compiler)
    columns = [one[0] for one in compiler.select[: compiler.col_count]]
    converters = [
        (place, convert, column)
        for place, (several, column) in compiler.get_converters(columns).items()
        for convert in several
    ]
    here = compiler.connection
    if not converters:
        return lambda found: [made(row) for row in found]

    def read(found: Iterable[tuple[object, ...]]) -> list[object]:
        answer = []
        for raw in found:
            row = list(raw)
            for place, convert, column in converters:
                row[place] = convert(row[place], column, here)
            answer.append(made(row))
        return answer

    return read


def _maker(rows: QuerySet[Model, object], compiler: SQLCompiler) -> Callable[[Sequence[object]], object]:
    """Makes what this question answers of one row's values."""
    of = rows._iterable_class
    count = compiler.col_count
    if of is ModelIterable and not rows._known_related_objects:  # type: ignore[attr-defined]
        return _row_maker(compiler)
    if of is FlatValuesListIterable:
        return lambda row: row[0]
    if of is ValuesListIterable:
        return lambda row: tuple(row[:count])
    raise NotToBePrepared(f"{of.__name__}: rows, or lists of their values")


def _row_maker(compiler: SQLCompiler) -> Callable[[Sequence[object]], Model]:
    """As `ModelIterable` does: the row, then those beside it, then what was worked out with it."""
    info, select, using = compiler.klass_info, compiler.select, compiler.connection.alias
    first, last = info["select_fields"][0], info["select_fields"][-1] + 1
    names = [one[0].target.attname for one in select[first:last]]
    # The stubs are of a later framework, which says one more.
    beside = get_related_populators(info, select, using)  # type: ignore[call-arg]
    worked_out = tuple(compiler.annotation_col_map.items())
    table = info["model"]

    def made(row: Sequence[object]) -> Model:
        found: Model = table.from_db(using, names, row[first:last])
        for other in beside:
            other.populate(row, found)
        for name, place in worked_out:
            setattr(found, name, row[place])
        return found

    return made


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


def _filled(statement: _Statement, flat: Sequence[object]) -> tuple[object, ...]:
    return tuple(
        [
            value if place is None else flat[place]
            for value, place in zip(statement.values, statement.given, strict=True)
        ]
    )
