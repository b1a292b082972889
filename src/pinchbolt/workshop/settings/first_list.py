"""The first list: eight things to set up, before the first bike or after it. None of them is a condition."""

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from pinchbolt.records.models import Bike, Event, Instrument, Tool
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.describe_shop import write_columns
from pinchbolt.workshop.acts.lookups import money_of_shop, terms
from pinchbolt.workshop.acts.manage_people import people
from pinchbolt.workshop.acts.money_terms import labour_on_day
from pinchbolt.workshop.acts.setting_changes import newest_of


@dataclass(frozen=True, slots=True)
class DoorView:
    """A door of the first list: what it is, what stands there now, and whether it is done."""

    id: str
    name: str
    now: str
    done: bool


@dataclass(frozen=True, slots=True)
class FirstList:
    """The eight doors; `no_bike` where none was ever checked in."""

    doors: tuple[DoorView, ...]
    no_bike: bool

    @property
    def done(self) -> int:
        """How many are done."""
        return sum(1 for one in self.doors if one.done)


@dataclass(frozen=True, slots=True)
class PutAwayRequest:
    """Put the first list away, or take it out again."""

    away: bool = True


def first_list(today: date, tablets: int, backups: Path) -> FirstList | None:
    """Return the first list; None where it was put away, all of it is done, or this is the invented workshop."""
    if not is_first_list_open():
        return None
    found = FirstList(_doors(today, tablets, backups), not Bike.objects.exists())
    return None if found.done == len(found.doors) else found


def is_first_list_open() -> bool:
    """Whether the first list is still to be shown, before it is asked what of it is done."""
    return not (terms().first_list_away or terms().is_demo)


def put_away(request: PutAwayRequest, *, by: int, key: str, now: datetime) -> None:
    """Put the first list away; the settings show it again."""
    with act("first list put away", by=by, key=key, now=now, request=request) as this:
        if not this.repeated:
            write_columns(this, "safe keeping", {"first_list_away": request.away}, None)


def _doors(today: date, tablets: int, backups: Path) -> tuple[DoorView, ...]:
    shop, here = terms(), people()
    names = ", ".join(one.name.split()[0] for one in here[:3])
    tools, gauges = Tool.objects.filter(in_use=True).count(), Instrument.objects.filter(in_use=True).count()
    bikes = Bike.objects.count()
    priced = newest_of("prices") is not None
    return (
        DoorView(
            "people",
            "people",
            names if len(here) > 1 else worded("{names} only: add somebody for the second look", names=names),
            len(here) > 1,
        ),
        DoorView(
            "prices",
            "prices",
            worded("labour {labour_on_day} an hour", labour_on_day=money_of_shop(labour_on_day(today))),
            priced,
        ),
        DoorView(
            "tools",
            worded("tools on the board"),
            _hang(tools, worded("torque sheets can't name one")),
            tools > 0,
        ),
        DoorView("gauges", "gauges", _hang(gauges, worded("readings are by eye")), gauges > 0),
        DoorView(
            "letterhead",
            "letterhead",
            shop.address or shop.phone or worded("address and phone on papers"),
            bool(shop.address or shop.phone),
        ),
        DoorView("tablets", "tablets", worded("{tablets} signed in", tablets=tablets), tablets > 1),
        DoorView(
            "backup",
            worded("backup place"),
            shop.backup_place or worded("choose a second place"),
            _second_copy(shop.backup_place),
        ),
        DoorView(
            "bikes",
            worded("bikes you know"),
            worded("{bikes} on record", bikes=figure_text(bikes))
            if bikes
            else worded("from a list, or one by one"),
            bikes > 0,
        ),
    )


def _hang(many: int, without: str) -> str:
    return (
        worded("{many} on the board", many=many) if many else worded("none yet: {without}", without=without)
    )


def _second_copy(place: str) -> bool:
    """Whether a copy was put at the second place."""
    rows = Event.objects.filter(kind="backup made").order_by("-pk")[:20]
    return bool(place) and any(place in row.said.get("places", ()) for row in rows)
