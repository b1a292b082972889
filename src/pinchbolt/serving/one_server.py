"""One server a home folder: whoever serves holds a lock, so that nothing is put in its place meanwhile."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from pinchbolt.errors import NotPossibleNow
from pinchbolt.serving.home import home_folder
from pinchbolt.values.wording import worded


@contextmanager
def alone(what: str) -> Iterator[None]:
    """Hold the lock of this home folder while *what* is done; the machine lets go of it when the process ends, however it ends.

    Raises:
        NotPossibleNow: Somebody else holds it.
    """
    path = home_folder() / "serving.lock"
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("a+b") as held:
        if not _taken(held.fileno(), path):
            raise NotPossibleNow(
                worded(
                    "The workshop in {parent} is being served: stop pinchbolt there (Ctrl+C), then {what}.",
                    parent=path.parent,
                    what=what,
                )
            )
        yield


def _taken(handle: int, path: Path) -> bool:
    """Whether the lock is ours now."""
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
