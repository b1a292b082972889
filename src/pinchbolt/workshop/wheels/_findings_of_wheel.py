"""What a wheel's reading says to the walk-round: run-out and tension become readings of its limits, and those findings."""

from collections.abc import Callable, Mapping

from pinchbolt.engines.build import Build, limits_on
from pinchbolt.records.models import Job, Part
from pinchbolt.reference.rows.measure import LimitRow
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
    """Write the readings that this wheel's state is, where the bike has such limits; nothing for a wheel that is off the bike."""
    reads = {name: get(state) for name, get in _READS.items()}
    _write(this, job, part, {name: value for name, value in reads.items() if value is not None})


def write_broken(this: Act, job: Job, part: Part, count: int) -> None:
    """Write that so many spokes are broken, as the walk-round would: the finding goes on the estimate, and the third is unsafe."""
    _write(this, job, part, {"spoke-broken": float(count)})


def _write(this: Act, job: Job, part: Part, reads: Mapping[str, float]) -> None:
    build = build_of(job.bike)
    for number, asked in enumerate(_due(build, job, part, reads)):
        write_reading(asked, this, job, f"limit-{number}", build)


def _due(build: Build, job: Job, part: Part, reads: Mapping[str, float]) -> list[ReadingRequest]:
    mine = build.part(part.pk)
    if mine is None:
        return []
    belong = kind_row(part.kind).stands_for
    there = [mine, *(one for one in build.parts if one.kind.id in belong and one.side == mine.side)]
    found = []
    for on in there:
        for one in limits_on(build, on):
            value = next((read for name, read in reads.items() if one.row.id.startswith(name)), None)
            if value is None:
                continue
            found.append(_asked(job, on.id, one.row, round(value, 2)))
    return found


def _asked(job: Job, on: int, row: LimitRow, value: float) -> ReadingRequest:
    """What lies past all that such a row can show is so much at least, or at most: a wheel that bad is found all the same."""
    least, greatest = usual_range(row)
    if value > greatest:
        return ReadingRequest(job.pk, on, row.id, low=greatest)
    if value < least:
        return ReadingRequest(job.pk, on, row.id, high=least)
    return ReadingRequest(job.pk, on, row.id, value=value)
