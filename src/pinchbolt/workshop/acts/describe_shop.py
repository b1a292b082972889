"""The workshop's own words and days, changed: each change with what stood there before. It counts from now on."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db.models import QuerySet

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Workshop
from pinchbolt.records.prepared import prepared
from pinchbolt.values.money import is_currency_code
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.money_terms import BillTermsRequest, checked_bill_terms
from pinchbolt.workshop.acts.on_stands import on_stands
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.open_workshop import OTHER, STANDS_MOST, checked_days
from pinchbolt.workshop.acts.setting_changes import refuse_unseen, what_changed
from pinchbolt.workshop.common.checks import local_day, number, short
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables

_LONGEST_CLOSED = 366
_AHEAD = 800
SCHOOLS = ("early", "late")


@dataclass(frozen=True, slots=True)
class ShopRequest:
    """What changes of the workshop's name and letterhead; None leaves a field as it is. `seen`: the newest change that was seen."""

    name: str | None = None
    town: str | None = None
    country: str | None = None
    currency: str | None = None
    mail: str | None = None
    papers: BillTermsRequest = field(default_factory=BillTermsRequest)
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class DaysRequest:
    """Open days as Mon: (from, to), and how many stands there are."""

    open_days: Mapping[str, Sequence[str]]
    stands: int
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class ClosedRequest:
    """Days on which the workshop is closed, first and last, and why."""

    first: date
    last: date
    words: str = ""


@dataclass(frozen=True, slots=True)
class SchoolRequest:
    """When a chain is changed: early, so that the cassette lasts, or late, both together."""

    school: str
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class ClosedView:
    """A time when the workshop is closed; `id` is that of its event."""

    id: int
    first: date
    last: date
    words: str


def describe_shop(request: ShopRequest, *, by: int, key: str, now: datetime) -> None:
    """Change name, place, currency and letterhead.

    Raises:
        InputRefused: A field is wrong.
        NotPossibleNow: Another currency, when prices were told in the old one; or somebody changed the field meanwhile.
    """
    with act("workshop described", by=by, key=key, now=now, request=request) as this:
        if not this.repeated:
            asked = _named(request) | checked_bill_terms(request.papers)
            told = {name: value for name, value in asked.items() if value is not None}
            if told.get("currency", terms().currency) != terms().currency and _was_priced():
                sentence = worded(
                    "Prices were told in {currency} already: they stay so. Open a new workshop for {told}.",
                    currency=terms().currency,
                    told=told["currency"],
                )
                raise NotPossibleNow(sentence, {"currency": sentence})
            write_columns(this, "shop", told, request.seen)


def set_days(request: DaysRequest, *, by: int, key: str, now: datetime) -> None:
    """Change open days and stands; a stand with a bike on it is not taken away.

    Raises:
        InputRefused: A day closes before it opens, or no day is open.
        NotPossibleNow: Somebody changed them meanwhile.
    """
    with act("days set", by=by, key=key, now=now, request=request) as this:
        if not this.repeated:
            stands = int(
                number(request.stands, "stands", worded("The number of stands"), 1, STANDS_MOST, "stands")
            )
            for one in on_stands():
                if one.stand > stands:
                    _refuse(
                        "stands",
                        worded(
                            "{tag} is on stand {stand}: move it first, then take the stand away.",
                            tag=one.tag,
                            stand=one.stand,
                        ),
                    )
            told = {"open_days": checked_days(request.open_days), "stands": stands}
            write_columns(this, "days", told, request.seen)


