"""Sums along the points of a ride; the points themselves are dropped afterwards."""

from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.rides._climb import HIGHEST_M, LOWEST_M, climbed
from pinchbolt.engines.rides._geodesic import metres_between
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

Floats = NDArray[np.float64]

MOST_M_PER_S = 45.0
"""Faster than any bike goes on a road (162 km/h): a jump of the track, not riding. Our assumption. [m/s]"""

LEAST_M_PER_S = 0.5
"""Slower is standing: positions tremble by as much. Our assumption. [m/s]"""

MOST_ELAPSED_S = 14 * 86400.0
MOST_DISTANCE_M = 3_000_000.0
_MOST_WATT = 3000.0
_LONGEST_STEP_S = 10.0
_WAY_BETWEEN, _WAY_BETWEEN_M = 0.01, 100.0
"""A way between pieces of a track is told from a hundredth of it, and 100 m, on: somebody forgot to start again. Our assumption. [-, m]"""

_SINCE_RESET_M = 60 * MOST_M_PER_S
"""A count that was reset shows no more than this at its first point: a minute of riding. Our assumption. [m]"""

_WHOLE = 0.9
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
class TrackPoints:
    """Columns of a track, NaN where a point has no such value; `segment` numbers its unbroken pieces.

    Times are seconds since 1970, positions degrees, altitudes and the device's own `count` of the distance metres, `speed` metres
    a second where the form has it.
    """

    time: Floats
    latitude: Floats
    longitude: Floats
    altitude: Floats
    count: Floats
    power: Floats
    segment: NDArray[np.int64]
    speed: Floats | None = None

    def between(self, start: float, end: float) -> "TrackPoints":
        """The points of a span of time; what was counted before it is taken off, where the count goes on."""
        here = (self.time >= start) & (self.time <= end)
        own = TrackPoints(
            self.time[here], self.latitude[here], self.longitude[here], self.altitude[here], self.count[here],
            self.power[here], self.segment[here], None if self.speed is None else self.speed[here],
        )  # fmt: skip
        return own.counted_on(self.count[self.time < start])

    def going_on_from(self, earlier: "TrackPoints") -> "TrackPoints":
        """The same points where another file stands before them: a device that appends its next file may count on in it."""
        counted = earlier.count[np.isfinite(earlier.count)]
        ended, begins = earlier.time[np.isfinite(earlier.time)], self.time[np.isfinite(self.time)]
        later = bool(ended.size and begins.size and begins[0] >= ended[-1])
        return self.counted_on(counted[-1:]) if later else self

    def counted_on(self, before: Floats) -> "TrackPoints":
        """The same points less what was counted before them; a count that started again has nothing to take off."""
        told = self.count[np.isfinite(self.count)]
        if not told.size:
            return self
        with np.errstate(invalid="ignore"):
            passed = before[(before >= 0) & (before <= told[0])]
        return replace(self, count=self.count - passed[-1]) if passed.size else self


@dataclass(slots=True)
class Sums:
    """What the points of a ride add up to, and in words what was left out.

    `jumps` are steps of the distance that were left out as no bike does them, `gap_s` the time of all steps left out;
    `counted_s` is from the first to the last point of the device's count, `between_m` the way between pieces of the track.
    """

    start: float | None = None
    end: float | None = None
    distance: float = 0.0
    distance_from: str = "nothing"
    moving: float = 0.0
    ascent: float | None = None
    descent: float | None = None
    work_j: float | None = None
    has_places: bool = False
    jumps: int = 0
    gap_s: float = 0.0
    counted_s: float = 0.0
    between_m: float = 0.0
    said: list[str] = field(default_factory=list)

    @property
    def elapsed(self) -> float:
        """Seconds from the first to the last point."""
        return 0.0 if self.start is None or self.end is None else self.end - self.start

    def witnesses(self, elapsed: float) -> bool:
        """Whether the device's count at the points can speak against its total: whole, without a step left out."""
        whole = self.counted_s >= _WHOLE * elapsed and not self.gap_s
        return self.distance_from == "device" and whole and not self.jumps

    @property
    def doubts(self) -> tuple[str, ...]:
        """What is said of the distance, where it is that of the points."""
        said = []
        if self.jumps:
            said.append(
                worded(
                    "{jumps} jumps faster than any bike were left out of the distance",
                    jumps=figure_text(self.jumps),
                )
            )
        if self.distance_from == "speeds":
            said.append(worded("it holds no distance: its speeds were added up"))
        if self.distance_from == "track":
            said += not_recorded(self.between_m, self.distance)
        return tuple(said)


def not_recorded(way: float, distance: float) -> tuple[str, ...]:
    """What is said of the way between pieces of a track, where it is long enough beside what was recorded. [m]"""
    if not way > max(_WAY_BETWEEN * distance, _WAY_BETWEEN_M):
        return ()
    return (
        worded(
            "{way} km between its pieces were not recorded; they do not count", way=figure_text(way / 1000, 2)
        ),
    )


