"""FIT: from messages to rides. What the device summed up comes first, the records fill in what it did not."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.rides._fit import (
    ACTIVITY,
    DEVICE,
    EPOCH,
    FILE_ID,
    LAP,
    RECORD,
    SESSION,
    SPORT,
    TIMESTAMP,
    FitPart,
    fit_parts,
)
from pinchbolt.engines.rides._fit_total import believed_distance
from pinchbolt.engines.rides._points import MOST_ELAPSED_S, Sums, TrackPoints, is_sensible, moment, summed
from pinchbolt.engines.rides._sport import Sport, is_indoors, sport_by_number
from pinchbolt.engines.rides.rides_types import RecordedRide
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_ABSOLUTE = 0x10000000
"""From here a time is a date; below it counts from when the device was switched on."""

_DEGREES = 180 / 2**31
_KJ_PER_KCAL = 4.184
_A_DAY_S = 86400.0
# Kinds of FIT file by number in file_id; 4 is an activity.
_KINDS = {
    1: worded("a device"), 2: worded("settings"), 3: worded("a sport"), 5: worded("a workout"), 6: worded("a course"),
    7: worded("schedules"), 9: worded("weights"), 10: worded("totals"), 11: worded("goals"), 15: worded("days"),
    28: worded("a summary of days"), 32: worded("monitoring"), 34: worded("segments"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Told:
    """What a session, or all laps of a ride, say."""

    start: float | None
    elapsed: float | None
    timer: float | None
    moving: float | None
    distance: float | None
    ascent: float | None
    descent: float | None
    kcal: float | None
    work: float | None
    sport: Sport


_NO_SPORT = Sport("", None)
_NOTHING = _Told(None, None, None, None, None, None, None, None, None, _NO_SPORT)


def fit_rides(name: str, data: bytes) -> tuple[RecordedRide, ...]:
    """Return the rides of a FIT file.

    Raises:
        InputRefused: It holds no activity, or nothing of it can be used.
    """
    parts = fit_parts(data)
    rides = []
    before: TrackPoints | None = None
    for part in parts:
        points = _points(part)
        rides += _rides_of(part, points if before is None else points.going_on_from(before))
        before = points
    if rides:
        said = tuple(words for part in parts for words in part.said)
        return tuple(ride.with_damage(said) for ride in rides)
    kinds = {int(one) for part in parts for one in part.column(FILE_ID, 0) if np.isfinite(one)}
    other = next((_KINDS[one] for one in kinds if one in _KINDS), "")
    if other:
        raise InputRefused(
            worded(
                "{name} is a FIT file of {other}: only recorded rides count. Choose the activity file.",
                name=name,
                other=other,
            )
        )
    said_so = "; ".join(words for part in parts for words in part.said)
    broke = f" ({said_so})" if said_so else ""
    raise InputRefused(
        worded(
            "{name} holds no ride that can be read{broke}: nothing of it can be used. Export it again.",
            name=name,
            broke=broke,
        )
    )


def _rides_of(part: FitPart, points: TrackPoints) -> list[RecordedRide]:
    kind = part.column(FILE_ID, 0)
    if kind.size and np.isfinite(kind[0]) and int(kind[0]) in _KINDS:
        return []
    told = _sessions(part)
    device, serial = _device(part)
    rides = []
    for one in told or [_laps(part)]:
        own = points
        if part.count(SESSION) > 1:
            # Without its span a session has no points that are known to be its own.
            start = np.nan if one.start is None or one.elapsed is None else one.start
            own = points.between(start, start + (one.elapsed or 0.0))
        ride = _ride(one, own, part)
        if ride is not None:
            rides.append(replace(ride, device=device, device_serial=serial))
    return rides


def _points(part: FitPart) -> TrackPoints:
    many = part.count(RECORD)
    time = _times(part.column(RECORD, TIMESTAMP))
    altitude = part.column(RECORD, 78)
    altitude = np.where(np.isnan(altitude), part.column(RECORD, 2), altitude) / 5 - 500
    count = part.column(RECORD, 5) / 100
    packed = part.column(RECORD, 8)
    if np.isnan(count).all() and np.isfinite(packed).any():
        count = _unrolled(packed)
    speed = part.column(RECORD, 73)
    speed = np.where(np.isnan(speed), part.column(RECORD, 6), speed) / 1000
    return TrackPoints(
        time,
        part.column(RECORD, 0) * _DEGREES,
        part.column(RECORD, 1) * _DEGREES,
        altitude,
        count,
        part.column(RECORD, 7),
        np.zeros(many, dtype=np.int64),
        speed,
    )


def _times(raw: NDArray[np.float64]) -> NDArray[np.float64]:
    """Seconds since 1970; a clock that was never set tells no day and counts as none."""
    with np.errstate(invalid="ignore"):
        return np.where(raw >= _ABSOLUTE, raw + EPOCH, np.nan)


def _unrolled(packed: NDArray[np.float64]) -> NDArray[np.float64]:
    """A 12-bit count of sixteenths of a metre, going on where it starts again."""
    told = np.isfinite(packed)
    steps = np.diff(packed[told], prepend=packed[told][0]) % 4096
    steps[0] = packed[told][0]
    count = np.full(packed.size, np.nan)
    count[told] = np.cumsum(steps) / 16
    return count


def _sessions(part: FitPart) -> list[_Told]:
    """What each session says; those between two sports (changing shoes) are left out, where there are others."""
    many = part.count(SESSION)

    def at(number: int, scale: float, row: int) -> float | None:
        value = float(part.column(SESSION, number)[row]) / scale
        return value if np.isfinite(value) else None

    found = []
    starts, ends = _times(part.column(SESSION, 2)), _times(part.column(SESSION, TIMESTAMP))
    for row in range(many):
        sport = _sport(part.column(SESSION, 5)[row], part.column(SESSION, 6)[row])
        start, end, elapsed = float(starts[row]), float(ends[row]), _short(at(7, 1000, row))
        # A session is written when it ends: that tells the one of both that it does not say.
        if elapsed is None:
            elapsed = _short(end - start)
        elif not np.isfinite(start):
            start = end - elapsed
        found.append(
            _Told(
                start if np.isfinite(start) and is_sensible(start) else None,
                elapsed,
                _short(at(8, 1000, row)),
                _short(at(59, 1000, row)),
                at(9, 100, row),
                at(22, 1, row),
                at(23, 1, row),
                at(11, 1, row),
                at(48, 1, row),
                sport,
            )
        )
    return [one for one in found if "transition" not in one.sport.words] or found


def _laps(part: FitPart) -> _Told:
    """What all laps say together, where no session was written: the device died before it could."""
    if not part.count(LAP):
        return _NOTHING

    def total(number: int, scale: float) -> float | None:
        value = part.column(LAP, number)
        return float(np.nansum(value)) / scale if np.isfinite(value).any() else None

    starts = _times(part.column(LAP, 2))
    start = float(np.nanmin(starts)) if np.isfinite(starts).any() else None
    sport = _sport(part.column(LAP, 25)[0], part.column(LAP, 39)[0])
    return _Told(
        start if start is not None and is_sensible(start) else None,
        _short(total(7, 1000)),
        _short(total(8, 1000)),
        None,
        total(9, 100),
        total(21, 1),
        total(22, 1),
        total(11, 1),
        total(41, 1),
        sport,
    )


def _short(seconds: float | None) -> float | None:
    return seconds if seconds is not None and 0 <= seconds <= MOST_ELAPSED_S else None


def _sport(sport: float, branch: float) -> Sport:
    return sport_by_number(*(int(one) if np.isfinite(one) else None for one in (sport, branch)))


def _ride(told: _Told, points: TrackPoints, part: FitPart) -> RecordedRide | None:
    """Join what the device said with what its records add up to."""
    sums = summed(points)
    said = list(sums.said)
    start = _start(told, sums, part, said)
    elapsed = told.elapsed if told.elapsed is not None else sums.elapsed
    sport = told.sport if told.sport != _NO_SPORT else _sport_message(part)
    distance, source, words = believed_distance(told.distance, elapsed, points, sums, part)
    if words and sport.is_ride is not False:
        said.append(words)
    if distance == sums.distance and distance != told.distance:
        said += sums.doubts
    if distance is None and start is None:
        return None
    if distance is None and not elapsed and not part.count(SESSION):
        return None
    if start is None:
        said.append(worded("no point tells its day"))
    timed = told.moving if told.moving is not None else told.timer
    return RecordedRide(
        start=moment(start) if start is not None else None,
        elapsed_s=elapsed,
        moving_s=timed if timed is not None else sums.moving,
        distance_m=distance or 0.0,
        distance_from=source if distance is not None else "nothing",
        ascent_m=told.ascent if told.ascent is not None else sums.ascent,
        descent_m=told.descent if told.descent is not None else sums.descent,
        energy_kj=told.kcal * _KJ_PER_KCAL if told.kcal else None,
        work_kj=told.work / 1000 if told.work else (sums.work_j / 1000 if sums.work_j else None),
        indoor=is_indoors(sport.words) or (False if sums.has_places else None),
        is_ride=sport.is_ride,
        sport=sport.words,
        ask=sport.ask,
        damaged=tuple(said),
    )


def _start(told: _Told, sums: Sums, part: FitPart, said: list[str]) -> float | None:
    """The device's start, unless the file was changed and its own points say another day; else that of the file."""
    if told.start is not None:
        if part.checksum_fails and sums.start is not None and abs(told.start - sums.start) > _A_DAY_S:
            said.append(
                worded(
                    "its start on {moment:%d %b %Y} contradicts its points; theirs was taken",
                    moment=moment(told.start),
                )
            )
            return sums.start
        return told.start
    if sums.start is not None:
        return sums.start
    made = _made(part)
    if made is not None:
        said.append(worded("its points have no day; the day is that of the file"))
    return made


