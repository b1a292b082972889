"""What a wheel's reading says to the walk-round: run-out and tension become readings of its limits, and those findings."""

from collections.abc import Callable, Mapping

from pinchbolt.engines.build import Build, limits_on
from pinchbolt.records.models import Job, Part
from pinchbolt.workshop.acts.acting import Act
from pinchbolt.workshop.bikes.build_sheet import build_of, kind_row
from pinchbolt.workshop.common.usual import usual_range
from pinchbolt.workshop.stays.take_reading import ReadingRequest, write_reading
from pinchbolt.workshop.wheels._wheel_state import WheelStateView

# By what a row's name begins with: what of the wheel's state it reads; None where that was not read.
_READS: Mapping[str, Callable[[WheelStateView], float | None]] = {
    "runout-lateral": lambda state: state.side_mm,
    "runout-radial": lambda state: state.up_mm,
    "dish": lambda state: None if state.dish_mm is None else abs(state.dish_mm),
    "spoke-tension-spread": lambda state: state.spread_percent,
    "spoke-tension-high-side": lambda state: max(state.mean_left_n or 0.0, state.mean_right_n or 0.0) or None,
    "spoke-tension-low-side": lambda state: state.least_n,
}


def write_limits_read(this: Act, job: Job, part: Part, state: WheelStateView) -> None:
    """Write the readings that this wheel's state is, where the bike has such limits; nothing for a wheel that is off the bike.

    A figure that no such limit can show is left out: the wheel's own sheet keeps it.
    """
    build = build_of(job.bike)
    for number, (on, limit, value) in enumerate(_due(build, part, state)):
        asked = ReadingRequest(job.pk, on, limit, value=value)
        write_reading(asked, this, job, f"limit-{number}", build)


def _due(build: Build, part: Part, state: WheelStateView) -> list[tuple[int, str, float]]:
    mine = build.part(part.pk)
    if mine is None:
        return []
    belong = kind_row(part.kind).stands_for
    there = [mine, *(one for one in build.parts if one.kind.id in belong and one.side == mine.side)]
    found = []
    for on in there:
        for one in limits_on(build, on):
            reads = next((get for name, get in _READS.items() if one.row.id.startswith(name)), None)
            value = reads(state) if reads is not None else None
            if value is None:
                continue
            least, greatest = usual_range(one.row)
            if least <= value <= greatest:
                found.append((on.id, one.row.id, round(value, 2)))
    return found
