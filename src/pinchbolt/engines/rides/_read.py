"""One file, whatever its form, to its rides."""

import re
from collections.abc import Mapping
from dataclasses import replace
from hashlib import sha256

from pinchbolt.engines.rides._fit_rides import fit_rides
from pinchbolt.engines.rides._gpx import gpx_rides
from pinchbolt.engines.rides._table import is_table, table_rides
from pinchbolt.engines.rides._tcx import tcx_rides
from pinchbolt.engines.rides.rides_types import RecordedRide, RideFile
from pinchbolt.errors import InputRefused
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

MOST_BYTES = 128_000_000
"""A day of riding takes 10 MB at most; above this it is no ride file. Our assumption."""

LEAST_RIDING_M_PER_S, MOST_RIDING_M_PER_S = 7 / 3.6, 60 / 3.6
"""Slower on average while moving is walking, faster is driving. Our assumption, no source. [m/s]"""

KM_H_PER_M_S = 3.6
_TELLS_PACE_S = 300.0
_HEAD = 4096
_ROOT = re.compile(rb"<(?:[\w.-]+:)?(gpx|TrainingCenterDatabase)[\s>/]")


def read_ride_file(name: str, data: bytes, columns: Mapping[str, str] | None = None) -> RideFile:
    """Return the rides in one file: sums of each, and in words what was damaged or left out.

    The form is told by what the file holds: FIT by its header, GPX and TCX by their root, CSV by its row of names. What the
    device summed up comes first; what it did not is added up along the points. What a cut or damaged file still held is
    kept, and the damage said. Positions are used for distance and climb and then dropped.

    Args:
        name: What the file is called in sentences. [-]
        data: Its bytes. [byte]
        columns: For a CSV: our column names to those of the file. [-]

    Returns:
        Form, digest and rides. [s, m, kJ]

    Raises:
        InputRefused: It is no ride file, nothing of it can be used, it brings a document type or entities along, or a row of a
            CSV can't be read.

    Valid for: FIT (activities, chained files, compressed times), GPX 1.0 and 1.1, TCX 2, CSV of one ride a row; files up to
        128 MB. FIT times before the clock was set tell no day.

    Example:
        >>> read = read_ride_file("rides.csv", b"start,distance_km\\n2026-05-01T08:00:00Z,42.5\\n")
        >>> read.form, read.rides[0].distance_m
        ('CSV', 42500.0)

    Source: FIT protocol (header, messages, base types, checksum), GPX 1.1 schema, TrainingCenterDatabase version 2 schema;
        distance along a track by Vincenty (1975) on WGS 84.
    """
    if not data.strip(b"\0 \t\r\n"):
        raise InputRefused(worded("{name} is empty: nothing can be read. Export it again.", name=name))
    if len(data) > MOST_BYTES:
        raise InputRefused(
            worded(
                "{name} has {data} MB: a ride file has {most_bytes} MB at most. Choose the activity file.",
                name=name,
                data=figure_text(len(data) / 1000000.0, 0),
                most_bytes=figure_text(MOST_BYTES / 1000000.0, 0),
            )
        )
    form = form_of(name, data)
    if form == "FIT":
        rides = fit_rides(name, data)
    elif form == "GPX":
        rides = gpx_rides(name, data)
    elif form == "TCX":
        rides = tcx_rides(name, data)
    elif form == "CSV":
        rides = table_rides(name, data, columns or {})
    else:
        raise InputRefused(
            worded(
                "{name} is no ride file: FIT, GPX, TCX and CSV can be read. Choose another file.", name=name
            )
        )
    return RideFile(name, form, sha256(data).hexdigest(), tuple(_doubted(ride) for ride in rides))


def _doubted(ride: RecordedRide) -> RecordedRide:
    """A ride without a distance says so; one whose file tells no sport, at a pace that is none of a bike's, is asked about."""
    if ride.distance_from == "nothing" and ride.is_ride is not False:
        return ride.with_damage((worded("it tells no distance: add it by word"),))
    if ride.is_ride is not None or ride.ask or ride.moving_s < _TELLS_PACE_S or ride.distance_m <= 0:
        return ride
    pace = ride.distance_m / ride.moving_s
    if LEAST_RIDING_M_PER_S <= pace <= MOST_RIDING_M_PER_S:
        return ride
    return replace(
        ride,
        ask=worded(
            "was it riding? It tells no sport and went at {pace:.0f} km an hour", pace=pace * KM_H_PER_M_S
        ),
    )


def form_of(name: str, data: bytes) -> str:
    """FIT, GPX, TCX, CSV, or an empty word, told by the first bytes; by the name only where they tell nothing."""
    head = data[:_HEAD]
    suffix = name.lower().rpartition(".")[2]
    if head[8:12] == b".FIT":
        return "FIT"
    text = head.replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe \t\r\n")
    if text.startswith(b"<"):
        root = _ROOT.search(text)
        told = root.group(1).decode() if root else suffix
        return {"gpx": "GPX", "TrainingCenterDatabase": "TCX", "tcx": "TCX"}.get(told, "")
    if b"\0" not in head and (suffix in ("csv", "txt", "tsv") or is_table(head)):
        return "CSV"
    return "FIT" if suffix == "fit" else ""
