"""A server keeps its connection to the records for a minute; a file that was moved meanwhile takes no act more."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.sqlite3.base import DatabaseWrapper
from pytest_django import DjangoDbBlocker

from pinchbolt.records.same_file import let_go_if_it_went


def words_in(connection: BaseDatabaseWrapper) -> list[str]:
    """What stands in the book that a connection reads."""
    with connection.cursor() as cursor:
        return [word for (word,) in cursor.execute("SELECT word FROM kept").fetchall()]


def written(file: Path, word: str) -> None:
    """A book that holds one word."""
    with closing(sqlite3.connect(file)) as there:
        there.execute("CREATE TABLE kept (word TEXT)")
        there.execute("INSERT INTO kept VALUES (?)", [word])
        there.commit()


@pytest.fixture
def book(tmp_path: Path, django_db_blocker: DjangoDbBlocker) -> Iterator[BaseDatabaseWrapper]:
    """A connection of its own to a book in a folder."""
    written(tmp_path / "bench.sqlite3", "old")
    told = {**connections["default"].settings_dict, "NAME": str(tmp_path / "bench.sqlite3"), "OPTIONS": {}}
    one = DatabaseWrapper(told, "another")
    with django_db_blocker.unblock():
        yield one
        one.close()


def test_a_book_put_in_the_place_of_another_is_the_one_that_is_read(
    book: BaseDatabaseWrapper, tmp_path: Path
) -> None:
    """Kept while it is the same file; let go once it was moved away, and another lies there."""
    file = tmp_path / "bench.sqlite3"
    assert words_in(book) == ["old"]
    kept = book.connection
    let_go_if_it_went(book)
    assert book.connection is kept
    file.rename(tmp_path / "aside.sqlite3")
    written(file, "new")
    let_go_if_it_went(book)
    assert words_in(book) == ["new"]
