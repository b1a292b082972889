"""What does a ride file say: when, how far, how long, how hilly, on what; and what of it was damaged?"""

from pinchbolt.engines.rides._alike import SURE, LikelyBike, RideShape, batches_alike, likely_bikes
from pinchbolt.engines.rides._checksum import fit_checksum
from pinchbolt.engines.rides._climb import climb_and_descent
from pinchbolt.engines.rides._doubles import Meeting, meeting_of, same_ride
from pinchbolt.engines.rides._geodesic import distance_on_ellipsoid
from pinchbolt.engines.rides._read import read_ride_file
from pinchbolt.engines.rides._table import COLUMNS
from pinchbolt.engines.rides.rides_types import NO_HOUR, NO_ZONE, RecordedRide, RideFile

__all__ = [
    "COLUMNS",
    "NO_HOUR",
    "NO_ZONE",
    "SURE",
    "LikelyBike",
    "Meeting",
    "RecordedRide",
    "RideFile",
    "RideShape",
    "batches_alike",
    "climb_and_descent",
    "distance_on_ellipsoid",
    "fit_checksum",
    "likely_bikes",
    "meeting_of",
    "read_ride_file",
    "same_ride",
]
