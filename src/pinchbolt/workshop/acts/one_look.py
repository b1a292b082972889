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
    """Keep what an act looks up until it writes: every statement that is no question lets all of it go."""
    kept: dict[object, object] = {}

    def watched(
        execute: Callable[..., object], sql: str, params: object, many: bool, context: object
    ) -> object:
        if sql.lstrip()[:6].upper() != "SELECT":
            (_KEPT.get() or kept).clear()
            kept.clear()
        return execute(sql, params, many, context)

    before = _KEPT.set(kept)
    try:
        with connection.execute_wrapper(watched):
            yield
    finally:
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
