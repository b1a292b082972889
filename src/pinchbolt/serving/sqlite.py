"""Chooses an SQLite library without the write-ahead-log fault.

SQLite 3.7.0 to 3.51.2 can, very rarely, damage a database in WAL mode when two connections commit and checkpoint at the same
instant (mended in 3.51.3, 3.50.7 and 3.44.6). Where a wheel with a mended library exists it takes the place of Python's own;
elsewhere an affected library runs without WAL.
"""

import sys

_MENDED_BRANCHES = {(3, 50): 7, (3, 44): 6}


def prefer_mended_library() -> None:
    """Put pysqlite3 in the place of sqlite3. Must run before anything imports sqlite3."""
    try:
        import pysqlite3
        import pysqlite3.dbapi2
    except ImportError:
        return
    sys.modules["sqlite3"] = pysqlite3
    sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2


def is_mended(version: tuple[int, int, int]) -> bool:
    """Return whether this SQLite version is free of the fault."""
    if version >= (3, 51, 3):
        return True
    mended_from = _MENDED_BRANCHES.get(version[:2])
    return mended_from is not None and version[2] >= mended_from


def journal_mode() -> str:
    """Return WAL where it is safe, else DELETE (slower, readers wait for writers, nothing can be damaged)."""
    import sqlite3

    major, minor, patch = (int(n) for n in sqlite3.sqlite_version.split("."))
    return "WAL" if is_mended((major, minor, patch)) else "DELETE"
