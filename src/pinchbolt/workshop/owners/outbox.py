"""The outbox: letters to owners as files in the home folder, each written whole; one that may not go any more is gone.

A file is named by the event that made it: no name of a person stands in a file's name or in an event.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from pinchbolt.records.models import BikeCallBack, Event, Owner, OwnerWords
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.common.trade_tables import put_file
from pinchbolt.workshop.owners.consent import look_up_consents, may_reach

MADE, SENT, WITHDRAWN = "letter made", "letter sent", "letter withdrawn"
SAID, BOOKED, NO, GONE = "call-back said", "booked", "does not want to", "bike sold"
"""What is said of a call-back; after the last three no letter of before goes any more."""
ABOUT_BACK = "call-backs"
ENDINGS = {"letter": "pdf", "e-mail": "eml", "text": "txt"}
_WHERE_TO = ("phone", "ways", "address")


@dataclass(frozen=True, slots=True)
class _Since:
    """What was written since letters were made, by the newest event: addresses by owner, last words by bike; call-backs by bike."""

    addresses: dict[int, int]
    words: dict[int, Event]
    backs: dict[int, int]


def outbox_folder() -> Path:
    """Return where letters lie until they are sent."""
    return Path(settings.OUTBOX)


def put_letter(event: Event, data: bytes) -> Path:
    """Write a letter whole, under the number of the event that made it; only once the event is there for others to see."""
    outbox_folder().mkdir(parents=True, exist_ok=True, mode=0o700)
    path = letter_path(event)
    put_file(path, data)
    return path


def letter_path(event: Event) -> Path:
    """Return where the letter of an event lies."""
    return outbox_folder() / f"{event.pk}.{ENDINGS[event.said['way']]}"


def tidy_outbox() -> None:
    """Take away what may not go any more; nothing is asked where nothing lies there."""
    if _lying():
        waiting_letters()


def waiting_letters() -> tuple[Event, ...]:
    """Return the letters that wait, oldest first; before, every file that may not go any more is taken away.

    It may not: the owner was erased, said no, has another address or has not the bike any more; the bike was here since, is
    booked or sold, or they do not want to come; it was sent or withdrawn; or no act made it.
    """
    # What lies there is looked at first: a file is written after its event, so whatever lies there has one by now.
    lying = _lying()
    good = _may_still_go()
    _clear(lying, {letter_path(row).name for row in good})
    return good


def _may_still_go() -> tuple[Event, ...]:
    over = Event.objects.filter(kind__in=(SENT, WITHDRAWN), corrected_by__isnull=True)
    made = Event.objects.filter(kind=MADE, corrected_by__isnull=True)
    numbers = set(made.values_list("pk", flat=True)) - set(over.values_list("said__letter", flat=True))
    waiting = list(Event.objects.filter(pk__in=numbers).select_related("bike__owner", "by").order_by("pk"))
    if not waiting:
        return ()
    owners = Owner.objects.in_bulk({int(row.said["owner"]) for row in waiting})
    since = _since(owners, {row.bike_id for row in waiting if row.bike_id}, waiting[0].pk)
    with one_look():
        look_up_consents(owners.keys())
        return tuple(row for row in waiting if _may_go(row, owners.get(int(row.said["owner"])), since))


def _since(owners: Collection[int], bikes: Collection[int], first: int) -> _Since:
    """What was written of these since the first of the letters."""
    words = OwnerWords.objects.filter(owner__in=owners, event__gt=first, event__corrected_by__isnull=True)
    changed = words.order_by("event").values_list("owner", "event", "changes")
    said = Event.objects.filter(kind=SAID, bike__in=bikes, pk__gt=first, corrected_by__isnull=True)
    backs = BikeCallBack.objects.filter(bike__in=bikes).values_list("bike", "event")
    return _Since(
        {owner: event for owner, event, changes in changed if any(name in changes for name in _WHERE_TO)},
        {int(row.bike_id or 0): row for row in said.order_by("pk")},
        dict(backs),
    )


def _may_go(row: Event, owner: Owner | None, since: _Since) -> bool:
    """Whether a letter may still go: its owner is there, has the bike, lives where it goes, said yes to this way and is still asked back."""
    bike = row.bike
    if owner is None or owner.erased_at is not None or owner.merged_into_id is not None:
        return False
    if bike is None or bike.owner_id != owner.pk:
        return False
    if since.addresses.get(owner.pk, 0) > row.pk or not 0 < since.backs.get(bike.pk, 0) < row.pk:
        return False
    word = since.words.get(bike.pk)
    if word is not None and word.pk > row.pk and word.said["what"] in (BOOKED, NO, GONE):
        return False
    return may_reach(owner.pk, ABOUT_BACK, str(row.said["way"]))


def _lying() -> tuple[Path, ...]:
    folder = outbox_folder()
    return tuple(path for path in folder.iterdir() if path.is_file()) if folder.is_dir() else ()


def _clear(lying: Iterable[Path], keep: Collection[str]) -> None:
    """Take away what is not kept; what is being written beside a letter that is kept becomes that letter."""
    for path in lying:
        becomes = path.name.lstrip(".").rpartition(".")[0] if path.name.startswith(".") else path.name
        if becomes not in keep:
            path.unlink(missing_ok=True)
