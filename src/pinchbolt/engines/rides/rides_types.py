"""What a ride file says: sums of each ride, and in words what was damaged or left out. No track is kept."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from pinchbolt.values.wording import as_kept

NO_HOUR = as_kept("its start has no hour; noon was taken")
"""Said of a ride of which only the day was told."""

NO_ZONE = as_kept("its start has no time zone; UTC was taken")
"""Said of a ride whose times do not say where they are of."""


@dataclass(frozen=True, slots=True)
class RecordedRide:
    """One ride: when it started (UTC), how long, how far, how much climbing, on what.

    `moving_s` is the time that the device timed, else the time in which the bike rolled; `elapsed_s` is from start to
    stop. `distance_from` is "device" where the device gave a distance, "track" where it was added up along the
    positions, "speeds" where it is only those by their time, "nothing" where the file holds none of them. `energy_kj`
    is what the device says the rider spent, `work_kj` what went through the pedals. `indoor` and `is_ride` are None
    where the file does not tell. `damaged` says in words what was missing or broken, `ask` what must be asked before
    it counts: it may be no ride at all. `start` is None where no point has a time.
    """

    start: datetime | None
    elapsed_s: float
    moving_s: float
    distance_m: float
    distance_from: str
    ascent_m: float | None = None
    descent_m: float | None = None
    energy_kj: float | None = None
    work_kj: float | None = None
    indoor: bool | None = None
    is_ride: bool | None = None
    sport: str = ""
    ask: str = ""
    device: str = ""
    device_serial: str = ""
    bike: str = ""
    damaged: tuple[str, ...] = ()

    @property
    def end(self) -> datetime | None:
        """When it stopped."""
        return None if self.start is None else self.start + timedelta(seconds=self.elapsed_s)

    def with_damage(self, words: tuple[str, ...]) -> "RecordedRide":
        """The same ride, with more said of what was damaged."""
        return replace(self, damaged=tuple(dict.fromkeys((*self.damaged, *words)))) if words else self


@dataclass(frozen=True, slots=True)
class RideFile:
    """One file as read: its form (FIT, GPX, TCX, CSV), its rides and its SHA-256 digest."""

    name: str
    form: str
    digest: str
    rides: tuple[RecordedRide, ...]

    @property
    def damaged(self) -> tuple[str, ...]:
        """What was damaged, over all its rides."""
        return tuple(dict.fromkeys(words for ride in self.rides for words in ride.damaged))
