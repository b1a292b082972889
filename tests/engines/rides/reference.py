"""Plain second readings of ride files: FIT by fitdecode (MIT), GPX and TCX by the standard library's tree."""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

import fitdecode

SAMPLES = Path(__file__).parent / "samples"


@dataclass(slots=True)
class Session:
    """What a reference reading says of one session or activity."""

    start: datetime
    elapsed_s: float | None
    timer_s: float | None
    distance_m: float | None
    sport: str = ""
    branch: str = ""


def fit_by_reference(path: Path) -> tuple[list[Session], list[float]]:
    """Sessions, and the device's distance at each record."""
    sessions, counts = [], []
    with fitdecode.FitReader(str(path)) as frames:
        for frame in frames:
            if frame.frame_type != fitdecode.FIT_FRAME_DATA:
                continue
            if frame.name == "session":
                told = {field.name: field.value for field in frame.fields}
                sessions.append(
                    Session(
                        told["start_time"].astimezone(UTC),
                        told.get("total_elapsed_time"),
                        told.get("total_timer_time"),
                        told.get("total_distance"),
                        str(told.get("sport")),
                        str(told.get("sub_sport")),
                    )
                )
            elif frame.name == "record" and (count := frame.get_value("distance", fallback=None)) is not None:
                counts.append(count)
    return sessions, counts


def tcx_by_tree(path: Path) -> Session:
    """Start of the first lap, times and distances of all laps added."""
    tree = ElementTree.parse(path)
    laps = tree.findall(".//{*}Lap")
    times = [datetime.fromisoformat(one.text or "") for one in tree.findall(".//{*}Trackpoint/{*}Time")]
    return Session(
        datetime.fromisoformat(laps[0].get("StartTime") or ""),
        (times[-1] - times[0]).total_seconds(),
        sum(float(lap.findtext("{*}TotalTimeSeconds") or 0) for lap in laps),
        sum(float(lap.findtext("{*}DistanceMeters") or 0) for lap in laps),
    )


def gpx_by_tree(path: Path) -> tuple[list[datetime], list[tuple[float, float]]]:
    """Times and positions of all points of the tracks."""
    points = ElementTree.parse(path).findall(".//{*}trkpt")
    times = [datetime.fromisoformat(point.findtext("{*}time") or "") for point in points]
    return times, [(float(point.get("lat") or 0), float(point.get("lon") or 0)) for point in points]
