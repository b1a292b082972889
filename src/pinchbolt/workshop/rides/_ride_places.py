"""Whose a ride is and what it counts for now: its newest place. And how a further recording meets those of its owner."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

from pinchbolt.engines.rides import NO_HOUR, Meeting, meeting_of
from pinchbolt.engines.rides import RecordedRide as RideRead
from pinchbolt.records.models import Owner, Ride, RidePlace
from pinchbolt.values.wording import as_kept
from pinchbolt.workshop.owners.one_person import all_of

# Why a ride counts for no bike; each stays within the length of `RidePlace.how`.
NONE = as_kept("said to count for none")
SAME_RIDE = as_kept("the same ride as another")
TAKEN_BACK = as_kept("taken back")
NOT_SURE = as_kept("was it riding?")
BY_HABIT = as_kept("by habit")
SETTLED = (NONE, SAME_RIDE, TAKEN_BACK)

_ONE_DAY = timedelta(days=1)
_NOTHING_M = 200.0
_DAY_SUM, _DAY_SUM_M = 0.02, 50.0
_LONGEST_DAYS = 15


def places_now() -> QuerySet[RidePlace]:
    """What each ride counts for now: its newest place. A double has none."""
    newer = RidePlace.objects.filter(ride=OuterRef("ride"), pk__gt=OuterRef("pk"))
    return RidePlace.objects.filter(~Exists(newer))


def places_of(owner: int) -> QuerySet[RidePlace]:
    """What the rides count for that are this owner's now, by number; without those that were taken back."""
    one = all_of(owner)
    # Their rides by themselves: by a join all places that nobody was named for, which are nearly all, are gone through.
    rides = Ride.objects.filter(owner__in=one).values("pk")
    own = Q(owner__in=one) | Q(owner__isnull=True, ride__in=rides)
    return places_now().filter(own).exclude(how=TAKEN_BACK)


def as_read(row: Ride) -> RideRead:
    """Return a ride as its file told it, as far as it was kept."""
    return RideRead(
        row.start, row.elapsed_s, row.moving_s, row.distance_m, row.distance_from, damaged=tuple(row.damaged),
        device=row.device, device_serial=row.device_mark,
    )  # fmt: skip


class RidesOfOwner:
    """An owner's rides by day, so that a further recording of one of them is met; `counting`: those alone that count for a bike."""

    def __init__(self, owner: Owner, *, counting: bool = False, without: Iterable[int] = ()) -> None:
        self.by_day: dict[date, list[Ride]] = defaultdict(list)
        rows = places_of(owner.pk).exclude(ride__in=list(without))
        if counting:
            rows = rows.filter(bike__isnull=False)
        for place in rows.select_related("ride"):
            self.add(place.ride)

    def add(self, row: Ride) -> None:
        """Take one more ride in."""
        last = row.start + timedelta(seconds=row.elapsed_s)
        days = min((last.date() - row.start.date()).days, _LONGEST_DAYS)
        for number in range(days + 1):
            self.by_day[row.day + number * _ONE_DAY].append(row)

    def met_by(self, row: Ride) -> tuple[Meeting, Ride | None]:
        """How a ride meets those that are here, the surest first, and which of them."""
        found: list[tuple[Meeting, Ride]] = []
        for other in self._near(row):
            # Rows of one file are rides of their own, however alike: there and back.
            if other.digest == row.digest:
                continue
            how = _meeting(row, other)
            if how is Meeting.SAME:
                return how, other
            if how is not Meeting.APART and other.distance_m >= _NOTHING_M:
                found.append((how, other))
        if not found:
            return Meeting.APART, None
        how, other = min(found, key=lambda one: list(Meeting).index(one[0]))
        whole_day = [one for kind, one in found if kind is Meeting.SAME_DAY]
        if row.distance_m < _NOTHING_M or (_tells_day_alone(row) and _is_sum_of(row, whole_day)):
            return Meeting.SAME, other
        return how, other

    def all_met_by(self, row: Ride) -> list[Ride]:
        """Every ride here that can't be another one than this."""
        return [
            other
            for other in self._near(row)
            if other.digest != row.digest and _meeting(row, other) in (Meeting.SAME, Meeting.AT_ONCE)
        ]

    def _near(self, row: Ride) -> list[Ride]:
        last = row.start + timedelta(seconds=row.elapsed_s)
        span = min((last.date() - row.start.date()).days, _LONGEST_DAYS)
        days = [row.day + number * _ONE_DAY for number in range(-1, span + 2)]
        return list({id(one): one for day in days for one in self.by_day.get(day, ())}.values())


def _tells_day_alone(row: Ride) -> bool:
    return NO_HOUR in row.damaged


def _is_sum_of(row: Ride, others: list[Ride]) -> bool:
    """Whether a diary's row of a day is as far as that day's recordings together."""
    together = sum(one.distance_m for one in others if not _tells_day_alone(one))
    return abs(together - row.distance_m) <= max(_DAY_SUM * row.distance_m, _DAY_SUM_M)


def _meeting(one: Ride, other: Ride) -> Meeting:
    first, second = as_read(one), as_read(other)
    if _tells_day_alone(one) or _tells_day_alone(other):
        # Days are compared as they are here, not as they are in Greenwich.
        first, second = replace(first, start=_noon(one.day)), replace(second, start=_noon(other.day))
    return meeting_of(first, second)


def _noon(day: date) -> datetime:
    return datetime.combine(day, time(12), tzinfo=UTC)
