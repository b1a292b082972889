"""The eight lines of the settings: what stands now, and who changed it last."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from pinchbolt.records.models import Event
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.describe_shop import closed_days
from pinchbolt.workshop.acts.lookups import money_of_shop, terms
from pinchbolt.workshop.acts.manage_people import people
from pinchbolt.workshop.acts.money_terms import labour_on_day, tax_on_day
from pinchbolt.workshop.acts.open_workshop import terms_told
from pinchbolt.workshop.acts.setting_changes import PAGES, PRICE_TABLES, newest_of
from pinchbolt.workshop.acts.shop_words import PLACES
from pinchbolt.workshop.common.trade_tables import tables_in_use
from pinchbolt.workshop.settings.row_views import counts

_HOLDS = {
    "shop": worded("name, address, phone, letterhead, currency, tax classes"),
    "days": worded("open days and hours, closed days, stands"),
    "people": worded("who works here, roles, who may sign off, passphrase, PIN"),
    "prices": worded("labour, operations with their minutes, shelf prices"),
    "limits": worded("when a part must go, what a joint takes, the safety list, gauges"),
    "words": worded("opening hours, warranty, storage, what stands at the foot, texts to owners"),
    "tablets": worded("who is signed in where, and ending it"),
    "safe keeping": worded("backup, what the doctor finds"),
}
_NAMES = {"limits": worded("limits and torques"), "words": worded("words on papers")}


@dataclass(frozen=True, slots=True)
class SettingsLine:
    """A line of the settings; `changed_at` None where nobody has changed anything yet."""

    page: str
    name: str
    holds: str
    now: str
    changed_at: datetime | None
    changed_by: str


def settings_lines(today: date, tablets: int, backups: Path) -> tuple[SettingsLine, ...]:
    """Return the eight lines; how many tablets are signed in and where the copies lie is the door's to say."""
    told: dict[str, Callable[[], str]] = {
        "shop": lambda: _shop(today), "days": lambda: _days(today), "people": _people, "prices": lambda: _prices(today),
        "limits": _limits, "words": _words, "safe keeping": lambda: backup_words(backups),
        "tablets": lambda: worded("{tablets} signed in", tablets=tablets),
    }  # fmt: skip
    lines = []
    for page in PAGES:
        newest = newest_of(page)
        lines.append(
            SettingsLine(
                page,
                _NAMES.get(page, page),
                _HOLDS[page],
                told[page](),
                newest.at if newest else None,
                newest.by.name if newest else "",
            )
        )
    return tuple(lines)


def newest_seen(page: str) -> int:
    """Return the newest change of a page, so that a form can say what its person saw; 0 where there is none."""
    newest = newest_of(page)
    return newest.pk if newest else 0


@dataclass(frozen=True, slots=True)
class NewestCopy:
    """The newest copy in a folder: its file's name, and when it was made."""

    name: str
    made: datetime


def newest_copy(folder: Path) -> NewestCopy | None:
    """Return the newest copy in a folder; None where there is none, or the folder can't be read."""
    return next(iter(newest_copies(folder, 1)), None)


def newest_copies(folder: Path, most: int) -> tuple[NewestCopy, ...]:
    """Return the newest copies in a folder, the newest first."""
    try:
        copies = [(path.stat().st_mtime, path.name) for path in folder.glob("bench-*.sqlite3")]
    except OSError:
        return ()
    found = sorted(copies, reverse=True)[:most]
    return tuple(NewestCopy(name, datetime.fromtimestamp(made).astimezone()) for made, name in found)


def backup_words(folder: Path) -> str:
    """Return when the last copy was made and where it lies."""
    newest, second = newest_copy(folder), terms().backup_place
    last = (
        worded("last backup {made:%d %b %Y %H:%M}", made=newest.made) if newest else worded("no backup yet")
    )
    return f"{last}, {(worded('and a second place') if second else worded('on this machine only'))}"


def _shop(today: date) -> str:
    shop, tax = terms(), tax_on_day(today)
    rate = (
        worded("tax {tax:f} %", tax=tax["standard"].normalize()) if tax else worded("not registered for tax")
    )
    letterhead = "" if shop.address or shop.phone else worded(", no address yet")
    return f"{', '.join(filter(None, (shop.name, shop.town)))}, {shop.currency}, {rate}{letterhead}"


def _days(today: date) -> str:
    told, closed = terms_told(), closed_days(today)
    days = " ".join(told.open_days) or worded("no open days set yet")
    away = (
        worded(", closed {first:%d %b} to {last:%d %b}", first=closed[0].first, last=closed[0].last)
        if closed
        else ""
    )
    return worded(
        "{days}, {stands} stand{s}{away}",
        days=days,
        stands=told.stands,
        s="s" if told.stands != 1 else "",
        away=away,
    )


def _people() -> str:
    here = people()
    without = sum(1 for one in here if not one.has_pin)
    return f"{len(here)} {('person' if len(here) == 1 else 'people')}{(worded(', {without} without PIN', without=without) if without else '')}"


def _prices(today: date) -> str:
    found = counts()
    ours = sum(found[table][1] for table in PRICE_TABLES)
    return worded(
        "labour {labour_on_day} an hour, {found} operations, {ours} rows are yours",
        labour_on_day=money_of_shop(labour_on_day(today)),
        found=found["operation"][0],
        ours=ours,
    )


def _limits() -> str:
    if tables_in_use().refused is not None:
        return worded("a file has a fault: rows that were good last are used")
    ours = sum(own for table, (_, own) in counts().items() if table not in PRICE_TABLES)
    return (
        worded(
            "as the trade tables, {ours} {are} yours",
            ours=ours,
            are=worded("is") if ours == 1 else worded("are"),
        )
        if ours
        else worded("as the trade tables")
    )


def _words() -> str:
    shop = terms()
    return worded(
        "{ours} of {count} are yours",
        ours=len([place for place in PLACES if shop.words.get(place.id)]) + bool(shop.foot_words),
        count=len(PLACES) + 1,
    )


def was_put_away() -> bool:
    """Whether the first list was put away."""
    return terms().first_list_away


def looked_at(page: str) -> bool:
    """Whether anybody changed anything of a page."""
    newest = newest_of(page)
    return newest is not None and newest.kind != "workshop opened"


def has_events(*kinds: str) -> bool:
    """Whether an act of these kinds was ever written down."""
    return Event.objects.filter(kind__in=kinds).exists()
