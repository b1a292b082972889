"""The outbox: letters to owners as files in the home folder, each written whole; one that may not go any more is gone.

A file is named by the event that made it: no name of a person stands in a file's name or in an event.
"""

from collections.abc import Iterable
from pathlib import Path

from django.conf import settings

from pinchbolt.records.models import Event, Owner
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.common.trade_tables import put_file
from pinchbolt.workshop.owners.consent import look_up_consents, may_reach

MADE, SENT, WITHDRAWN = "letter made", "letter sent", "letter withdrawn"
ABOUT_BACK = "call-backs"
ENDINGS = {"letter": "pdf", "e-mail": "eml", "text": "txt"}


def outbox_folder() -> Path:
    """Return where letters lie until they are sent."""
    return Path(settings.OUTBOX)


def put_letter(event: Event, data: bytes) -> Path:
    """Write a letter whole, under the number of the event that made it."""
    outbox_folder().mkdir(parents=True, exist_ok=True, mode=0o700)
    path = letter_path(event)
    put_file(path, data)
    return path


def letter_path(event: Event) -> Path:
    """Return where the letter of an event lies."""
    return outbox_folder() / f"{event.pk}.{ENDINGS[event.said['way']]}"


def waiting_letters() -> tuple[Event, ...]:
    """Return the letters that wait, oldest first; before, every file that may not go any more is taken away.

    It may not: the owner was erased, said no, or has not the bike any more; it was sent or withdrawn; or no act made it.
    """
    rows = Event.objects.filter(kind=MADE, corrected_by__isnull=True).select_related("bike", "by")
    over = set(
        Event.objects.filter(kind__in=(SENT, WITHDRAWN), corrected_by__isnull=True).values_list(
            "said__letter", flat=True
        )
    )
    waiting = [row for row in rows.order_by("pk") if row.pk not in over]
    owners = Owner.objects.in_bulk({int(row.said["owner"]) for row in waiting})
    with one_look():
        look_up_consents(owners.keys())
        good = tuple(row for row in waiting if _may_go(row, owners.get(int(row.said["owner"]))))
    _clear({letter_path(row).name for row in good})
    return good


def _may_go(row: Event, owner: Owner | None) -> bool:
    """Whether a letter may still go: its owner is there, has the bike, and said yes to this way."""
    bike = row.bike
    if owner is None or owner.erased_at is not None or owner.merged_into_id is not None:
        return False
    if bike is None or bike.owner_id != owner.pk:
        return False
    return may_reach(owner.pk, ABOUT_BACK, str(row.said["way"]))


def _clear(keep: Iterable[str]) -> None:
    folder, kept = outbox_folder(), set(keep)
    if not folder.is_dir():
        return
    for path in folder.iterdir():
        if path.is_file() and path.name not in kept:
            path.unlink(missing_ok=True)
