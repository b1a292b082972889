"""Which of an owner's bikes a ride was on: by the word given, by device, by name, by time; else it is asked."""

from collections import defaultdict
from datetime import datetime

from pinchbolt.engines.rides import RecordedRide as RideRead
from pinchbolt.records.models import Bike, Job, Ride
from pinchbolt.workshop.rides._ride_places import places_now


class Chooser:
    """Chooses a bike for each ride of one owner."""

    def __init__(self, named: Bike, *, sort: bool) -> None:
        self.named, self.sort = named, sort
        self.bikes: list[Bike] = list(named.owner.bikes.order_by("tag")) if sort else [named]
        self.stays = {bike.pk: _stays_here(bike) for bike in self.bikes}
        self.devices = _devices_of(named) if sort else {}

    def choose(self, ride: RideRead, row: Ride) -> tuple[Bike | None, str]:
        """The bike, or None where it must be asked, and by what it was decided."""
        possible = [bike for bike in self.bikes if not self._was_here(bike, row.start)]
        if not self.sort:
            return (self.named, "named") if possible else (None, "it was in the workshop then")
        if ride.bike:
            meant = [bike for bike in possible if _is_called(bike, ride.bike)]
            if len(meant) == 1:
                return meant[0], "name in the file"
        seen_on = self.devices.get(row.device_mark, set()) if row.device_mark else set()
        by_device = [bike for bike in possible if bike.pk in seen_on]
        if len(by_device) == 1 and len(seen_on) == 1:
            return by_device[0], "device"
        if len(possible) == 1:
            return possible[0], "only bike" if len(self.bikes) == 1 else "the others were in the workshop"
        return None, "asked"

    def _was_here(self, bike: Bike, start: datetime) -> bool:
        return any(came < start and (left is None or start < left) for came, left in self.stays[bike.pk])


def _stays_here(bike: Bike) -> list[tuple[datetime, datetime | None]]:
    """When the bike was in the workshop."""
    found = []
    for job in Job.objects.filter(bike=bike).prefetch_related("events"):
        left = next((event.at for event in job.events.all() if event.kind == "handed over"), None)
        found.append((job.opened_at, left))
    return found


def _devices_of(bike: Bike) -> dict[str, set[int]]:
    """On which of the owner's bikes each device was so far."""
    found: dict[str, set[int]] = defaultdict(set)
    rows = places_now().filter(bike__owner=bike.owner, bike__isnull=False).exclude(ride__device_mark="")
    for mark, pk in rows.values_list("ride__device_mark", "bike_id"):
        found[mark].add(pk)
    return dict(found)


def _is_called(bike: Bike, name: str) -> bool:
    """Whether a name in a file means this bike: its tag, or its words."""
    told = name.strip().casefold()
    return bool(told) and (told == bike.tag.casefold() or told == bike.words.strip().casefold())
