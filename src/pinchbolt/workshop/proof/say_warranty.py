"""How a thing was bought: when, of whom, and how long whoever sold it stands for it. What nobody knows stays unknown."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Exists, OuterRef, QuerySet

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import UNDONE, ProofPhoto, Warranty
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act, allowed
from pinchbolt.workshop.common.checks import local_day, not_in_future, short
from pinchbolt.workshop.proof.keep_photo import with_photo
from pinchbolt.workshop.proof.things import Thing, thing_in, thing_of
from pinchbolt.workshop.tools.tool_board import months_on

SAID = "warranty said"
MOST_MONTHS = 600
SOON = timedelta(days=30)
NOT_KNOWN = worded("how long it is covered is not known")


@dataclass(frozen=True, slots=True)
class WarrantyRequest:
    """How a part, a tool or an instrument was bought; what is left out is not known. `months` or `for_life`, not both."""

    kind: str
    id: int
    bought: date | None = None
    seller: str = ""
    months: int | None = None
    for_life: bool = False
    words: str = ""


@dataclass(frozen=True, slots=True)
class WarrantyBackRequest:
    """A thing whose last word about its warranty was wrong."""

    kind: str
    id: int


@dataclass(frozen=True, slots=True)
class WarrantyView:
    """What is known: `until` is the last day that is covered, None for life or where nobody knows; `words` say which.

    `covered`: yes, no, or None where it is not known. `photo`: its receipt is kept.
    """

    event: int
    kind: str
    id: int
    name: str
    tag: str
    bought: date | None
    seller: str
    months: int | None
    for_life: bool
    until: date | None
    covered: bool | None
    words: str
    note: str
    by: str
    photo: bool


def say_warranty(
    request: WarrantyRequest, receipt: bytes | None = None, *, by: int, key: str, now: datetime
) -> WarrantyView:
    """Write down how a thing was bought, with the receipt's photo where there is one; the newest word counts.

    Raises:
        NotFound: There is no such thing.
        InputRefused: A day ahead, months out of sense or together with for life, nothing said at all, or no photo.
    """
    thing = thing_of(request.kind, request.id)
    with_photo(receipt, "receipt", key, lambda: _say(request, thing, bool(receipt), by=by, key=key, now=now))
    found = warranty_of(thing, local_day(now))
    assert found is not None  # it was written just now
    return found


def say_warranty_in_words(request: WarrantyRequest, *, by: int, key: str, now: datetime) -> WarrantyView:
    """Write down how a thing was bought, without a photo.

    Raises:
        NotFound: There is no such thing.
        InputRefused: As `say_warranty`.
    """
    return say_warranty(request, by=by, key=key, now=now)


def _say(request: WarrantyRequest, thing: Thing, receipt: bool, *, by: int, key: str, now: datetime) -> None:
    with act(SAID, by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        if request.bought is not None:
            not_in_future(request.bought, now, "bought", worded("The day of buying"))
        months = _months(request)
        seller = short(request.seller, "seller", worded("Of whom it was bought"), 120)
        words = short(request.words, "words", worded("The note"), 200)
        if not (request.bought or seller or months or request.for_life or words or receipt):
            sentence = worded(
                "Nothing is said of {name}: give the day, the seller, the months, or a photo of its receipt.",
                name=thing.name,
            )
            raise InputRefused(sentence, {"bought": sentence})
        old = _newest(thing)
        Warranty.objects.create(
            event=this.write(bike=thing.bike, corrects=old.event if old else None),
            bought=request.bought,
            seller=seller,
            months=months,
            for_life=request.for_life,
            words=words,
            **thing.columns,
        )


def _months(request: WarrantyRequest) -> int | None:
    if request.months is None:
        return None
    if request.for_life:
        sentence = worded("For life and a number of months can't both be: choose one.")
        raise InputRefused(sentence, {"months": sentence})
    if not 1 <= request.months <= MOST_MONTHS:
        sentence = worded(
            "{months} months: 1 to {most_months} are possible. Two years are 24.",
            months=request.months,
            most_months=MOST_MONTHS,
        )
        raise InputRefused(sentence, {"months": sentence})
    return request.months


def take_back_warranty(request: WarrantyBackRequest, *, by: int, key: str, now: datetime) -> None:
    """Take the last word about a thing's warranty back: what was said before counts again.

    Raises:
        NotFound: There is no such thing.
        NotPossibleNow: Nothing is said of it.
    """
    thing = thing_of(request.kind, request.id)
    with act(UNDONE, by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        old = _newest(thing)
        if old is None:
            raise NotPossibleNow(worded("Nothing is said of the warranty of {name}.", name=thing.name))
        allowed(by, SAID)
        this.said = {
            "kind": SAID,
            "words": worded("what was said of the warranty of {name}", name=thing.name),
        }
        this.write(bike=thing.bike, corrects=old.event)
        ProofPhoto.objects.filter(pk=old.pk).delete()


def warranty_of(thing: Thing, today: date) -> WarrantyView | None:
    """Return what is known of a thing's warranty; None where nobody said anything."""
    row = _newest(thing)
    return _view(row, today) if row is not None else None


