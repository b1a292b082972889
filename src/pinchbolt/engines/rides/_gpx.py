"""GPX 1.1 (and 1.0): tracks of points with times. Structure: the GPX schema; extensions by the names in use."""

from dataclasses import replace

import numpy as np

from pinchbolt.engines.rides._geodesic import metres_between
from pinchbolt.engines.rides._points import Sums, TrackPoints, moment, not_recorded, summed, track_length
from pinchbolt.engines.rides._sport import is_indoors, sport_by_words
from pinchbolt.engines.rides._track import NAN, Places, Track
from pinchbolt.engines.rides._xml import degrees, has_zone, number, seconds, walk_xml
from pinchbolt.engines.rides.rides_types import NO_ZONE, RecordedRide
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

_SAME_RIDE_S = 6 * 3600.0
"""Tracks of one file that follow each other within this time are pieces of one ride. Our assumption. [s]"""

_TRACK_AGREES = 0.05
"""What a device counted and its track differ by no more, in the same unit. Our assumption. [-]"""


class _Reader:
    """Collects each track's points and its words."""

    def __init__(self) -> None:
        self.is_gpx = False
        self.device = ""
        self.tracks: list[tuple[Track, list[str]]] = []
        self.routes = 0
        self.inside = self.zoneless = False
        self.place = (NAN, NAN)
        self.time = self.altitude = self.count = self.power = NAN

    def start(self, tag: str, attributes: dict[str, str], parent: str) -> None:
        """A track, a piece of one, or a point begins."""
        if tag == "trkpt":
            self.inside = True
            self.place = (degrees(attributes.get("lat", "")), degrees(attributes.get("lon", "")))
            self.time = self.altitude = self.count = self.power = NAN
        elif tag == "trkseg" and self.tracks:
            self.tracks[-1][0].new_segment()
        elif tag == "trk":
            self.tracks.append((Track(), []))
        elif tag == "rtept":
            self.routes += 1
        elif tag == "gpx" and not parent:
            self.is_gpx = True
            self.device = " ".join(attributes.get("creator", "").split())[:120]

    def end(self, tag: str, text: str, parent: str) -> None:
        """A point is whole, or a value of it is."""
        if self.inside:
            if tag == "trkpt":
                self.inside = False
                if self.tracks:
                    self.tracks[-1][0].add(self.time, *self.place, self.altitude, self.count, self.power)
            elif parent == "trkpt":
                if tag == "time":
                    self.time = seconds(text)
                    self.zoneless = self.zoneless or not has_zone(text)
                elif tag == "ele":
                    self.altitude = number(text)
            elif tag.lower() in ("power", "powerinwatts", "watts"):
                self.power = number(text)
            elif tag.lower() == "distance":
                self.count = number(text)
        elif parent == "trk" and tag == "type" and self.tracks:
            self.tracks[-1][1].append(text)


def gpx_rides(name: str, data: bytes) -> tuple[RecordedRide, ...]:
    """Return the rides of a GPX file.

    Raises:
        InputRefused: It is no GPX, holds no track, or brings a document type along.
    """
    reader = _Reader()
    broke = walk_xml(name, data, reader.start, reader.end)
    tracks = [(track, " ".join(words)) for track, words in reader.tracks if len(track)]
    if not tracks:
        what = worded("only a planned route") if reader.routes else worded("no point of a track")
        raise InputRefused(
            worded(
                "{name} holds {what}{broke}: a ride has a track. Export the activity, not the route.",
                name=name,
                what=what,
                broke=f" ({broke})" if broke else "",
            )
        )
    rides = [_ride(_length(track.points(), words), words, reader.device) for track, words in tracks]
    said = (*((broke,) if broke else ()), *((NO_ZONE,) if reader.zoneless else ()))
    places = [track.ends() for track, _ in tracks]
    return tuple(ride.with_damage(said) for ride in _joined(rides, places))


def _length(points: TrackPoints, words: str) -> Sums:
    """Sums of a track. GPX has no distance of its own: one that an exporter adds in whatever unit must be as long as the track."""
    sums = summed(points)
    along = track_length(points)
    if sums.distance_from != "device" or is_indoors(sport_by_words(words).words) or not along:
        return sums
    if abs(along - sums.distance) <= _TRACK_AGREES * along:
        return sums
    found = summed(replace(points, count=np.full(points.time.size, NAN)))
    found.said.append(
        worded(
            "its own distances say {distance} km and its track {found_distance} km; the track was taken",
            distance=figure_text(sums.distance / 1000, 2),
            found_distance=figure_text(found.distance / 1000, 2),
        )
    )
    return found


def _ride(sums: Sums, words: str, device: str) -> RecordedRide:
    said = [*sums.said, *sums.doubts]
    if sums.start is None:
        said.append(worded("no point tells its day"))
    sport = sport_by_words(words)
    return RecordedRide(
        start=moment(sums.start) if sums.start is not None else None,
        elapsed_s=sums.elapsed,
        moving_s=sums.moving,
        distance_m=sums.distance,
        distance_from=sums.distance_from,
        ascent_m=sums.ascent,
        descent_m=sums.descent,
        work_kj=sums.work_j / 1000 if sums.work_j else None,
        indoor=is_indoors(sport.words),
        is_ride=sport.is_ride,
        sport=sport.words,
        ask=sport.ask,
        device=device,
        damaged=tuple(said),
    )


def _joined(rides: list[RecordedRide], places: list[Places]) -> list[RecordedRide]:
    """Tracks of one file that go on within hours are one ride; their sums are added, and a long way between them is said."""
    found: list[RecordedRide] = []
    last_at = (NAN, NAN)
    for ride, (first, last) in zip(rides, places, strict=True):
        before = found[-1] if found else None
        if before is not None and _goes_on(before, ride):
            gap = metres_between(*np.array([last_at, first]).T)
            together = _together(before, ride)
            found[-1] = together.with_damage(not_recorded(float(gap[0]), together.distance_m))
        else:
            found.append(ride)
        last_at = last
    return found


def _goes_on(one: RecordedRide, other: RecordedRide) -> bool:
    if one.sport != other.sport:
        return False
    if one.start is None or one.end is None or other.start is None:
        return one.start is None and other.start is None
    return 0 <= (other.start - one.end).total_seconds() <= _SAME_RIDE_S


def _together(one: RecordedRide, other: RecordedRide) -> RecordedRide:
    def added(first: float | None, second: float | None) -> float | None:
        told = [value for value in (first, second) if value is not None]
        return sum(told) if told else None

    elapsed = one.elapsed_s + other.elapsed_s
    if one.start is not None and other.end is not None:
        elapsed = (other.end - one.start).total_seconds()
    return RecordedRide(
        start=one.start,
        elapsed_s=elapsed,
        moving_s=one.moving_s + other.moving_s,
        distance_m=one.distance_m + other.distance_m,
        distance_from=one.distance_from,
        ascent_m=added(one.ascent_m, other.ascent_m),
        descent_m=added(one.descent_m, other.descent_m),
        work_kj=added(one.work_kj, other.work_kj),
        indoor=one.indoor,
        is_ride=one.is_ride,
        sport=one.sport,
        ask=one.ask,
        device=one.device,
        damaged=tuple(dict.fromkeys((*one.damaged, *other.damaged))),
    )
