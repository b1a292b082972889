"""How long a bike stood on a stand while it was worked on, from its job's events."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from pinchbolt.records.models import Event
from pinchbolt.workshop.day._shop_clock import OpenTime

KINDS = (
    "work started",
    "put on stand",
    "set aside",
    "moved",
    "battery swollen",
    "line done",
    "signed off",
    "handed over",
    "priced",
)
_OFF = ("set aside", "moved", "battery swollen", "signed off", "handed over")


@dataclass(frozen=True, slots=True)
class StandTime:
    """Minutes of open hours on a stand since the work was started, by whom it was begun last, and when it ended; None: it goes on."""

    minutes: float
    person: str
    since: datetime | None
    ended: datetime | None


def stand_time(
    events: Sequence[Event], now: datetime, open_time: OpenTime, *, all_done: bool
) -> StandTime | None:
    """Return the time of a job's work by its events that stand, in order; None where no work was started.

    Work ends with the last line done, where all are: a bike that waits for its second look or its owner is not worked on.
    """
    started, on_since, minutes, person = False, None, 0.0, ""
    last_done = (
        max((event.at for event in events if event.kind == "line done"), default=None) if all_done else None
    )
    for event in events:
        if event.kind in ("work started", "put on stand"):
            started = started or event.kind == "work started"
            if started and on_since is None:
                on_since = event.at
            person = event.by.name
        elif event.kind in _OFF and on_since is not None:
            minutes += _span(open_time, on_since, event.at, last_done)
            on_since = None
    if not started:
        return None
    if on_since is not None:
        minutes += _span(open_time, on_since, now, last_done)
    ended = last_done if all_done else None
    return StandTime(minutes, person, on_since, ended)


def _span(open_time: OpenTime, since: datetime, until: datetime, last_done: datetime | None) -> float:
    end = until if last_done is None else min(until, last_done)
    return open_time.minutes(since, end) if end > since else 0.0
