"""Which bike rides were on, answered or put right later; every part's use follows, as it is added up from what holds now."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, Ride, RidePlace, Trainer
from pinchbolt.workshop.acting import act
from pinchbolt.workshop.looking_up import bike_by_tag

_MOST = 10_000


@dataclass(frozen=True, slots=True)
class RidesPlaced:
    """Rides by number, and what they count for: one of their owner's bikes by tag, or nothing where `tag` is empty.

    `trainer` is the indoor trainer that took the rear wheel's place.
    """

    rides: tuple[int, ...]
    tag: str = ""
    trainer: int | None = None


def place_rides(asked: RidesPlaced, *, by: int, key: str, now: datetime) -> int:
    """Say what rides count for; returns how many.

    Raises:
        InputRefused: No rides, too many, or rides of another owner.
        NotFound: No such ride, bike or trainer.
        NotPossibleNow: A ride counts by another recording already.
    """
    with act("rides placed", by=by, key=key, now=now, asked=asked) as this:
        if not 1 <= len(asked.rides) <= _MOST:
            sentence = (
                f"{len(asked.rides):,} rides were chosen: 1 to {_MOST:,} can be placed at once. Choose some."
            )
            raise InputRefused(sentence, {"rides": sentence})
        rides = list(Ride.objects.filter(pk__in=asked.rides).order_by("pk"))
        missing = sorted(set(asked.rides) - {ride.pk for ride in rides})
        if missing:
            raise NotFound(f"There is no ride {missing[0]}. Choose from the rides of the bike's owner.")
        bike = bike_by_tag(asked.tag) if asked.tag.strip() else None
        trainer = _trainer(asked.trainer, bike)
        _refuse(rides, bike)
        if this.repeated:
            return len(rides)
        event = this.write(bike=bike or _bike_so_far(rides))
        how = "said" if bike is not None else "said to count for none"
        RidePlace.objects.bulk_create(
            [RidePlace(event=event, ride=ride, bike=bike, trainer=trainer, how=how) for ride in rides],
            batch_size=500,
        )
        return len(rides)


def _trainer(number: int | None, bike: Bike | None) -> Trainer | None:
    if number is None or bike is None:
        return None
    found = Trainer.objects.filter(pk=number).first()
    if found is None:
        raise NotFound(f"There is no indoor trainer {number}. Choose one of the list.")
    return found


def _refuse(rides: list[Ride], bike: Bike | None) -> None:
    for ride in rides:
        if bike is not None and ride.owner_id != bike.owner_id:
            sentence = f"The ride of {ride.day:%d %b %Y} is not of {bike.tag}'s owner: a ride stays with its owner. Choose one of their bikes."
            raise InputRefused(sentence, {"tag": sentence})
        if ride.double_of_id is not None:
            raise NotPossibleNow(
                f"The ride of {ride.day:%d %b %Y} is a double: another recording of it counts already. Place that one instead."
            )


def _bike_so_far(rides: list[Ride]) -> Bike | None:
    """The bike that rides counted for until now, so that its history tells of the change."""
    place = RidePlace.objects.filter(ride=rides[0]).select_related("bike").order_by("-pk").first()
    return place.bike if place else None
