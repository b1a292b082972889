"""Which of an owner's bikes a ride was on: by the word given, by name, device, habit or time; else it is asked."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from pinchbolt.engines.rides import SURE, LikelyBike, likely_bikes
from pinchbolt.engines.rides import RecordedRide as RideRead
from pinchbolt.records.models import Bike, Job, Ride
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.state import ENDS, that_stand
from pinchbolt.workshop.rides._habits import among, shape_of, told_by
from pinchbolt.workshop.rides._ride_places import BY_HABIT, places_now

_ASKED, _DEVICE = "asked", "device"


class Chooser:
    """Chooses a bike for each ride of one owner."""

    def __init__(self, named: Bike, *, sort: bool) -> None:
        self.named, self.sort = named, sort
        self.bikes: list[Bike] = list(named.owner.bikes.order_by("tag")) if sort else [named]
        self.stays = {bike.pk: _stays_here(bike) for bike in self.bikes}
        self.devices = _devices_of(named) if sort else {}
        self.likely: dict[int, LikelyBike] = {}

    def look_at(self, rows: Sequence[Ride]) -> None:
        """Compare all rides that will be asked about with those of which this owner's bikes were told, at once."""
        if self.sort and len(self.bikes) > 1:
            found = likely_bikes([shape_of(row) for row in rows], told_by(self.named.owner))
            self.likely = {id(row): one for row, one in zip(rows, found, strict=True)}

    def choose(self, ride: RideRead, row: Ride) -> tuple[Bike | None, str, float | None]:
        """The bike, or None where it must be asked; by what it was decided; and how likely it is where it was concluded."""
        bike, how = self._told(ride, row)
        if how not in (_ASKED, _DEVICE):
            return bike, how, None
        possible = {bike.tag: bike for bike in self.bikes if not self._was_here(bike, row.start)}
        likely = among(self.likely[id(row)], list(possible)) if id(row) in self.likely else None
        if likely is None or likely[1] < SURE:
            return bike, how, None
        if bike is not None:
            # A device that went along to another bike: its habit tells, and both are not believed.
            return (bike, how, None) if bike.tag == likely[0] else (None, _ASKED, None)
        return possible[likely[0]], BY_HABIT, round(likely[1], 3)

    def _told(self, ride: RideRead, row: Ride) -> tuple[Bike | None, str]:
        """The bike by what is told of it: the word given, its name, its device, or where the others were."""
        possible = [bike for bike in self.bikes if not self._was_here(bike, row.start)]
        if not self.sort:
            return (self.named, "named") if possible else (None, worded("it was in the workshop then"))
        if ride.bike:
            meant = [bike for bike in possible if _is_called(bike, ride.bike)]
            if len(meant) == 1:
                return meant[0], "name in the file"
        seen_on = self.devices.get(row.device_mark, set()) if row.device_mark else set()
        by_device = [bike for bike in possible if bike.pk in seen_on]
        if len(by_device) == 1 and len(seen_on) == 1:
            return by_device[0], _DEVICE
        if len(possible) == 1:
            return possible[0], worded("only bike") if len(self.bikes) == 1 else worded(
                "the others were in the workshop"
            )
        return None, _ASKED

    def _was_here(self, bike: Bike, start: datetime) -> bool:
        return any(came < start and (left is None or start < left) for came, left in self.stays[bike.pk])


def _stays_here(bike: Bike) -> list[tuple[datetime, datetime | None]]:
    """When the bike was in the workshop."""
    found = []
    for job in Job.objects.filter(bike=bike).prefetch_related("events"):
        left = next((event.at for event in that_stand(job.events.all()) if event.kind in ENDS), None)
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
