"""TCX 2: activities of laps, each with its totals and its points. Structure: the TrainingCenterDatabase schema, version 2."""

from dataclasses import dataclass, field
from math import isnan

from pinchbolt.engines.rides._points import (
    MOST_DISTANCE_M,
    MOST_ELAPSED_S,
    MOST_M_PER_S,
    Sums,
    is_sensible,
    moment,
    summed,
)
from pinchbolt.engines.rides._sport import is_indoors, sport_by_words
from pinchbolt.engines.rides._track import NAN, Track
from pinchbolt.engines.rides._xml import degrees, has_zone, number, seconds, walk_xml
from pinchbolt.engines.rides.rides_types import NO_ZONE, RecordedRide
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

_KJ_PER_KCAL = 4.184
_AGREE = 0.02


@dataclass(slots=True)
class _Activity:
    """What one activity says, and its points."""

    sport: str = ""
    start: float = NAN
    named: float = NAN
    laps: list[list[float]] = field(default_factory=list)
    device: str = ""
    serial: str = ""
    track: Track = field(default_factory=Track)


class _Reader:
    """Collects each activity's laps and points."""

    def __init__(self) -> None:
        self.activities: list[_Activity] = []
        self.point = [NAN] * 6
        self.in_point = self.in_activity = self.lap_begins = self.zoneless = False

    def start(self, tag: str, attributes: dict[str, str], parent: str) -> None:
        """An activity, a lap, a track or a point begins."""
        if tag == "Trackpoint":
            self.point = [NAN] * 6
            self.in_point = True
        elif tag == "Activity":
            self.in_activity = True
            self.activities.append(_Activity(sport=attributes.get("Sport", "")[:40]))
        elif not self.in_activity:
            return
        elif tag == "Lap":
            self.lap_begins = True
            # Time, distance and energy as the lap sums them up.
            self.activities[-1].laps.append([NAN, NAN, NAN])
            told = attributes.get("StartTime", "")
            began = seconds(told)
            self.zoneless = self.zoneless or (is_sensible(began) and not has_zone(told))
            if not is_sensible(self.activities[-1].start):
                self.activities[-1].start = began
        elif tag == "Track":
            # A lap goes on from the one before; a second track within a lap begins after a stop.
            if not self.lap_begins:
                self.activities[-1].track.new_segment()
            self.lap_begins = False

    def end(self, tag: str, text: str, parent: str) -> None:
        """A value, or a whole point."""
        if self.in_point:
            self._of_point(tag, text, parent)
        elif tag == "Activity":
            # Courses and workouts may follow in the same file: their laps are plans.
            self.in_activity = False
        elif self.in_activity:
            self._of_activity(self.activities[-1], tag, text, parent)

    def _of_point(self, tag: str, text: str, parent: str) -> None:
        point = self.point
        if tag == "Trackpoint":
            self.in_point = False
            if self.in_activity:
                self.activities[-1].track.add(*point)
        elif parent == "Trackpoint":
            if tag == "Time":
                point[0] = seconds(text)
                self.zoneless = self.zoneless or not has_zone(text)
            elif tag == "AltitudeMeters":
                point[3] = number(text)
            elif tag == "DistanceMeters":
                point[4] = number(text)
        elif parent == "Position":
            if tag == "LatitudeDegrees":
                point[1] = degrees(text)
            elif tag == "LongitudeDegrees":
                point[2] = degrees(text)
        elif tag == "Watts":
            point[5] = number(text)

    def _of_activity(self, activity: _Activity, tag: str, text: str, parent: str) -> None:
        if parent == "Lap" and activity.laps:
            at = {"TotalTimeSeconds": 0, "DistanceMeters": 1, "Calories": 2}.get(tag)
            if at is not None:
                activity.laps[-1][at] = number(text)
        elif parent == "Creator":
            if tag == "Name":
                activity.device = " ".join(text.split())[:120]
            elif tag == "UnitId":
                activity.serial = text[:40] if text not in ("", "0") else ""
        elif tag == "Id" and parent == "Activity":
            activity.named = seconds(text)


