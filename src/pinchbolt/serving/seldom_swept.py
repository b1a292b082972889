"""The interpreter's search for what nobody holds any more, made short: what lasts as long as the server is left out of it.

Tables, forms of pages and of questions are some 300,000 things that stay. Left to itself the interpreter looks at all of them
every few dozen answers, and whoever asked just then waits a quarter of a second.
"""

import gc
from datetime import datetime, timedelta

_YOUNG = 10_000
"""So many new things before the young are searched: about what a large page makes."""
_WHEN = (timedelta(0), timedelta(minutes=5), timedelta(minutes=30))
"""When what is there by then is left out: as the server starts, and after pages were looked at for the first time."""


def search_seldom() -> None:
    """Search the young when a page's worth of them has come."""
    gc.set_threshold(_YOUNG, 10, 10)


def leave_out_what_lasts() -> None:
    """Let go of what nobody holds, and leave what is there now out of every search from now on."""
    gc.collect()
    gc.freeze()


class Sweeper:
    """A chore of each minute that does it three times in all: what is left out wrongly is held for good."""

    def __init__(self) -> None:
        self._began: datetime | None = None
        self._done = 0

    def minute(self, now: datetime) -> None:
        """Do it where its time has come."""
        if self._began is None:
            search_seldom()
            self._began = now
        if self._done < len(_WHEN) and now >= self._began + _WHEN[self._done]:
            self._done += 1
            leave_out_what_lasts()
