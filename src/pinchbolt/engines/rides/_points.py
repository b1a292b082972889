"""Sums along the points of a ride; the points themselves are dropped afterwards."""

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.rides._climb import HIGHEST_M, LOWEST_M, climbed
from pinchbolt.engines.rides._geodesic import metres_between

Floats = NDArray[np.float64]

MOST_M_PER_S = 45.0
"""Faster than any bike goes on a road (162 km/h): a jump of the track, not riding. Our assumption. [m/s]"""

LEAST_M_PER_S = 0.5
"""Slower is standing: positions tremble by as much. Our assumption. [m/s]"""

MOST_ELAPSED_S = 14 * 86400.0
MOST_DISTANCE_M = 3_000_000.0
_MOST_WATT = 3000.0
_LONGEST_STEP_S = 10.0
_LEAST_ALTITUDES = 10
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_EARLIEST, _LATEST = 631152000.0, 4102444800.0  # 1990 to 2100


def moment(seconds: float) -> datetime:
    """Return the time of seconds since 1970 (UTC)."""
    return _EPOCH + timedelta(seconds=seconds)


def seconds_of(time: datetime) -> float:
    """Return seconds since 1970; a time without a zone is taken as UTC."""
    return ((time if time.tzinfo else time.replace(tzinfo=UTC)) - _EPOCH).total_seconds()


def is_sensible(seconds: float) -> bool:
    """Whether a time can be that of a ride at all."""
    return _EARLIEST <= seconds <= _LATEST


@dataclass(slots=True)
class Points:
    """Columns of a track, NaN where a point has no such value; `segment` numbers its unbroken pieces.

    Times are seconds since 1970, positions degrees, altitudes and the device's own `count` of the distance metres.
    """

    time: Floats
    latitude: Floats
    longitude: Floats
    altitude: Floats
    count: Floats
    power: Floats
    segment: NDArray[np.int64]

    def between(self, start: float, end: float) -> "Points":
        """The points of a span of time."""
        here = (self.time >= start) & (self.time <= end)
        return Points(
            self.time[here], self.latitude[here], self.longitude[here], self.altitude[here], self.count[here],
            self.power[here], self.segment[here],
        )  # fmt: skip


@dataclass(slots=True)
class Sums:
    """What the points of a ride add up to, and in words what was left out."""

    start: float | None = None
    end: float | None = None
    distance: float = 0.0
    distance_from: str = "nothing"
    moving: float = 0.0
    ascent: float | None = None
    descent: float | None = None
    work_j: float | None = None
    has_places: bool = False
    said: list[str] = field(default_factory=list)

    @property
    def elapsed(self) -> float:
        """Seconds from the first to the last point."""
        return 0.0 if self.start is None or self.end is None else self.end - self.start


def summed(points: Points) -> Sums:
    """Return what the points add up to: the device's own count first, else the track on the ellipsoid."""
    found = Sums()
    time, wrong = _believed(points.time)
    if not np.isnan(time).all():
        found.start, found.end = float(np.nanmin(time)), float(np.nanmax(time))
    metres, moving, jumps, unsound = _counted(points.count, time)
    source = "device"
    if metres == 0:
        # Positions are looked at only where the device gave no distance.
        metres, moving, jumps, lost = _along(points, time)
        source, unsound = "track", unsound + lost
    if metres > 0:
        found.distance, found.distance_from, found.moving = metres, source, moving
    found.has_places = bool(np.isfinite(points.latitude).any())
    high = np.isfinite(points.altitude)
    sound = high & (points.altitude >= LOWEST_M) & (points.altitude <= HIGHEST_M)
    _climb(found, time, points.altitude, sound)
    found.work_j = _work(points.power, time)
    wrong += unsound + int((high & ~sound).sum())
    if wrong:
        found.said.append(f"{wrong:,} values of {time.size:,} points can't be; they were left out")
    if jumps:
        found.said.append(f"{jumps:,} jumps faster than any bike were left out of the distance")
    return found


