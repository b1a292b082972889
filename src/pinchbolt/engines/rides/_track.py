"""Columns of a track that grows point by point."""

from array import array
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from pinchbolt.engines.rides._points import TrackPoints

NAN = float("nan")
Places = tuple[tuple[float, float], tuple[float, float]]


class Track:
    """Point by point: time, position, altitude, count, power; kept as plain columns until they are summed."""

    def __init__(self) -> None:
        self.columns = [array("d") for _ in range(6)]
        self.segment = 0
        self.segments = array("q")

    def __len__(self) -> int:
        return len(self.segments)

    def add(
        self, time: float, latitude: float, longitude: float, altitude: float, count: float, power: float
    ) -> None:
        """Take one point in, NaN for what it does not tell."""
        for column, value in zip(
            self.columns, (time, latitude, longitude, altitude, count, power), strict=True
        ):
            column.append(value)
        self.segments.append(self.segment)

    def new_segment(self) -> None:
        """What follows does not go on from the last position: the recording was stopped and started."""
        self.segment += 1

    def ends(self) -> Places:
        """Where it began and where it ended."""
        _, north, east, *_ = self.columns
        at = [n for n in range(len(self)) if isfinite(north[n]) and isfinite(east[n])]
        return (
            ((north[at[0]], east[at[0]]), (north[at[-1]], east[at[-1]])) if at else ((NAN, NAN), (NAN, NAN))
        )

    def points(self) -> TrackPoints:
        """All of them as arrays."""
        time, latitude, longitude, altitude, count, power = (_array(column) for column in self.columns)
        return TrackPoints(
            time, latitude, longitude, altitude, count, power, np.array(self.segments, dtype=np.int64)
        )


def _array(column: "array[float]") -> NDArray[np.float64]:
    return np.array(column, dtype=np.float64)
