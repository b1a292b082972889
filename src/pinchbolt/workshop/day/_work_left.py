"""What is left to do in a job, from its events: agreed lines that are not done, their minutes, what must cure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from pinchbolt.records.models import Event, Line
from pinchbolt.workshop.common.trade_tables import tables

# Second look, ten stops and the list: minutes that nothing shortens. From memory.
AFTER = 8.0


@dataclass(frozen=True, slots=True)
class WorkOfLine:
    """A line's minutes (low, usual, high), its operation ("" for words alone), the nights it needs after, and when it was put on."""

    id: int
    minutes: tuple[float, float, float]
    operation: str
    nights: int
    at: datetime


@dataclass(frozen=True, slots=True)
class WorkLeft:
    """All lines of a job that may be done, those done, whether the owner has still to answer, and when they were first asked."""

    lines: tuple[WorkOfLine, ...]
    done: frozenset[int]
    waits_for_owner: bool
    first_asked: datetime | None

    @property
    def open(self) -> tuple[WorkOfLine, ...]:
        """Those not done."""
        return tuple(one for one in self.lines if one.id not in self.done)

    @property
    def minutes(self) -> tuple[float, float, float]:
        """Low, usual and high of all of it: what was done so far lies in the time used."""
        return summed(self.lines)

    @property
    def kind(self) -> str:
        """The operation that takes longest."""
        return main_kind(self.lines)

    @property
    def nights(self) -> int:
        """The nights of what is not done, one after another where none is shared: they pass at the same time."""
        return max((one.nights for one in self.open), default=0)

    @property
    def needs(self) -> frozenset[str]:
        """Operations of what is not done."""
        return frozenset(one.operation for one in self.open if one.operation)


def summed(lines: Sequence[WorkOfLine]) -> tuple[float, float, float]:
    """Return low, usual and high of lines together."""
    low, usual, high = (sum(one.minutes[n] for one in lines) for n in range(3))
    return low, usual, high


def main_kind(lines: Sequence[WorkOfLine]) -> str:
    """Return the operation of the longest line; "" where there is none."""
    return max(lines, key=lambda one: one.minutes[1]).operation if lines else ""


def work_left(events: Sequence[Event], lines: Sequence[Line]) -> WorkLeft:
    """Return the work of a job by its events that stand, in order, and its lines that stand."""
    told = told_minutes(events)
    agreed: dict[int, bool] = {}
    done: set[int] = set()
    for event in events:
        if event.kind == "answered":
            agreed |= {int(line): bool(yes) for line, yes in event.said.get("answers", {}).items()}
        elif event.kind == "line given back":
            agreed[int(event.said["line"])] = False
        elif event.kind == "line done":
            done.add(int(event.said["line"]))
    found = tuple(of_line(line, told) for line in lines if agreed.get(line.pk, True))
    unanswered = any(line.pk not in agreed for line in lines)
    asked = next((event.at for event in events if event.kind == "priced"), None)
    return WorkLeft(found, frozenset(done), unanswered and not any(agreed.values()), asked)


def told_minutes(events: Sequence[Event]) -> Mapping[int, tuple[float, float, float]]:
    """Return the minutes of each line as the owner was told its price: what lines share is in them once."""
    found: dict[int, tuple[float, float, float]] = {}
    for event in events:
        if event.kind == "priced":
            for line in event.said.get("estimate", {}).get("lines", ()):
                minutes = line.get("minutes") or {}
                if minutes:
                    found[int(line["id"])] = (
                        float(minutes["low"]),
                        float(minutes["usual"]),
                        float(minutes["high"]),
                    )
    return found


def of_line(line: Line, told: Mapping[int, tuple[float, float, float]]) -> WorkOfLine:
    """Return one line's work: by hand, as told, else as the menu has it."""
    row = tables().operations.get(line.operation)
    times = line.count or 1
    menu = tuple(float(one * times) for one in row.minutes) if row is not None else (10.0, 20.0, 40.0)
    own = None if line.own_minutes is None else (float(line.own_minutes),) * 3
    low, usual, high = own or told.get(line.pk) or menu
    nights = row.nights if row is not None else 0
    return WorkOfLine(line.pk, (low, usual, high), line.operation, nights, line.event.at)
