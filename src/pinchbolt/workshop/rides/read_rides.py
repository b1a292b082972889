"""What one ride file says, written down nowhere."""

from collections.abc import Mapping
from pathlib import Path

from pinchbolt.engines.rides import RecordedRide, RideFile
from pinchbolt.errors import InputRefused
from pinchbolt.values import Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.rides.ride_files import files_at, read_files


def read_one(path: Path, columns: Mapping[str, str] | None = None) -> RideFile:
    """Return what one ride file holds.

    Raises:
        NotFound: It is not there.
        InputRefused: It is no ride file, nothing of it can be used, or it is several files.
    """
    if path.is_dir():
        raise InputRefused(
            worded(
                "{path} is a folder: one file is read here. Name the file, or take the folder in for a bike.",
                path=path,
            )
        )
    found = read_files(files_at(path), columns)
    first = next(found, None)
    if first is None:
        raise InputRefused(
            worded(
                "{path} holds no ride file: FIT, GPX, TCX and CSV can be read. Choose another file.",
                path=path,
            )
        )
    if next(found, None) is not None:
        raise InputRefused(
            worded(
                "{path} holds several files: one is read here. Take them in for a bike, or unpack it first.",
                path=path,
            )
        )
    if first.read is None:
        raise InputRefused(first.refused)
    return first.read


def ride_json(ride: RecordedRide) -> Json:
    """Return one ride as plain values, under the names that every door uses."""
    told: Json = as_json(ride)
    if ride.start is not None:
        told["start"] = _moment(told["start"])
    return told


def file_json(read: RideFile) -> Json:
    """Return a file as plain values: its sums over all rides, then each ride."""
    rides = read.rides
    first = next((ride for ride in sorted(rides, key=_by_start) if ride.start is not None), rides[0])
    ends = [ride.end for ride in rides if ride.end is not None]
    elapsed = rides[0].elapsed_s if len(rides) == 1 else sum(ride.elapsed_s for ride in rides)
    if len(rides) > 1 and first.start is not None and ends:
        elapsed = (max(ends) - first.start).total_seconds()
    indoors = {ride.indoor for ride in rides}
    return {
        "name": read.name,
        "form": read.form,
        "start": _moment(first.start.isoformat()) if first.start is not None else None,
        "distance_m": round(sum(ride.distance_m for ride in rides), 3),
        "distance_from": first.distance_from,
        "moving_s": round(sum(ride.moving_s for ride in rides), 3),
        "elapsed_s": round(elapsed, 3),
        "ascent_m": _total([ride.ascent_m for ride in rides]),
        "descent_m": _total([ride.descent_m for ride in rides]),
        "energy_kj": _total([ride.energy_kj for ride in rides]),
        "work_kj": _total([ride.work_kj for ride in rides]),
        "indoor": indoors.pop() if len(indoors) == 1 else None,
        "sport": first.sport,
        "is_ride": first.is_ride,
        "device": first.device,
        "device_serial": first.device_serial,
        "damaged": list(read.damaged),
        "digest": read.digest,
        "rides": [ride_json(ride) for ride in rides],
    }


def _by_start(ride: RecordedRide) -> str:
    return ride.start.isoformat() if ride.start else "9"


def _moment(text: str) -> str:
    return text.replace("+00:00", "Z")


def _total(values: list[float | None]) -> float | None:
    told = [value for value in values if value is not None]
    return round(sum(told), 3) if told else None