def _made(part: FitPart) -> float | None:
    """When the file says that it was made, or the activity closed."""
    for message, number in ((FILE_ID, 4), (ACTIVITY, TIMESTAMP)):
        times = _times(part.column(message, number))
        good = times[np.isfinite(times)]
        if good.size and is_sensible(float(good[0])):
            return float(good[0])
    return None


def _sport_message(part: FitPart) -> Sport:
    kind, branch = part.column(SPORT, 0), part.column(SPORT, 1)
    return _sport(kind[0], branch[0]) if kind.size and branch.size else _NO_SPORT


def _device(part: FitPart) -> tuple[str, str]:
    """Name and serial of the recording device: its own words where it has any, else its maker's and model's numbers."""

    def first(message: int, number: int) -> int | None:
        values = part.column(message, number)
        return int(values[0]) if values.size and np.isfinite(values[0]) else None

    serial = first(FILE_ID, 3)
    names = part.texts(FILE_ID, 8)
    index = part.column(DEVICE, 0)
    for row, text in enumerate(part.texts(DEVICE, 27)):
        if text and row < index.size and index[row] == 0:
            names = [*names, text]
    words = next((one for one in names if one), "")
    maker, model = first(FILE_ID, 1), first(FILE_ID, 2)
    if not words and maker is not None:
        words = worded(
            "maker {maker}, model {model}",
            maker=maker,
            model=model if model is not None else worded("not told"),
        )
    return words, str(serial) if serial is not None else ""
