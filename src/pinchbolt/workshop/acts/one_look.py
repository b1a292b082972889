"""While a page is looked at, nothing changes: what was looked up once for it is not looked up again.

A look is open from the moment a page is asked for until it is answered, or for as long as a sheet is pressed, or one question is
answered that nobody opened a look for. In an act it is open too, and begins anew with each write: an act reads what it has written.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import update_wrapper
from typing import Generic, ParamSpec, TypeVar

from django.db import connection

Asked = ParamSpec("Asked")
Found = TypeVar("Found")
_KEPT: ContextVar[dict[object, object] | None] = ContextVar("kept", default=None)
_ACTING: ContextVar[bool] = ContextVar("acting", default=False)
# Questions, a mark in a transaction, and its end: they change no row. Going back to a mark does.
_CHANGES_NOTHING = ("SELECT", "SAVEPOINT", "RELEASE SAVEPOINT")


@contextmanager
def one_look() -> Iterator[None]:
    """Keep what is looked up until the look is over; where one is open already it goes on."""
    if _KEPT.get() is not None:
        yield
        return
    before = _KEPT.set({})
    try:
        yield
    finally:
        _KEPT.reset(before)


@contextmanager
def kept_until_written() -> Iterator[None]:
    """Keep what an act looks up until it writes; acts inside of it, played one after the other, go on with what is kept.

    Whatever may change a row lets go of all, also of what was looked up around the act. Which answers a write leaves as they are
    is not told apart: it would have to be read off the words of statements.
    """
    if _ACTING.get():
        yield
        return
    around, kept = _KEPT.get(), dict[object, object]()

    def watch(
        execute: Callable[..., object], sql: str, params: object, many: bool, context: object
    ) -> object:
        if not sql.startswith(_CHANGES_NOTHING):
            kept.clear()
            if around is not None:
                around.clear()
        return execute(sql, params, many, context)

    before, acting = _KEPT.set(kept), _ACTING.set(True)
    try:
        with connection.execute_wrapper(watch):
            yield
    finally:
        _ACTING.reset(acting)
        _KEPT.reset(before)


class once_a_look(Generic[Asked, Found]):
    """A question to the records that is asked once a look with the same arguments, all by position and hashable."""

    def __init__(self, question: Callable[Asked, Found]) -> None:
        self.question = question
        update_wrapper(self, question)

    def __call__(self, *args: Asked.args, **named: Asked.kwargs) -> Found:
        """Return the answer, kept or new."""
        kept = _KEPT.get()
        if kept is None:
            with one_look():
                return self.question(*args, **named)
        if named:
            return self.question(*args, **named)
        key = (self.question, args)
        if key not in kept:
            kept[key] = self.question(*args, **named)
        found: Found = kept[key]  # type: ignore[assignment]
        return found

    def many(self, answers: Mapping[tuple[object, ...], Found]) -> None:
        """Keep answers that were found together, each by its arguments; where no look is open they are let go."""
        kept = _KEPT.get()
        if kept is not None:
            kept.update({(self.question, args): answer for args, answer in answers.items()})
