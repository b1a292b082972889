"""When the bike should be back: the earliest of its parts' forecasts and its bolt checks, and the one reason."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil
from typing import Self

from django.db.models import Exists, OuterRef

from pinchbolt.engines.build import Build, PartOn, clamped_by, joints_of, limits_on
from pinchbolt.records.models import Bike, DoneValue, Event, Part, RoundTick
from pinchbolt.values import Json
from pinchbolt.workshop.bikes.build_sheet import BuildSheet, sheet_of_bike
from pinchbolt.workshop.bikes.fittings import fittings_of, look_up_fittings
from pinchbolt.workshop.bikes.joint_names import joint_id
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.wear.part_wear import forecast_of, wear_law

_FORGOTTEN = timedelta(days=730)
"""Whoever was not back for two years rides elsewhere. Common practice, no source."""
_MOST_DAYS = 30
"""Whoever rides little is asked back after a month all the same: a new part settles with time as well. Common practice, no source."""


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
    found += _from_first_rides(bike, sheet, today)
    return min(found, key=lambda back: back.day, default=None)


def _from_part(on: PartOn, part: Part, build: Build, bike: Bike, today: date) -> list[CallBack]:
    """The next check that the forecast of this part asks for: from its readings, or from the prior if we fitted it new."""
    found = []
    fitted_here = any(one.start_known for one in fittings_of(part))
    for one in limits_on(build, on):
        limit = one.row
        # What the records tell needs no reading, where we fitted the part and so know its day.
        told = fitted_here and (not one.deeper or limit.instrument == "record")
        if limit.id not in on.read and not told:
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
    """Joints that were tightened and can throw the rider are checked again after their months."""
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


def _from_first_rides(bike: Bike, sheet: BuildSheet, today: date) -> list[CallBack]:
    """Joints of parts that were fitted and tightened in one stay settle in the first kilometres: they are tried once after them."""
    rows = DoneValue.objects.filter(job__bike=bike, event__corrected_by__isnull=True).select_related(
        "event", "job"
    )
    tried = RoundTick.objects.filter(bike=bike, event__corrected_by__isnull=True).values_list("joint", "day")
    there = {one.name: one for one in joints_of(sheet.build)}
    found = []
    for row in rows:
        joint, done = there.get(row.joint), local_day(row.event.at)
        if joint is None or joint.row.critical != "A" or not joint.row.first_km:
            continue
        if any(name == row.joint and day > done for name, day in tried):
            continue
        parts = (sheet.parts[part.id] for part in clamped_by(sheet.build, joint))
        arrived = local_day(row.job.opened_at)
        if not any(
            one.start_known and one.start >= arrived for part in parts for one in fittings_of(part)[-1:]
        ):
            continue
        day = done + timedelta(days=_days_for(joint.row.first_km, bike))
        if day > today:
            why = f"{joint.row.name}: a part of it is new, so it is tried again after the first {joint.row.first_km} km."
            found.append(CallBack(day, why, joint.row.name))
    return found


def _days_for(km: float, bike: Bike) -> int:
    """Days in which a bike goes so far in its usual weeks; a month at most, since nobody rides less and waits longer."""
    return min(_MOST_DAYS, ceil(7 * km / max(bike.km_a_week or 0.0, 1.0)))


def call_backs(now: datetime) -> tuple[CallBackDue, ...]:
    """Return the newest call-back of each bike that is not here, soonest first; none that was set two years ago or longer."""
    today = local_day(now)
    later = Event.objects.filter(
        bike=OuterRef("bike"), kind__in=("call-back set", "checked in"), pk__gt=OuterRef("pk")
    )
    newest = (
        Event.objects.filter(kind="call-back set", at__gte=now - _FORGOTTEN)
        .exclude(Exists(later))
        .select_related("bike__owner")
        .order_by("pk")
    )
    due = []
    for event in newest:
        assert event.bike is not None  # a call-back is always written with its bike
        back = CallBack.from_said(event.said)
        due.append(
            CallBackDue(
                event.bike.tag, event.bike.owner.name, event.bike.owner.reach, back, back.day <= today
            )
        )
    return tuple(sorted(due, key=lambda one: one.call_back.day))
