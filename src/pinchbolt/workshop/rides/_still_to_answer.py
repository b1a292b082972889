"""An owner's rides that count for nothing until somebody answers, gathered so that few questions settle many of them."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from pinchbolt.engines.rides import RideShape, batches_alike
from pinchbolt.records.models import Bike, RidePlace
from pinchbolt.values.wording import worded
from pinchbolt.workshop.rides._habits import in_words, likely_of_batch, shape_of, told_by
from pinchbolt.workshop.rides._ride_places import NOT_SURE, SETTLED, places_of
from pinchbolt.workshop.rides.ride_report import at_once_words, device_words


@dataclass(frozen=True, slots=True)
class DeviceRequest:
    """Rides of one device and one habit that count for nothing until somebody answers: which bike, whether it was riding, or
    whether it was one ride with those at the same time, each then said in `beside`.

    `likely` are the owner's bikes by how likely they were on one of them, by rides alike of which somebody told it; empty: nothing
    alike was told.
    """

    device: str
    rides: tuple[int, ...]
    first: date
    last: date
    km: float
    why: str
    question: str = "which bike"
    beside: tuple[str, ...] = ()
    pattern: str = ""
    likely: tuple[tuple[str, float], ...] = ()


def still_to_answer(bike: Bike) -> tuple[DeviceRequest, ...]:
    """Return the rides of a bike's owner that wait for an answer, gathered by device, reason and habit."""
    rows = (
        places_of(bike.owner_id)
        .filter(bike__isnull=True)
        .exclude(how__in=SETTLED)
        .select_related("ride", "beside")
        .order_by("ride__start")
    )
    found: dict[tuple[str, str, str], list[RidePlace]] = defaultdict(list)
    for place in rows:
        why = f"{NOT_SURE} {place.ride.sport or ''}".strip() if place.how == NOT_SURE else place.how
        found[place.ride.device_mark, place.ride.device, why].append(place)
    told = told_by(bike.owner) if any(why == "asked" for *_, why in found) else {}
    asked: list[DeviceRequest] = []
    for (_, device, why), places in found.items():
        shapes = [shape_of(place.ride) for place in places]
        batches = batches_alike(shapes) if why == "asked" else (tuple(range(len(places))),)
        asked += [
            _request([places[one] for one in batch], [shapes[one] for one in batch], device, why, told)
            for batch in batches
        ]
    return tuple(asked)


def _request(
    places: list[RidePlace],
    shapes: list[RideShape],
    device: str,
    why: str,
    told: dict[str, list[RideShape]],
) -> DeviceRequest:
    return DeviceRequest(
        device_words(device),
        tuple(place.ride_id for place in places),
        places[0].ride.day,
        places[-1].ride.day,
        sum(place.ride.distance_m for place in places) / 1000,
        worded("several bikes are possible") if why == "asked" else why,
        _question(places[0]),
        tuple(at_once_words(one.ride, one.how, one.beside) for one in places if one.beside is not None),
        in_words(shapes),
        likely_of_batch(shapes, told) if told else (),
    )


def _question(place: RidePlace) -> str:
    if place.beside is not None:
        return "one ride"
    return "riding" if place.how == NOT_SURE else "which bike"
