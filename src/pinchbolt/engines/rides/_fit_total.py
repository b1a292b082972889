"""FIT: is the total that the device summed up to be believed, beside what its own points say?"""

from pinchbolt.engines.rides._fit import SESSION, FitPart
from pinchbolt.engines.rides._points import MOST_DISTANCE_M, MOST_M_PER_S, Sums, TrackPoints, track_length
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

_AGREE = 0.02
_TRACK_AGREES = 0.05
"""A track cuts corners and trembles. Our assumption, no source. [-]"""

_FAST_M_PER_S = 20.0
"""Faster than this over a whole ride is no bike. Our assumption. [m/s]"""


def believed_distance(
    total: float | None, elapsed: float, points: TrackPoints, sums: Sums, part: FitPart
) -> tuple[float | None, str, str]:
    """Return the device's total, unless it can't be or the file is damaged and its own points do not bear it out.

    Returns:
        Distance, from what it is, and what is said of it, or an empty word. [m]
    """
    counted = sums.distance if sums.distance_from != "nothing" else None
    if total is None:
        return counted, sums.distance_from, ""
    if total > MOST_DISTANCE_M or (elapsed and total > max(elapsed, 60.0) * MOST_M_PER_S):
        return (
            counted,
            sums.distance_from,
            worded("its total of {total} km can't be; it was left out", total=figure_text(total / 1000, 1)),
        )
    if counted is None and not part.said:
        return total, "device", ""
    if counted is None:
        return _unborne(total, elapsed)
    # Laps may end before the recording does; a device may not have counted at all.
    more = not part.count(SESSION) and sums.distance_from == "device" and counted > total
    if more or (total == 0 and counted > 0):
        return counted, sums.distance_from, ""
    if sums.distance_from == "device" and abs(counted - total) <= _AGREE * total:
        return total, "device", ""
    differ = worded(
        "its total of {total} km and its points' {counted} km differ",
        total=figure_text(total / 1000, 2),
        counted=figure_text(counted / 1000, 2),
    )
    if part.said and not _borne_out(total, counted, sums, points):
        return counted, sums.distance_from, worded("{differ}; the points were taken", differ=differ)
    return (
        total,
        "device",
        worded("{differ}; the total was taken", differ=differ) if sums.witnesses(elapsed) else "",
    )


def _borne_out(total: float, counted: float, sums: Sums, points: TrackPoints) -> bool:
    """Whether the track is as long as the total says, or what steps left out of the count can hold makes up for it."""
    if abs(track_length(points) - total) <= _TRACK_AGREES * total:
        return True
    return sums.distance_from == "device" and 0 <= total - counted <= sums.gap_s * _FAST_M_PER_S


def _unborne(total: float, elapsed: float) -> tuple[float | None, str, str]:
    """A total of a damaged file in which no point speaks for it: taken at a pace that bikes keep up, else left out."""
    if total <= max(elapsed, 60.0) * _FAST_M_PER_S:
        return total, "device", ""
    return (
        None,
        "nothing",
        worded(
            "its total of {total} km is borne out by no point of the damaged file; it was left out",
            total=figure_text(total / 1000, 1),
        ),
    )
