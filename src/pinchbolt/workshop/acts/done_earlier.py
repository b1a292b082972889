"""What was done at the bench before it could be told: a tablet without signal sends it later, and says how long ago it was done.

An event's own time is when it was written down. When it was done stands beside it (`done_at`), where that is another minute.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime, timedelta

# What arrives within so long was done now.
_NOW = timedelta(seconds=90)
# An older one is no lost signal but a wrong clock: it is not believed.
_MOST = timedelta(days=60)
_AGO: ContextVar[timedelta | None] = ContextVar("done_ago", default=None)


@contextmanager
def done_ago(age: timedelta) -> Iterator[None]:
    """Inside the block, what is written down was done so long ago by the tablet's own count."""
    token = _AGO.set(age if _NOW < age < _MOST else None)
    try:
        yield
    finally:
        _AGO.reset(token)


def done_at(now: datetime) -> str:
    """Return when what is written down *now* was done, as ISO 8601, or nothing where it was now."""
    age = _AGO.get()
    return "" if age is None else (now - age).isoformat(timespec="minutes")
