"""Rides of the invented owners, as their devices would have told them: every third day, short, usual and long in turn."""

from datetime import UTC, date, datetime, time, timedelta
from hashlib import sha256

from pinchbolt.engines.rides import RecordedRide, RideFile
from pinchbolt.workshop.rides.ride_files import FileRead

_APART = 3
_LENGTHS = (0.7, 1.0, 1.3)
_M_PER_S = 6.7
_UP_PER_KM = 9.0


def rides_between(tag: str, start: date, end: date, km: float) -> list[FileRead]:
    """Return rides on the days after *start* up to and with *end* that add up to *km*, the last one the ride to the shop."""
    days = sorted({start + timedelta(days=1), end, *_every(start, end)} - {start})
    shares = [_LENGTHS[number % len(_LENGTHS)] for number in range(len(days))]
    return [
        _file(tag, day, km * share / sum(shares))
        for day, share in zip(days, shares, strict=True)
        if start < day <= end
    ]


def _every(start: date, end: date) -> list[date]:
    return [start + timedelta(days=number) for number in range(1, (end - start).days, _APART)]


def _file(tag: str, day: date, km: float) -> FileRead:
    seconds = round(km * 1000 / _M_PER_S)
    ride = RecordedRide(
        start=datetime.combine(day, time(5, 10), tzinfo=UTC),
        elapsed_s=seconds * 1.1,
        moving_s=float(seconds),
        distance_m=km * 1000,
        distance_from="device",
        ascent_m=round(km * _UP_PER_KM),
        is_ride=True,
        sport="cycling",
        device="handlebar computer",
        device_serial=tag,
    )
    name = f"{day}.fit"
    return FileRead(name, RideFile(name, "FIT", sha256(f"{tag} {day}".encode()).hexdigest(), (ride,)))
