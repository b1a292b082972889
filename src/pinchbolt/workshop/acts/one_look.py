"""While a page is looked at, nothing changes: what was looked up once for it is not looked up again.

A look is open from the moment a page is asked for until it is answered, or for as long as a sheet is pressed, or one question is
answered that nobody opened a look for. In an act it is open too; a row that the act adds lets go of the answers that hang on such
rows, and whatever else it changes lets go of all: an act reads what it has written.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import update_wrapper
from typing import Generic, ParamSpec, TypeVar

from django.db import connection

from pinchbolt.workshop.acts._asked_of import ALL, Rows, added, asked_for

Asked = ParamSpec("Asked")
Found = TypeVar("Found")


class _Look:
    """What is kept, each answer with the rows that it hangs on; `asking`: the rows of the questions that are being answered."""

    def __init__(self, *, watched: bool = False) -> None:
        self.kept: dict[object, tuple[object, frozenset[Rows]]] = {}
        self.asking: list[set[Rows]] = []
        self.watched = watched

    def asks(self, rows: frozenset[Rows]) -> None:
        """The innermost of the questions that are being answered hangs on these rows."""
        if self.asking:
            self.asking[-1] |= rows

    def let_go(self, rows: frozenset[Rows]) -> None:
        """Keep what a new row of these does not change."""
        if ALL in rows:
            self.kept.clear()
        else:
            self.kept = {
                key: one for key, one in self.kept.items() if not one[1] & rows and ALL not in one[1]
            }


_LOOK: ContextVar[_Look | None] = ContextVar("look", default=None)


@contextmanager
def one_look() -> Iterator[None]:
    """Keep what is looked up until the look is over; where one is open already it goes on."""
    if _LOOK.get() is not None:
        yield
        return
    before = _LOOK.set(_Look())
    try:
        yield
    finally:
        _LOOK.reset(before)


@contextmanager
def kept_until_written() -> Iterator[None]:
    """Keep what an act looks up until it writes what would answer otherwise; acts played one after the other keep on."""
    outer = _LOOK.get()
    if outer is not None and outer.watched:
        yield
        return
    look = _Look(watched=True)

    def watch(
        execute: Callable[..., object], sql: str, params: object, many: bool, context: object
    ) -> object:
        inner = _LOOK.get() or look
        rows = added(sql, params, many)
        if rows:
            for one in {inner, look}:
                one.let_go(rows)
        else:
            inner.asks(asked_for(sql, params))
        return execute(sql, params, many, context)

    before = _LOOK.set(look)
    try:
        with connection.execute_wrapper(watch):
            yield
    finally:
        _LOOK.reset(before)


class once_a_look(Generic[Asked, Found]):
    """A question to the records that is asked once a look with the same arguments, all by position and hashable."""

    def __init__(self, question: Callable[Asked, Found]) -> None:
        self.question = question
        update_wrapper(self, question)

    def __call__(self, *args: Asked.args, **named: Asked.kwargs) -> Found:
        """Return the answer, kept or new."""
        look = _LOOK.get()
        if look is None:
            with one_look():
                return self.question(*args, **named)
        if named:
            return self.question(*args, **named)
        key = (self.question, args)
        if key not in look.kept:
            look.asking.append(set())
            try:
                answer = self.question(*args, **named)
            finally:
                rows = frozenset(look.asking.pop())
                # Also where there is none: whoever asked may go on without it.
                look.asks(rows)
            look.kept[key] = answer, rows
        found, hangs_on = look.kept[key]
        look.asks(hangs_on)
        return found  # type: ignore[return-value]

    def many(self, answers: Mapping[tuple[object, ...], Found]) -> None:
        """Keep answers that were found together, each by its arguments; where no look is open they are let go.

        Which rows each hangs on is not known here: in an act they are kept until whatever is written next.
        """
        look = _LOOK.get()
        if look is not None:
            look.kept.update(
                {(self.question, args): (one, frozenset({ALL})) for args, one in answers.items()}
            )
