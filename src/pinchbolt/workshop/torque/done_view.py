"""What was done at a joint, as every door shows it."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.records.models import DoneValue
from pinchbolt.values.wording import worded


@dataclass(frozen=True, slots=True)
class DoneView:
    """A done value on the sheet; `done` is None where it was done by hand. [N·m]

    `set` is what the sheet asked for that day, where it is known. `doubt` says so where its tool failed its next check.
    """

    id: int
    done: float | None
    inside: bool
    words: str
    tool: str
    by: str
    at: datetime
    doubt: str = ""
    set: float | None = None

    @property
    def holds(self) -> bool:
        """Whether the joint needs nothing more."""
        return self.inside and not self.doubt


def done_view(row: DoneValue, doubt: str = "") -> DoneView:
    """Return a done value as every door shows it."""
    return DoneView(
        row.pk,
        row.done_n_m,
        row.inside,
        row.words,
        row.tool.name if row.tool else worded("by hand"),
        row.event.by.name,
        row.event.at,
        doubt,
        row.set_n_m,
    )