def warranties(today: date) -> tuple[WarrantyView, ...]:
    """Return every warranty that stands, the one that ends soonest first; those without an end last."""
    seen = [_view(row, today) for row in _standing()]
    return tuple(sorted(seen, key=lambda one: (one.until is None, one.until or date.max, one.event)))


def known_of_things(today: date) -> Mapping[tuple[str, int], WarrantyView]:
    """Return what is known of the warranty of each thing, by its kind and id, asked once."""
    return {(one.kind, one.id): one for one in warranties(today)}


def ending_soon(today: date) -> tuple[WarrantyView, ...]:
    """Return what is covered for thirty days more at most: look at it before that."""
    return tuple(one for one in warranties(today) if one.until and today <= one.until <= today + SOON)


def _standing() -> QuerySet[Warranty]:
    """Every word that stands, the oldest first, with whether its receipt is kept."""
    rows = Warranty.objects.filter(event__corrected_by__isnull=True)
    receipt = ProofPhoto.objects.filter(pk=OuterRef("event"))
    beside = rows.select_related("event__by", "event__bike", "part", "tool", "instrument")
    return beside.annotate(has_photo=Exists(receipt)).order_by("pk")


def _newest(thing: Thing) -> Warranty | None:
    return _standing().filter(thing.is_its).last()


def _view(row: Warranty, today: date) -> WarrantyView:
    thing = thing_in(row)
    until = months_on(row.bought, row.months) if row.bought and row.months else None
    covered = True if row.for_life else None if until is None else today <= until
    return WarrantyView(
        event=row.pk,
        kind=thing.kind,
        id=thing.id,
        name=thing.name,
        tag=thing.tag,
        bought=row.bought,
        seller=row.seller,
        months=row.months,
        for_life=row.for_life,
        until=until,
        covered=covered,
        words=_words(row, until, covered),
        note=row.words,
        by=row.event.by.name,
        photo=bool(getattr(row, "has_photo", False)),
    )


def _words(row: Warranty, until: date | None, covered: bool | None) -> str:
    bought = (
        worded("bought {day} {bought:%b %Y}", day=row.bought.day, bought=row.bought)
        if row.bought
        else worded("day of buying not known")
    )
    of = worded(" of {seller}", seller=row.seller) if row.seller else ""
    if row.for_life:
        return worded("{bought}{of}, covered for life", bought=bought, of=of)
    if until is not None:
        return f"{bought}{of}, {(worded('covered until') if covered else worded('was covered until'))} {until.day} {until:%b %Y}"
    long = (
        worded("{months} months from a day that is not known", months=row.months) if row.months else NOT_KNOWN
    )
    return f"{bought}{of}, {long}"