def close_days(request: ClosedRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down when the workshop is closed: no day of it is offered for a promise.

    Raises:
        InputRefused: The last day comes before the first, or the time lies behind or is longer than a year.
    """
    with act("day closed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        today = local_day(now)
        words = short(request.words, "words", worded("The reason"), 80)
        if request.last < request.first:
            _refuse("last", worded("The last day comes before the first one: swap them."))
        if request.last < today:
            _refuse(
                "last",
                worded(
                    "The last day is {last:%d %b %Y}: it lies behind. Choose a day to come.",
                    last=request.last,
                ),
            )
        if (request.last - request.first).days > _LONGEST_CLOSED or (request.last - today).days > _AHEAD:
            _refuse(
                "last",
                worded(
                    "Closed until {last:%d %b %Y} is longer than a year: correct the last day.",
                    last=request.last,
                ),
            )
        said = {"first": request.first.isoformat(), "last": request.last.isoformat(), "words": words}
        this.said = {
            "was": {f"closed {request.first}": None},
            "now": {f"closed {request.first}": said},
            **said,
        }
        this.write()


def set_school(request: SchoolRequest, *, by: int, key: str, now: datetime) -> None:
    """Say when this workshop changes a chain, where the bike's owner has not said otherwise.

    Raises:
        InputRefused: Neither early nor late.
    """
    with act("change point set", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        if request.school not in SCHOOLS:
            _refuse(
                "school",
                worded(
                    '"{school}" is no way of changing chains: {schools}. Choose one.',
                    school=request.school[:20],
                    schools=", ".join(SCHOOLS),
                ),
            )
        write_columns(this, "limits", {"chain_school": request.school}, request.seen)


@once_a_look
def closed_days(today: date) -> tuple[ClosedView, ...]:
    """Return when the workshop is closed from a day on, in order."""
    found = (one for one in _all_closed() if one.last >= today)
    return tuple(sorted(found, key=lambda one: (one.first, one.id)))


def closed_spans() -> tuple[tuple[date, date], ...]:
    """Return every time when the workshop was or will be closed, first and last day."""
    return tuple((one.first, one.last) for one in _all_closed())


@once_a_look
def _all_closed() -> tuple[ClosedView, ...]:
    return tuple(
        ClosedView(
            row.pk,
            date.fromisoformat(row.said["first"]),
            date.fromisoformat(row.said["last"]),
            row.said["words"],
        )
        for row in _days_closed()
    )


@prepared
def _days_closed() -> QuerySet[Event]:
    return Event.objects.filter(kind="day closed", corrected_by__isnull=True)


def is_closed(day: date, today: date) -> bool:
    """Whether the workshop said that it is closed on a day, today or later."""
    return any(one.first <= day <= one.last for one in closed_days(today))


def write_columns(this: Act, page: str, told: Mapping[str, object], seen: int | None) -> Event:
    """Write columns of the workshop's row inside an act, and in its event what stood there before."""
    row = Workshop.objects.select_for_update().get()
    was = {name: as_json(getattr(row, name)) for name in told}
    changed = what_changed(was, {name: as_json(value) for name, value in told.items()})
    refuse_unseen(page, changed["now"], seen)
    for name, value in told.items():
        setattr(row, name, value)
    row.save(update_fields=list(told))
    this.said = changed
    return this.write()


def _was_priced() -> bool:
    return Event.objects.filter(kind="priced").exists()


def _named(request: ShopRequest) -> dict[str, object]:
    told: dict[str, object] = {}
    if request.name is not None:
        told["name"] = short(request.name, "name", worded("The workshop's name"), 120, needed=True)
    if request.town is not None:
        told["town"] = short(request.town, "town", worded("The town"), 120)
    if request.mail is not None:
        told["mail"] = _mail(request.mail)
    if request.country is not None:
        country = tables().countries.get(request.country)
        if country is None and request.country != OTHER:
            _refuse(
                "country",
                worded(
                    'The country "{country}" is not on the list: choose one, or "other".',
                    country=request.country[:20],
                ),
            )
        told["country"] = request.country if country else ""
    if request.currency is not None:
        told["currency"] = request.currency.strip().upper()
        if not is_currency_code(str(told["currency"])):
            _refuse("currency", worded("The currency is not known: give its three letters, such as EUR."))
    return told


def _mail(told: str) -> str:
    """The workshop's own e-mail address, from which call-backs come; empty for none."""
    mail = short(told, "mail", worded("The e-mail address"), 200)
    name, _, domain = mail.partition("@")
    if mail and (not name or "." not in domain or any(one in mail for one in ' ,;<>()"')):
        _refuse(
            "mail",
            worded(
                'The e-mail address is "{mail}": name@place.something is expected. Type it again.',
                mail=mail[:40],
            ),
        )
    return mail


def _refuse(name: str, sentence: str) -> None:
    raise InputRefused(sentence, {name: sentence})
