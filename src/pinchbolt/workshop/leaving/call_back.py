"""When the bike should be back: the earliest of its parts' forecasts and its bolt checks, and the one reason."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from math import ceil
from typing import NamedTuple, Self

from django.db.models import QuerySet

from pinchbolt.engines.build import Build, JointOn, PartOn, clamped_by, joints_of, limits_on
from pinchbolt.records.models import Bike, BikeCallBack, DoneValue, Event, Job, Part, RoundTick
from pinchbolt.records.prepared import prepared
from pinchbolt.values import Json
from pinchbolt.values.about import unit_words
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import as_kept, worded
from pinchbolt.workshop.acts.one_look import once_a_look, one_look
from pinchbolt.workshop.bikes.build_sheet import BuildSheet, sheet_of_bike
from pinchbolt.workshop.bikes.fittings import fittings_of
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.leaving.back_said import BackSaid, said_of
from pinchbolt.workshop.stays.next_visit import visit_ahead
from pinchbolt.workshop.stays.rest import rest_of
from pinchbolt.workshop.tools.tool_board import months_on
from pinchbolt.workshop.wear.part_wear import forecast_of, look_up_pasts, wear_law

_FORGOTTEN = timedelta(days=730)
"""Whoever was not back for two years rides elsewhere. Common practice, no source."""
_MOST_DAYS = 30
"""Whoever rides little is asked back after a month all the same: a new part settles with time as well. Common practice, no source."""

# What a call-back is about that its owner agreed to.
_REST, _VISIT = as_kept("the rest of the work"), as_kept("the next visit")


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
    bike: int = 0
    owner_id: int = 0
    said: BackSaid | None = None


MOST_CALL_BACKS = 40
"""Before today, and as many ahead: more than that nobody rings in a day; the list by weeks has the others. Own choice."""
_LOOKED_THROUGH = 3 * MOST_CALL_BACKS


def back_of(job: Job, now: datetime) -> CallBack | None:
    """Return when the bike of a job should be back: for the rest of the work, or for what is read next, whichever comes first."""
    rest, read = rest_of(job), call_back_for(job.bike, now)
    if rest is None or (read is not None and read.day < rest.day):
        return read
    return CallBack(rest.day, worded("The rest of the work: {in_words}.", in_words=rest.in_words), _REST)


def call_back_for(bike: Bike, now: datetime) -> CallBack | None:
    """Return when this bike should be back, or None if nothing on it gives a day and none was agreed."""
    today = local_day(now)
    sheet = sheet_of_bike(bike)
    look_up_pasts(sheet.parts.values(), bike)
    found = [
        back
        for on in sheet.build.parts
        for back in _from_part(on, sheet.parts[on.id], sheet.build, bike, today)
    ]
    tightened = _tightened(bike, sheet, today)
    found += _from_bolts(tightened, today)
    found += _from_first_rides(tightened, bike, sheet, today)
    soonest = min(found, key=lambda back: back.day, default=None)
    agreed = visit_ahead(bike, today)
    if agreed is None or (soonest is not None and soonest.day == agreed):
        return soonest
    if soonest is None or agreed < soonest.day:
        return CallBack(agreed, worded("The day that was agreed."), _VISIT)
    return replace(
        soonest,
        reason=worded(
            "{reason} The visit agreed for {agreed:%d %b %Y} is too late for it.",
            reason=soonest.reason,
            agreed=agreed,
        ),
    )


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
                    worded(
                        "{big}: check it before it reaches its limit of {limit} {unit}.",
                        big=_big(str(part)),
                        limit=figure_text(Decimal(f"{law.limit:g}")),
                        unit=unit_words(law.unit),
                    ),
                    str(part),
                )
            )
    return found


@dataclass(frozen=True, slots=True)
class _Tightened:
    """A joint that can throw the rider: its last done value, the day it was tried last, and the day it could ride away."""

    joint: JointOn
    value: DoneValue
    done: date
    tried: date
    rode: date


def _tightened(bike: Bike, sheet: BuildSheet, today: date) -> list[_Tightened]:
    """The last done value of each such joint that the bike has now; an older one of the same joint says nothing more."""
    newest = {row.joint: row for row in _done_on(bike.pk)}
    ticks = _ticks_of(bike.pk)
    left = {job: local_day(at) for job, at in _handed_over(bike.pk)}
    found = []
    for joint in joints_of(sheet.build):
        row = newest.get(joint.name)
        if row is None or joint.row.critical != "A":
            continue
        done = local_day(row.event.at)
        tried = max((day for name, day in ticks if name == joint.name and day > done), default=done)
        # What waits here for its parts or its owner rides nowhere meanwhile.
        found.append(_Tightened(joint, row, done, tried, left.get(row.job_id, today)))
    return found


@prepared
def _done_on(bike: int) -> QuerySet[DoneValue]:
    rows = DoneValue.objects.filter(job__bike=bike, event__corrected_by__isnull=True)
    return rows.select_related("event", "job").order_by("event__at", "pk")


@prepared
def _ticks_of(bike: int) -> QuerySet[RoundTick, tuple[str, date]]:
    rows = RoundTick.objects.filter(bike=bike, event__corrected_by__isnull=True)
    return rows.values_list("joint", "day")


@prepared
def _handed_over(bike: int) -> QuerySet[Event, tuple[int, datetime]]:
    return Event.objects.filter(job__bike=bike, kind="handed over").values_list("job_id", "at")


def _from_bolts(tightened: Iterable[_Tightened], today: date) -> list[CallBack]:
    """Joints that were tightened and can throw the rider are checked again after their months."""
    found = []
    for one in tightened:
        row = one.joint.row
        if not row.recheck:
            continue
        day = months_on(one.tried, row.recheck)
        why = worded(
            "{big}: check that it is still tight (every {recheck}).",
            big=_big(row.name),
            recheck=worded("{recheck} months", recheck=row.recheck) if row.recheck > 1 else worded("month"),
        )
        if day <= today:
            day, why = (
                today + timedelta(days=_MOST_DAYS),
                worded("{why} They were over on {day:%d %b %Y}.", why=why, day=day),
            )
        found.append(CallBack(day, why, row.name))
    return found


def _from_first_rides(
    tightened: Iterable[_Tightened], bike: Bike, sheet: BuildSheet, today: date
) -> list[CallBack]:
    """Joints of parts that were fitted and tightened in one stay settle in the first kilometres: they are tried once after them."""
    found = []
    for one in tightened:
        row = one.joint.row
        if not row.first_km or one.tried > one.done:
            continue
        parts = (sheet.parts[part.id] for part in clamped_by(sheet.build, one.joint))
        arrived = local_day(one.value.job.opened_at)
        if not any(
            fitted.start_known and fitted.start >= arrived
            for part in parts
            for fitted in fittings_of(part)[-1:]
        ):
            continue
        day = one.rode + timedelta(days=_days_for(row.first_km, bike))
        why = worded(
            "{big}: try it again after the first {first_km} km, since a part of it is new.",
            big=_big(row.name),
            first_km=row.first_km,
        )
        if day <= today:
            day, why = (
                today + timedelta(days=1),
                worded("{why} Nobody has written down that it was.", why=why),
            )
        found.append(CallBack(day, why, row.name))
    return found


def _big(words: str) -> str:
    return words[:1].upper() + words[1:]


def _days_for(km: float, bike: Bike) -> int:
    """Days in which a bike goes so far in its usual weeks; a month at most, since nobody rides less and waits longer."""
    return min(_MOST_DAYS, ceil(7 * km / max(bike.km_a_week or 0.0, 1.0)))


@one_look()
def call_backs(now: datetime, within: timedelta | None = None) -> tuple[CallBackDue, ...]:
    """Return whom to call back, soonest first; none that was set two years ago or longer.

    Whoever was asked and may still answer, booked a day, does not want to or has sold the bike is not among them. With *within*
    those alone that are due by then, and of those before today the latest: a shop of fifty thousand bikes has thousands.
    """
    today = local_day(now)
    found = all_call_backs(now) if within is None else _nearest(now, within)
    told = [one for one in found if one.said is None or one.said.off_until(today) is None]
    if within is None:
        return tuple(told)
    past, ahead = [one for one in told if one.is_past], [one for one in told if not one.is_past]
    return (*past[-MOST_CALL_BACKS:], *ahead[:MOST_CALL_BACKS])


@once_a_look
def all_call_backs(now: datetime) -> tuple[CallBackDue, ...]:
    """Return the newest call-back of each bike that is not here, with what was said of it, soonest first."""
    return _due(_rows(now).order_by("day", "event_id"), today=local_day(now))


def call_backs_of(bikes: Collection[int], now: datetime) -> tuple[CallBackDue, ...]:
    """Return the newest call-back of each of these bikes that is not here, with what was said of it, soonest first."""
    return _due(_rows(now).filter(bike__in=bikes).order_by("day", "event_id"), today=local_day(now))


def _nearest(now: datetime, within: timedelta) -> tuple[CallBackDue, ...]:
    today = local_day(now)
    past = _rows(now).filter(day__lte=today).order_by("-day", "-event_id")
    ahead = _rows(now).filter(day__gt=today, day__lte=today + within).order_by("day", "event_id")
    found = _due(past[:_LOOKED_THROUGH], ahead[:_LOOKED_THROUGH], today=today)
    past_ones = sum(1 for one in found if one.is_past)
    return (*reversed(found[:past_ones]), *found[past_ones:])


class _Row(NamedTuple):
    """What a line of a call-back is made of; a shop looks through many for the few that it shows."""

    bike: int
    event: int
    day: date
    tag: str
    owner: int
    name: str
    reach: str
    said: dict[str, object]
    agreed_with: int | None


_ROW = (
    "bike_id", "event_id", "day", "bike__tag", "bike__owner_id", "bike__owner__name", "bike__owner__reach", "event__said",
    "event__job__owner_id",
)  # fmt: skip


def _rows(now: datetime) -> QuerySet[BikeCallBack]:
    return BikeCallBack.objects.filter(at__gte=now - _FORGOTTEN)


def _as_set(row: _Row) -> CallBack:
    """The call-back; of one that rests on an agreement, whether that was somebody else's who had the bike before."""
    back = CallBack.from_said(row.said)
    if back.about not in (_REST, _VISIT) or row.agreed_with is None:
        return back
    return replace(
        back, reason=worded("{reason} Agreed with whoever had the bike before.", reason=back.reason)
    )


def _due(*asked: QuerySet[BikeCallBack], today: date) -> tuple[CallBackDue, ...]:
    found = [_Row(*row) for rows in asked for row in rows.values_list(*_ROW)]
    said = said_of({row.bike: row.event for row in found}) if found else {}
    return tuple(
        CallBackDue(
            row.tag,
            row.name,
            row.reach,
            _as_set(row),
            row.day <= today,
            row.bike,
            row.owner,
            said.get(row.bike),
        )
        for row in found
    )