def summed(points: TrackPoints) -> Sums:
    """Return what the points add up to: the device's own count first, else the track on the ellipsoid."""
    found = Sums()
    time, wrong = _believed(points.time)
    if not np.isnan(time).all():
        found.start, found.end = float(np.nanmin(time)), float(np.nanmax(time))
    steps = _counted(points.count, time)
    source, unsound = "device", steps.unsound
    found.counted_s, found.gap_s = steps.whole_s, steps.gap_s
    if steps.metres == 0:
        # Positions are looked at only where the device gave no distance.
        steps = _along(points, time)
        source, unsound = "track", unsound + steps.unsound
        found.between_m = steps.between_m
    if steps.metres == 0 and points.speed is not None:
        rolled = _rolled(points.speed, time)
        if rolled.metres > 0:
            steps, source = rolled, "speeds"
    found.jumps = steps.jumps
    if steps.metres > 0:
        found.distance, found.distance_from, found.moving = steps.metres, source, steps.moving_s
    found.has_places = bool(np.isfinite(points.latitude).any())
    high = np.isfinite(points.altitude)
    sound = high & (points.altitude >= LOWEST_M) & (points.altitude <= HIGHEST_M)
    _climb(found, time, points.altitude, sound)
    found.work_j = _work(points.power, time)
    wrong += unsound + int((high & ~sound).sum())
    if wrong:
        found.said.append(
            worded(
                "{wrong} values of {size} points can't be; they were left out",
                wrong=figure_text(wrong),
                size=figure_text(time.size),
            )
        )
    return found


def track_length(points: TrackPoints) -> float:
    """Return the length of the track alone, whatever the device counted. [m]"""
    return _along(points, _believed(points.time)[0]).metres


@dataclass(slots=True)
class _Steps:
    """Metres and seconds rolled, steps that no bike does, values that can't be, time from first to last and of what was left out."""

    metres: float = 0.0
    moving_s: float = 0.0
    jumps: int = 0
    unsound: int = 0
    whole_s: float = 0.0
    gap_s: float = 0.0
    between_m: float = 0.0


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


def _along(points: TrackPoints, time: Floats) -> _Steps:
    """Length of the track, step by step on the ellipsoid."""
    placed = np.isfinite(points.latitude) & np.isfinite(points.longitude)
    sound = placed & (np.abs(points.latitude) <= 90) & (np.abs(points.longitude) <= 360)
    sound &= (points.latitude != 0) | (points.longitude != 0)
    at = np.flatnonzero(sound)
    lost = int((placed & ~sound).sum())
    if at.size < 2:
        return _Steps(unsound=lost)
    metres = metres_between(points.latitude[at], points.longitude[at])
    took, joined = np.diff(time[at]), np.diff(points.segment[at]) == 0
    with np.errstate(invalid="ignore"):
        # Without times, a step of more than 10 km between two points is a jump as well.
        farthest = np.where(np.isnan(took), 10_000.0, np.maximum(took, 1.0) * MOST_M_PER_S)
        fine = joined & (metres <= farthest)
        rolling = fine & (took > 0) & (metres >= LEAST_M_PER_S * took)
    return _Steps(
        float(metres[fine].sum()),
        float(took[rolling].sum()),
        int((joined & ~fine).sum()),
        lost,
        between_m=float(np.nansum(metres[~joined])),
    )


def _counted(count: Floats, time: Floats) -> _Steps:
    """Sum of the steps of the device's own distance; a count that starts again goes on from there."""
    told = np.isfinite(count)
    sound = told & (count >= 0) & (count <= MOST_DISTANCE_M)
    at = np.flatnonzero(sound)
    lost = int((told & ~sound).sum())
    if at.size == 0:
        return _Steps(unsound=lost)
    metres, took = np.diff(count[at]), np.diff(time[at])
    with np.errstate(invalid="ignore"):
        farthest = np.where(np.isnan(took), 60.0, np.maximum(took, 1.0)) * MOST_M_PER_S
        # A count that starts again begins at nought: what it shows first was rolled since.
        shows, showed = count[at[1:]], count[at[:-1]]
        again = (shows < showed / 2) & (shows <= np.minimum(farthest, _SINCE_RESET_M))
        metres = np.where(again, shows, metres)
        fine = (metres >= 0) & (metres <= farthest)
        rolling = fine & (took > 0) & (metres >= LEAST_M_PER_S * took)
    # What was rolled before the first point was written; a slip of that one point shows by the next being lower.
    first = float(count[at[0]]) if at.size == 1 or count[at[1]] >= count[at[0]] else 0.0
    times = time[at][np.isfinite(time[at])]
    return _Steps(
        first + float(metres[fine].sum()),
        float(took[rolling].sum()),
        int((metres > farthest).sum()),
        lost,
        float(times.max() - times.min()) if times.size else 0.0,
        float(np.nansum(np.abs(took[~fine]))),
    )


def _rolled(speed: Floats, time: Floats) -> _Steps:
    """Speeds by the time until the next point, where neither a count nor a track tells how far; a gap counts ten seconds at most."""
    told = np.isfinite(speed) & np.isfinite(time)
    at = np.flatnonzero(told & (speed >= 0) & (speed <= MOST_M_PER_S))
    took = np.clip(np.diff(time[at]), 0.0, _LONGEST_STEP_S)
    return _Steps(
        float((speed[at[:-1]] * took).sum()),
        float(took[speed[at[:-1]] >= LEAST_M_PER_S].sum()),
        unsound=int(told.sum()) - at.size,
    )


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
