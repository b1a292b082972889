"""While a page is looked at, nothing changes: what was looked up once for it is not looked up again.

A look is open from the moment a page is asked for until it is answered, or for as long as a sheet is pressed, or one question is
answered that nobody opened a look for. In an act it is open too, and a write lets go of what it may change: an act reads what it has
written. A question says which tables its answer rests on (`@once_a_look.of(Fitting, Part)`); one that does not say is let go of
with every write.
"""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import update_wrapper
from typing import Generic, ParamSpec, TypeVar

from django.db import connection
from django.db.models import Model

from pinchbolt.records.models import Event

Asked = ParamSpec("Asked")
Found = TypeVar("Found")
_Given = ParamSpec("_Given")
_Answer = TypeVar("_Answer")
Key = tuple[Callable[..., object], tuple[object, ...]]
_KEPT: ContextVar[dict[Key, object] | None] = ContextVar("kept", default=None)
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

    A write lets go of each answer that may rest on its table, also of those that were looked up around the act.
    """
    if _ACTING.get():
        yield
        return
    around, kept = _KEPT.get(), dict[Key, object]()

    def watch(
        execute: Callable[..., object], sql: str, params: object, many: bool, context: object
    ) -> object:
        if not sql.startswith(_CHANGES_NOTHING):
            written = _written(sql, params, many)
            for looked_up in (kept, around):
                if looked_up:
                    _let_go(looked_up, written)
        return execute(sql, params, many, context)

    before, acting = _KEPT.set(kept), _ACTING.set(True)
    try:
        with connection.execute_wrapper(watch):
            yield
    finally:
        _ACTING.reset(acting)
        _KEPT.reset(before)


# An event that puts another one right, or takes it back, changes what stands in every table of acts: it lets go of all.
_WRITES = re.compile(r'(INSERT INTO|UPDATE) "(\w+)" (?:\(([^)]*)\))?')
_ACTS = Event._meta.db_table


def _written(sql: str, params: object, many: bool) -> str:
    """The table that a statement writes into; nothing where that is not plain, which lets go of all."""
    found = _WRITES.match(sql)
    if found is None or many or not isinstance(params, Sequence):
        return ""
    how, table, columns = found.groups()
    if table != _ACTS:
        return table
    names = columns.replace('"', "").split(", ") if columns else []
    if how == "UPDATE" or "corrects_id" not in names or len(params) % len(names):
        return ""
    # An act that puts another one right, or takes it back, changes what stands in every table.
    corrects = params[names.index("corrects_id") :: len(names)]
    return _ACTS if all(one is None for one in corrects) else ""


def _let_go(looked_up: dict[Key, object], written: str) -> None:
    for key in [key for key in looked_up if not written or written in _RESTS_ON.get(key[0], (written,))]:
        del looked_up[key]


_RESTS_ON: dict[Callable[..., object], tuple[str, ...]] = {}


class once_a_look(Generic[Asked, Found]):
    """A question to the records that is asked once a look with the same arguments, all by position and hashable."""

    def __init__(self, question: Callable[Asked, Found]) -> None:
        self.question = question
        update_wrapper(self, question)

    @staticmethod
    def of(*tables: type[Model]) -> "Callable[[Callable[_Given, _Answer]], once_a_look[_Given, _Answer]]":
        """A question whose answer rests on these tables alone: each that a row of it is read from or chosen by, also by what it asks in
        turn. Acts that put others right need no naming. `tests/workshop/acts/test_kept_in_acts.py` holds each answer to the records.
        """

        def named(question: Callable[_Given, _Answer]) -> "once_a_look[_Given, _Answer]":
            _RESTS_ON[question] = tuple(one._meta.db_table for one in tables)
            return once_a_look(question)

        return named

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
