"""When the bike should be back: the earliest of its parts' forecasts and its bolt checks, and the one reason."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Self

from pinchbolt.engines.build import Build, PartOn, limits_on
from pinchbolt.records.models import Bike, DoneValue, Event, Part
from pinchbolt.values import Json
from pinchbolt.workshop.bikes.build_sheet import sheet_of_bike
from pinchbolt.workshop.bikes.fittings import fittings_of, look_up_fittings
from pinchbolt.workshop.bikes.joint_names import joint_id
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.wear.part_wear import forecast_of, wear_law


@dataclass(frozen=True, slots=True)
class CallBack:
    """Day, reason in one sentence, and the part or joint that decides."""

    day: date
    reason: str
    about: str

    @classmethod
    def from_said(cls, said: Json) -> Self:
        """Return the call-back that was kept with an event."""
        return cls(date.fromisoformat(said["day"]), said["reason"], said["about"])


@dataclass(frozen=True, slots=True)
class CallBackDue:
    """A bike whose call-back is set."""

    tag: str
    owner: str
    reach: str
    call_back: CallBack
    is_past: bool


def call_back_for(bike: Bike, now: datetime) -> CallBack | None:
    """Return when this bike should be back, or None if nothing on it gives a day."""
    today = local_day(now)
    sheet = sheet_of_bike(bike)
    look_up_fittings(sheet.parts.values())
    found = [
        back
        for on in sheet.build.parts
        for back in _from_part(on, sheet.parts[on.id], sheet.build, bike, today)
    ]
    found += _from_bolts(bike, today)
    return min(found, key=lambda back: back.day, default=None)


def _from_part(on: PartOn, part: Part, build: Build, bike: Bike, today: date) -> list[CallBack]:
    """The next check that the forecast of this part asks for: from its readings, or from the prior if we fitted it new."""
    found = []
    fitted_here = any(one.start_known for one in fittings_of(part))
    for one in limits_on(build, on):
        limit = one.row
        if limit.id not in on.read and (one.deeper or not fitted_here):
            continue
        law = wear_law(limit, bike, None)
        if law is None:
            continue
        forecast = forecast_of(part, limit, law, bike, today)
        if forecast.next_check_day is not None:
            day = max(forecast.next_check_day, today + timedelta(days=1))
            found.append(
                CallBack(
                    day,
                    f"{part}: {limit.quantity} should be read again before it passes {law.limit:g} {law.unit}.",
                    str(part),
                )
            )
    return found


def _from_bolts(bike: Bike, today: date) -> list[CallBack]:
    """Joints that were tightened are checked again after their months, or sooner where the first kilometres count."""
    found = []
    rows = DoneValue.objects.filter(job__bike=bike, event__corrected_by__isnull=True).select_related("event")
    for row in rows:
        joint = tables().joints.get(joint_id(row.joint))
        if joint is None or joint.critical != "A" or not joint.recheck:
            continue
        day = local_day(row.event.at) + timedelta(days=round(joint.recheck * 30.4))
        if day > today:
            found.append(
                CallBack(
                    day, f"{joint.name}: tightness is checked again after {joint.recheck} months.", joint.name
                )
            )
    return found


def call_backs(now: datetime) -> tuple[CallBackDue, ...]:
    """Return the newest call-back of each bike that is not here, soonest first."""
    today = local_day(now)
    newest: dict[int, Event] = {}
    for event in (
        Event.objects.filter(kind="call-back set").select_related("bike", "bike__owner").order_by("pk")
    ):
        assert event.bike_id is not None  # a call-back is always written with its bike
        newest[event.bike_id] = event
    came_back = set(
        Event.objects.filter(
            kind="checked in", pk__gt=min((e.pk for e in newest.values()), default=0)
        ).values_list("bike_id", "pk")
    )
    due = []
    for bike_id, event in newest.items():
        assert event.bike is not None
        if any(bike == bike_id and pk > event.pk for bike, pk in came_back):
            continue
        back = CallBack.from_said(event.said)
        due.append(
            CallBackDue(
                event.bike.tag, event.bike.owner.name, event.bike.owner.reach, back, back.day <= today
            )
        )
    return tuple(sorted(due, key=lambda one: one.call_back.day))
