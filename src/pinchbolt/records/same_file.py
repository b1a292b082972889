"""A connection that is kept between requests is to the file that lies there now, or it is let go.

Without this a server would write for up to a minute into a file that was moved away, and tell each act as kept.
"""

import os

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

# The files that connections were opened to: device and number of each.
_OPENED = "file_opened"


def remember_its_file(connection: BaseDatabaseWrapper, **_: object) -> None:
    """Write down which file a connection was opened to."""
    if connection.vendor == "sqlite":
        setattr(connection, _OPENED, _file_of(connection))


def let_go_of_files_that_went(**_: object) -> None:
    """Close each connection whose file is another one now, or gone: the next question opens what is there."""
    for connection in connections.all(initialized_only=True):
        let_go_if_it_went(connection)


def let_go_if_it_went(connection: BaseDatabaseWrapper) -> None:
    """Close a connection whose file is another one now; not in the middle of an act."""
    if connection.vendor != "sqlite" or connection.connection is None or connection.in_atomic_block:
        return
    if getattr(connection, _OPENED, None) != _file_of(connection):
        connection.close()


def _file_of(connection: BaseDatabaseWrapper) -> tuple[int, int] | None:
    try:
        seen = os.stat(connection.settings_dict["NAME"])
    except OSError:
        return None
    return seen.st_dev, seen.st_ino
