"""Which bike rides were on, and whose they are, answered or put right later; every part's use follows, as it is added up from
what holds now. One person rides one bike at a time: of two rides at the same time one counts."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.rides import Meeting
from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, Event, Owner, Ride, RidePlace, Trainer
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.owners.one_person import stands_for
from pinchbolt.workshop.rides._ride_places import NONE, SAME_RIDE, TAKEN_BACK, RidesOfOwner, places_now
from pinchbolt.workshop.rides.take_in_rides import trainer_by_number, whose

_MOST = 10_000


@dataclass(frozen=True, slots=True)
class PlaceRidesRequest:
    """Rides by number, and what they count for: one of their owner's bikes by tag, or nothing where `tag` is empty.

    `trainer` is the indoor trainer that took the rear wheel's place. With `instead`, rides at the same time that counted so far
    count no longer: it was one ride, and these tell it better. With `moved`, they are rides of this bike's owner from now on,
    whoever they came in for.
    """

    rides: tuple[int, ...]
    tag: str = ""
    trainer: int | None = None
    instead: bool = False
    moved: bool = False


@dataclass(frozen=True, slots=True)
class TakeRidesBackRequest:
    """Rides by number that should not have come in; or, by number of any ride of it, all rides of one import."""

    rides: tuple[int, ...]
    whole_import: bool = False


def place_rides(request: PlaceRidesRequest, *, by: int, key: str, now: datetime) -> int:
    """Say what rides count for; returns how many.

    Raises:
        InputRefused: No rides, too many, or rides of another owner.
        NotFound: No such ride, bike or trainer.
        NotPossibleNow: A ride counts by another recording already.
    """
    kind = "rides moved" if request.moved else "rides placed"
    with act(kind, by=by, key=key, now=now, request=request) as this:
        rides, places = _chosen(request.rides)
        bike = bike_by_tag(request.tag) if request.tag.strip() else None
        trainer = trainer_by_number(request.trainer) if bike is not None else None
        if request.moved and bike is None:
            sentence = worded("Whose rides they are is told by a bike of theirs: choose its tag.")
            raise InputRefused(sentence, {"tag": sentence})
        if this.repeated:
            return len(rides)
        so_far = next((place.bike for place in places.values() if place.bike is not None), None)
        if bike is None:
            _refuse_doubles(rides, places)
            _write(this.write(bike=so_far), rides, places, None, None, NONE)
        elif request.moved:
            event = this.write(bike=bike)
            _move(event, rides, bike, trainer)
            if so_far is not None and so_far != bike:
                # The history of the bike that lost them tells of it too.
                this.also(kind, "from", bike=so_far, said=this.said)
        else:
            _refuse_others(rides, places, bike)
            if not request.instead:
                _refuse_doubles(rides, places)
            others = _others_at_once(rides, bike.owner, instead=request.instead)
            if request.instead:
                others |= _asked_beside(rides, places)
            event = this.write(bike=bike)
            _write(event, rides, places, bike, trainer, "said")
            _no_longer(event, others)
        return len(rides)


def take_back_rides(request: TakeRidesBackRequest, *, by: int, key: str, now: datetime) -> int:
    """Take rides back that should not have come in; returns how many. Their files may come in again, for anybody.

    Raises:
        InputRefused: No rides, or too many.
        NotFound: No such ride.
    """
    with act("rides taken back", by=by, key=key, now=now, request=request) as this:
        rides, places = _chosen(request.rides)
        if request.whole_import:
            events = {ride.event_id for ride in rides}
            rides = list(
                Ride.objects.filter(event__in=events, places__isnull=False).distinct().order_by("pk")
            )
            places = _places(rides)
        if this.repeated:
            return len(rides)
        bike = next((place.bike for place in places.values() if place.bike is not None), None)
        _write(this.write(bike=bike), rides, places, None, None, TAKEN_BACK)
        return len(rides)


def _chosen(numbers: tuple[int, ...]) -> tuple[list[Ride], dict[int, RidePlace]]:
    """Rides by number, and what each counts for so far."""
    if not 1 <= len(numbers) <= _MOST:
        sentence = worded(
            "{numbers} rides were chosen: 1 to {most} can be placed at once. Choose some.",
            numbers=figure_text(len(numbers)),
            most=figure_text(_MOST),
        )
        raise InputRefused(sentence, {"rides": sentence})
    rides = list(Ride.objects.filter(pk__in=numbers).select_related("owner").order_by("pk"))
    missing = sorted(set(numbers) - {ride.pk for ride in rides})
    if missing:
        raise NotFound(
            worded(
                "There is no ride {missing}. Choose from the rides of the bike's owner.", missing=missing[0]
            )
        )
    return rides, _places(rides)


def _places(rides: list[Ride]) -> dict[int, RidePlace]:
    found = places_now().filter(ride__in=rides).select_related("owner", "ride__owner", "bike")
    return {place.ride_id: place for place in found}


def _refuse_others(rides: list[Ride], places: dict[int, RidePlace], bike: Bike) -> None:
    for ride in rides:
        place = places.get(ride.pk)
        owner = whose(place) if place is not None else stands_for(ride.owner)
        if owner.pk != bike.owner_id:
            sentence = worded(
                "The ride of {day:%d %b %Y} is not of {tag}'s owner: choose one of its owner's "
                "bikes, or move it to another person and say so.",
                day=ride.day,
                tag=bike.tag,
            )
            raise InputRefused(sentence, {"tag": sentence})


def _refuse_doubles(rides: list[Ride], places: dict[int, RidePlace]) -> None:
    for ride in rides:
        if ride.pk not in places:
            raise NotPossibleNow(
                worded(
                    "The ride of {day:%d %b %Y} is a double: another recording of it counts already. "
                    "Place that one instead.",
                    day=ride.day,
                )
            )


def _others_at_once(rides: list[Ride], owner: Owner, *, instead: bool) -> dict[int, tuple[Ride, Ride]]:
    """Rides that count and were at the same time as one of these, each with that one; refused unless these count instead."""
    counting = RidesOfOwner(owner, counting=True, without=[ride.pk for ride in rides])
    found: dict[int, tuple[Ride, Ride]] = {}
    for ride in rides:
        for other in counting.all_met_by(ride):
            if not instead or any(other is one for one in rides):
                raise NotPossibleNow(
                    worded(
                        "The ride of {day:%d %b %Y} was at the same time as another that counts, of "
                        "{distance_m} km: one person rides one bike at a time. Count it instead of that one, "
                        "or move it to whoever rode it.",
                        day=ride.day,
                        distance_m=figure_text(other.distance_m / 1000, 1),
                    )
                )
            found[other.pk] = (other, ride)
        counting.add(ride)
    return found


def _asked_beside(rides: list[Ride], places: dict[int, RidePlace]) -> dict[int, tuple[Ride, Ride]]:
    """The rides beside which these were asked about, each with this one, where they count."""
    by_beside = {
        places[ride.pk].beside_id: ride for ride in rides if ride.pk in places and places[ride.pk].beside_id
    }
    chosen = {ride.pk for ride in rides}
    counting = places_now().filter(ride__in=list(by_beside), bike__isnull=False).exclude(ride__in=chosen)
    return {
        place.ride_id: (place.ride, by_beside[place.ride_id]) for place in counting.select_related("ride")
    }


def _no_longer(event: Event, others: dict[int, tuple[Ride, Ride]]) -> None:
    """Rides that another recording takes the place of."""
    RidePlace.objects.bulk_create(
        [
            RidePlace(event=event, ride=other, owner=event.bike.owner, how=SAME_RIDE, beside=ride)
            for other, ride in others.values()
            if event.bike is not None
        ]
    )


def _write(
    event: Event,
    rides: list[Ride],
    places: dict[int, RidePlace],
    bike: Bike | None,
    trainer: Trainer | None,
    how: str,
) -> None:
    owners = {ride.pk: places[ride.pk].owner if ride.pk in places else None for ride in rides}
    RidePlace.objects.bulk_create(
        [
            RidePlace(event=event, ride=ride, bike=bike, trainer=trainer, how=how, owner=owners[ride.pk])
            for ride in rides
        ],
        batch_size=500,
    )


def _move(event: Event, rides: list[Ride], bike: Bike, trainer: Trainer | None) -> None:
    """Rides are another person's from now on; where they meet that person's own, one counts and the other is asked about."""
    here = RidesOfOwner(bike.owner, without=[ride.pk for ride in rides])
    rows = []
    for ride in rides:
        met, other = here.met_by(ride)
        how = {Meeting.APART: "moved", Meeting.SAME: SAME_RIDE}.get(met, met.value)
        there = bike if met is Meeting.APART else None
        on = trainer if there and ride.indoor else None
        rows.append(
            RidePlace(event=event, ride=ride, bike=there, trainer=on, how=how, owner=bike.owner, beside=other)
        )
        if met is not Meeting.SAME:
            here.add(ride)
    RidePlace.objects.bulk_create(rows, batch_size=500)
