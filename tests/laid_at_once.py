"""The database of the tests is laid at once, as a new home is: to walk all steps takes each process seven seconds.

That both come to the same is asked in `tests/records/test_laid_at_once.py`.
"""

from typing import Any
from unittest.mock import patch

from django.core import management
from django.db.backends.base.creation import BaseDatabaseCreation

_make = BaseDatabaseCreation.create_test_db
_call = management.call_command


def _laid_first(command: str, *words: Any, **named: Any) -> Any:
    if command == "migrate":
        from pinchbolt.records.laid import lay_new

        lay_new()
    return _call(command, *words, **named)


def _made(creation: BaseDatabaseCreation, *words: Any, **named: Any) -> str:
    with patch.object(management, "call_command", _laid_first):
        return _make(creation, *words, **named)


def lay_the_database_at_once() -> None:
    """Let the database of this process be laid; PostgreSQL's walks its steps as ever."""
    BaseDatabaseCreation.create_test_db = _made
