"""Who is in when, what each leaves to others, and the odds at which this shop promises. Acts of the settings; the newest that stands holds."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from pinchbolt.engines.day import Hands
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, Person, Role
from pinchbolt.values import JsonRead
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.describe_shop import is_closed
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.manage_people import person_named
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.open_workshop import DAYS, checked_days
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.common.trade_tables import tables

USUAL_ODDS = 80
ODDS = (50, 60, 70, 80, 90, 95)
AHEAD = 45
"""Days that are looked at."""
# Where nobody has said when the shop is open; common practice, no source.
_ANY_DAY = ("09:00", "17:30")
_LONGEST = 366


@dataclass(frozen=True, slots=True)
class HoursRequest:
    """A person's own week as Mon: (from, to), empty where it is the shop's; operations of the menu that they leave to others."""

    sign_in: str
    days: Mapping[str, Sequence[str]]
    leaves: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DaysOffRequest:
    """Days on which a person is away, first and last, and why."""

    sign_in: str
    first: date
    last: date
    words: str = ""


@dataclass(frozen=True, slots=True)
class OddsRequest:
    """The odds at which this shop promises, of 100."""

    percent: int


@dataclass(frozen=True, slots=True)
class HoursView:
    """A person's week; `is_own` where somebody said it, else it is the shop's. `off` are the days away to come."""

    sign_in: str
    name: str
    days: Mapping[str, Sequence[str]]
    is_own: bool
    leaves: tuple[str, ...]
    off: tuple["OffView", ...]


@dataclass(frozen=True, slots=True)
class OffView:
    """A time when somebody is away; `id` is that of its event."""

    id: int
    first: date
    last: date
    words: str


def set_hours(request: HoursRequest, *, by: int, key: str, now: datetime) -> None:
    """Say when a person is in, and which work they leave to others.

    Raises:
        InputRefused: A day ends before it begins, or no such operation.
        NotFound: Nobody signs in by this name.
    """
    with act("hours set", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        person = person_named(request.sign_in)
        days = checked_days(request.days) if request.days else {}
        unknown = [one for one in request.leaves if one not in tables().operations]
        if unknown:
            sentence = worded(
                '"{unknown}" is no operation of the menu. Choose from the menu.', unknown=unknown[0][:40]
            )
            raise InputRefused(sentence, {"leaves": sentence})
        was = _said_of(person.sign_in)
        said = {"days": days, "leaves": list(request.leaves)}
        name = f"{person.sign_in} hours"
        this.said = {"sign_in": person.sign_in, "was": {name: was}, "now": {name: said}, **said}
        this.write()


def be_away(request: DaysOffRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down when a person is away: no work is planned for them, and no promise counts on them.

    Raises:
        InputRefused: The last day comes before the first, lies behind, or it is longer than a year.
        NotFound: Nobody signs in by this name.
    """
    with act("person away", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        person = person_named(request.sign_in)
        today = local_day(now)
        words = short(request.words, "words", worded("The reason"), 80)
        if (
            request.last < request.first
            or request.last < today
            or (request.last - request.first).days > _LONGEST
        ):
            sentence = worded(
                "Away from {first:%d %b %Y} to {last:%d %b %Y}: the last day comes after the first, "
                "within a year.",
                first=request.first,
                last=request.last,
            )
            raise InputRefused(sentence, {"last": sentence})
        said = {"first": request.first.isoformat(), "last": request.last.isoformat(), "words": words}
        name = f"{person.sign_in} away {request.first}"
        this.said = {"sign_in": person.sign_in, "was": {name: None}, "now": {name: said}, **said}
        this.write()


def set_odds(request: OddsRequest, *, by: int, key: str, now: datetime) -> None:
    """Say at which odds this shop promises.

    Raises:
        InputRefused: None of those that can be chosen.
    """
    with act("promise odds set", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        if request.percent not in ODDS:
            told = ", ".join(map(str, ODDS))
            sentence = worded(
                "Odds of {percent} cannot be chosen: choose one of {told}.",
                percent=request.percent,
                told=told,
            )
            raise InputRefused(sentence, {"percent": sentence})
        name = worded("promised at, of 100")
        this.said = {
            "was": {name: promise_percent()},
            "now": {name: request.percent},
            "percent": request.percent,
        }
        this.write()


@once_a_look
def promise_percent() -> int:
    """Return the odds at which this shop promises, of 100."""
    newest = _standing("promise odds set").last()
    return USUAL_ODDS if newest is None else int(newest.said["percent"])


def hours_told(today: date) -> tuple[HoursView, ...]:
    """Return everybody who works at bikes, with their week."""
    weeks, off = _weeks(), _off(today)
    found = []
    for person in _hands_here():
        said = weeks.get(person.sign_in, {})
        days = said.get("days") or {}
        found.append(
            HoursView(
                person.sign_in,
                person.name,
                {day: days[day] for day in DAYS if day in days} or shop_week(),
                bool(days),
                tuple(said.get("leaves", ())),
                off.get(person.sign_in, ()),
            )
        )
    return tuple(found)


def hands_ahead(today: date) -> tuple[Hands, ...]:
    """Return who is in on each of the days ahead, in minutes of the day; a closed day has nobody."""
    found = []
    for one in hours_told(today):
        days: list[tuple[float, float] | None] = []
        for ahead in range(AHEAD):
            day = today + timedelta(days=ahead)
            told = one.days.get(DAYS[day.weekday()])
            away = any(off.first <= day <= off.last for off in one.off)
            days.append(
                None
                if told is None or away or is_closed(day, today)
                else (minutes_of(told[0]), minutes_of(told[1]))
            )
        found.append(Hands(one.name, days, frozenset(one.leaves)))
    return tuple(found)


def shop_week() -> Mapping[str, Sequence[str]]:
    """Return the shop's open days; every day where nobody said which."""
    told = terms().open_days
    return {day: told[day] for day in DAYS if day in told} or dict.fromkeys(DAYS, _ANY_DAY)


def minutes_of(clock: str) -> float:
    """Return a time of the week such as 17:30 as minutes of its day."""
    hour, _, minute = clock.partition(":")
    return 60.0 * int(hour) + int(minute or 0)


@once_a_look
def _hands_here() -> tuple[Person, ...]:
    return tuple(Person.objects.filter(is_active=True).exclude(role=Role.COUNTER).order_by("name"))


def _standing(kind: str) -> QuerySet[Event]:
    return Event.objects.filter(kind=kind, corrected_by__isnull=True).order_by("pk")


@once_a_look
def _weeks() -> Mapping[str, JsonRead]:
    return {str(event.said["sign_in"]): event.said for event in _standing("hours set")}


def _said_of(sign_in: str) -> object:
    said = _weeks().get(sign_in)
    return None if said is None else {"days": said["days"], "leaves": said["leaves"]}


@once_a_look
def _off(today: date) -> Mapping[str, tuple[OffView, ...]]:
    found: dict[str, tuple[OffView, ...]] = {}
    for event in _standing("person away"):
        said = event.said
        one = OffView(
            event.pk, date.fromisoformat(said["first"]), date.fromisoformat(said["last"]), said["words"]
        )
        if one.last >= today:
            found[said["sign_in"]] = (*found.get(said["sign_in"], ()), one)
    return found
