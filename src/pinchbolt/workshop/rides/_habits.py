"""An owner's habits: rides of which somebody told the bike, as the rides engine compares them, and a batch of rides in words."""

from collections import Counter, defaultdict
from collections.abc import Sequence

from django.utils import timezone

from pinchbolt.engines.rides import NO_HOUR, LikelyBike, RideShape, likely_bikes
from pinchbolt.records.models import Owner, Ride
from pinchbolt.values.wording import worded
from pinchbolt.workshop.rides._ride_places import places_of

# What somebody told; what was concluded never teaches.
_TOLD = ("said", "named", "moved", "name in the file")
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_OFTEN = 0.1
_STILL_M = 200.0


def shape_of(row: Ride) -> RideShape:
    """Return what tells this ride apart: its device, day, hour, length, speed and climb."""
    start = timezone.localtime(row.start)
    km = row.distance_m / 1000
    speed = row.distance_m / row.moving_s * 3.6 if row.moving_s > 0 else 0.0
    climb = row.ascent_m / km if row.ascent_m is not None and row.distance_m >= _STILL_M else None
    hour = None if NO_HOUR in row.damaged else start.hour + start.minute / 60
    return RideShape(row.device_mark, row.day.weekday(), hour, km, speed, climb, row.indoor)


def told_by(owner: Owner) -> dict[str, list[RideShape]]:
    """Return the rides of each of an owner's bikes of which somebody told that, by tag; every bike is there."""
    told: dict[str, list[RideShape]] = {
        tag: [] for tag in owner.bikes.order_by("tag").values_list("tag", flat=True)
    }
    rows = places_of(owner.pk).filter(bike__owner=owner, how__in=_TOLD).select_related("ride", "bike")
    for place in rows:
        if place.bike is not None:
            told[place.bike.tag].append(shape_of(place.ride))
    return told


def among(likely: LikelyBike, tags: Sequence[str]) -> tuple[str, float] | None:
    """Return the likeliest of these bikes and how likely it is where it must be one of them."""
    odds = [(tag, share) for tag, share in likely.odds if tag in tags]
    whole = sum(share for _, share in odds)
    return (odds[0][0], odds[0][1] / whole) if whole > 0 else None


def likely_of_batch(
    shapes: Sequence[RideShape], told: dict[str, list[RideShape]]
) -> tuple[tuple[str, float], ...]:
    """Return the bikes by how likely a batch is theirs, the likeliest first; none where nothing alike was told."""
    found = likely_bikes(shapes, told)
    if not found or sum(one.alike for one in found) < len(found):
        return ()
    shares: dict[str, float] = defaultdict(float)
    for one in found:
        for tag, share in one.odds:
            shares[tag] += share / len(found)
    return tuple(sorted(shares.items(), key=lambda one: -one[1]))


def in_words(shapes: Sequence[RideShape]) -> str:
    """Return what a batch looks like: its days, its length and its speed, in the middle."""
    many = Counter(shape.weekday for shape in shapes)
    days = [day for day in range(7) if many[day] >= max(1, _OFTEN * len(shapes))]
    runs = len(days) > 2 and days == list(range(days[0], days[-1] + 1))
    named = (
        worded("{first} to {last}", first=_DAYS[days[0]], last=_DAYS[days[-1]])
        if runs
        else ", ".join(_DAYS[day] for day in days)
    )
    km = sorted(shape.km for shape in shapes)[len(shapes) // 2]
    speeds = sorted(shape.km_an_hour for shape in shapes if shape.km_an_hour > 0)
    at = worded(" at {speeds:.0f} km/h", speeds=speeds[len(speeds) // 2]) if speeds else ""
    indoors = worded(", indoors") if all(shape.indoor for shape in shapes) else ""
    return worded("{named}, about {km:.0f} km{at}{indoors}", named=named, km=km, at=at, indoors=indoors)