def tcx_rides(name: str, data: bytes) -> tuple[RecordedRide, ...]:
    """Return the rides of a TCX file.

    Raises:
        InputRefused: It holds no activity, or brings a document type along.
    """
    reader = _Reader()
    broke = walk_xml(name, data, reader.start, reader.end)
    rides = [_ride(activity) for activity in reader.activities if len(activity.track) or activity.laps]
    if not rides:
        raise InputRefused(
            worded(
                "{name} holds no activity{broke}: a ride has laps or points. Export it again.",
                name=name,
                broke=f" ({broke})" if broke else "",
            )
        )
    said = (*((broke,) if broke else ()), *((NO_ZONE,) if reader.zoneless else ()))
    return tuple(ride.with_damage(said) for ride in rides)


def _total(laps: list[list[float]], at: int) -> float | None:
    """Sum over the laps that tell it, None where none does."""
    told = [lap[at] for lap in laps if lap[at] >= 0]
    return sum(told) if told else None


def _ride(activity: _Activity) -> RecordedRide:
    sums = summed(activity.track.points())
    said = list(sums.said)
    start = next((one for one in (activity.start, activity.named) if is_sensible(one)), sums.start)
    timed = _total(activity.laps, 0)
    if timed is not None and timed > MOST_ELAPSED_S:
        said.append(
            worded("its total of {timed} hours can't be; it was left out", timed=figure_text(timed / 3600, 0))
        )
        timed = None
    elapsed = max(sums.elapsed, timed or 0.0)
    if start is not None and sums.end is not None and 0 <= sums.end - start <= MOST_ELAPSED_S:
        elapsed = max(elapsed, sums.end - start)
    distance, source = _distance(activity, sums, elapsed, said)
    if start is None:
        said.append(worded("no point tells its day"))
    kcal = _total(activity.laps, 2)
    sport = sport_by_words(activity.sport)
    return RecordedRide(
        start=moment(start) if start is not None else None,
        elapsed_s=elapsed,
        moving_s=timed if timed is not None else sums.moving,
        distance_m=distance,
        distance_from=source,
        ascent_m=sums.ascent,
        descent_m=sums.descent,
        energy_kj=kcal * _KJ_PER_KCAL if kcal else None,
        work_kj=sums.work_j / 1000 if sums.work_j else None,
        indoor=is_indoors(sport.words) or (False if sums.has_places else None),
        is_ride=sport.is_ride,
        sport=sport.words,
        ask=sport.ask,
        device=activity.device,
        device_serial=activity.serial,
        damaged=tuple(said),
    )


def _distance(activity: _Activity, sums: Sums, elapsed: float, said: list[str]) -> tuple[float, str]:
    """The laps' own totals first, unless they can't be, or some laps tell none and the points tell more."""
    total = _total(activity.laps, 1)
    part = any(isnan(lap[1]) for lap in activity.laps)
    if total is None or (part and sums.distance > total) or (total == 0 and sums.distance > 0):
        said.extend(sums.doubts)
        return sums.distance, sums.distance_from
    if total > MOST_DISTANCE_M or total > max(elapsed, 60.0) * MOST_M_PER_S:
        said.append(
            worded("its total of {total} km can't be; it was left out", total=figure_text(total / 1000, 1))
        )
        said.extend(sums.doubts)
        return sums.distance, sums.distance_from
    if sums.witnesses(elapsed) and abs(sums.distance - total) > max(_AGREE * total, 50.0):
        said.append(
            worded(
                "its total of {total} km and its points' {distance} km differ; the total was taken",
                total=figure_text(total / 1000, 2),
                distance=figure_text(sums.distance / 1000, 2),
            )
        )
    return total, "device"