def _believed(time: Floats) -> tuple[Floats, int]:
    """The times that can be, the others NaN, and how many those are."""
    told = np.isfinite(time)
    good = told & (time >= _EARLIEST) & (time <= _LATEST)
    if good.any():
        good &= np.abs(time - np.median(time[good])) <= MOST_ELAPSED_S / 2
    at = np.flatnonzero(good)
    if at.size > 2:
        # One time outside its neighbours, which are in order: a slip of that one.
        before, here, after = time[at[:-2]], time[at[1:-1]], time[at[2:]]
        good[at[1:-1][(before <= after) & ((here < before) | (here > after))]] = False
    return np.where(good, time, np.nan), int((told & ~good).sum())


def _along(points: Points, time: Floats) -> tuple[float, float, int, int]:
    """Length of the track, seconds in which it moved, jumps, and positions that can't be."""
    placed = np.isfinite(points.latitude) & np.isfinite(points.longitude)
    sound = placed & (np.abs(points.latitude) <= 90) & (np.abs(points.longitude) <= 360)
    sound &= (points.latitude != 0) | (points.longitude != 0)
    at = np.flatnonzero(sound)
    lost = int((placed & ~sound).sum())
    if at.size < 2:
        return 0.0, 0.0, 0, lost
    metres = metres_between(points.latitude[at], points.longitude[at])
    took, joined = np.diff(time[at]), np.diff(points.segment[at]) == 0
    with np.errstate(invalid="ignore"):
        # Without times, a step of more than 10 km between two points is a jump as well.
        farthest = np.where(np.isnan(took), 10_000.0, np.maximum(took, 1.0) * MOST_M_PER_S)
        fine = joined & (metres <= farthest)
        rolling = fine & (took > 0) & (metres >= LEAST_M_PER_S * took)
    return float(metres[fine].sum()), float(took[rolling].sum()), int((joined & ~fine).sum()), lost


def _counted(count: Floats, time: Floats) -> tuple[float, float, int, int]:
    """Sum of the steps of the device's own distance; a count that starts again goes on from there."""
    told = np.isfinite(count)
    sound = told & (count >= 0) & (count <= MOST_DISTANCE_M)
    at = np.flatnonzero(sound)
    lost = int((told & ~sound).sum())
    if at.size == 0:
        return 0.0, 0.0, 0, lost
    metres, took = np.diff(count[at]), np.diff(time[at])
    with np.errstate(invalid="ignore"):
        farthest = np.where(np.isnan(took), 60.0, np.maximum(took, 1.0)) * MOST_M_PER_S
        fine = (metres >= 0) & (metres <= farthest)
        rolling = fine & (took > 0) & (metres >= LEAST_M_PER_S * took)
    # What was rolled before the first point was written; a slip of that one point shows by the next being lower.
    first = float(count[at[0]]) if at.size == 1 or metres[0] >= 0 else 0.0
    jumps = int((metres > farthest).sum())
    return first + float(metres[fine].sum()), float(took[rolling].sum()), jumps, lost


def _climb(found: Sums, time: Floats, altitude: Floats, sound: NDArray[np.bool_]) -> None:
    at = np.flatnonzero(sound)
    if at.size < _LEAST_ALTITUDES:
        return
    seconds = time[at]
    if np.isnan(seconds).any():
        seconds = np.arange(at.size, dtype=float)
    order = np.argsort(seconds, kind="stable")
    found.ascent, found.descent = climbed(seconds[order], altitude[at][order])


def _work(power: Floats, time: Floats) -> float | None:
    """Joules: each power for the time until the next point, at most ten seconds."""
    at = np.flatnonzero(np.isfinite(power) & np.isfinite(time) & (power >= 0) & (power <= _MOST_WATT))
    if at.size < 2 or not power[at].any():
        return None
    took = np.clip(np.diff(time[at]), 0.0, _LONGEST_STEP_S)
    return float((power[at[:-1]] * took).sum())
