"""Which bikes are on stands now, and who began them there."""

from dataclasses import dataclass

from pinchbolt.records.models import Event
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import MOVES, Where, jobs_here, state_of


@dataclass(frozen=True, slots=True)
class OnStand:
    """A bike on a stand: its tag, the stand, the id of who put it there or began the work, and the job."""

    tag: str
    stand: int
    by: int
    job: int


@once_a_look
def on_stands() -> tuple[OnStand, ...]:
    """Return the bikes that are on stands, by stand."""
    events: dict[int, list[Event]] = {}
    moves = Event.objects.filter(job__in=jobs_here(), kind__in=MOVES, corrected_by__isnull=True)
    rows = moves.select_related("bike").order_by("pk")
    for row in rows:
        events.setdefault(row.job_id or 0, []).append(row)
    found = []
    for told in events.values():
        state = state_of(told)
        began = next((one for one in reversed(told) if one.kind in ("work started", "put on stand")), None)
        if state.where is Where.STAND and state.stand and began is not None and began.bike is not None:
            found.append(OnStand(began.bike.tag, state.stand, began.by_id, began.job_id or 0))
    return tuple(sorted(found, key=lambda one: one.stand))


@dataclass(frozen=True, slots=True)
class StandNow:
    """A stand, and the bike on it, if any."""

    number: int
    taken: OnStand | None


def stands_now() -> tuple[StandNow, ...]:
    """Return every stand of the workshop with the bike that is on it now."""
    taken = {one.stand: one for one in on_stands()}
    return tuple(StandNow(number, taken.get(number)) for number in range(1, terms().stands + 1))
