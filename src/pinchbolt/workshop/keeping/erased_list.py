"""Numbers of erased owners, in a file outside the records: a backup that is brought back has them erased again."""

import json
from collections.abc import Iterable
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from django.conf import settings

from pinchbolt.records.models import Event, Owner
from pinchbolt.workshop.common.checks import local_day


def note_erased(owners: Iterable[int], now: datetime) -> None:
    """Add numbers of owners to the list; no word of a person stands in it."""
    file = Path(settings.ERASED_LIST)
    file.parent.mkdir(parents=True, exist_ok=True)
    mark, day = _mark(), local_day(now).isoformat()
    lines = [json.dumps({"workshop": mark, "owner": owner, "day": day}) + "\n" for owner in owners]
    with file.open("a", encoding="utf-8") as out:
        out.writelines(lines)


def note_all_erased() -> None:
    """Add who was erased on record and is not on the list: the file may have been lost, or never written."""
    there = set(erased_numbers())
    for owner, at in (
        Owner.objects.filter(erased_at__isnull=False).order_by("pk").values_list("pk", "erased_at")
    ):
        if owner not in there and at is not None:
            note_erased((owner,), at)


def erased_numbers() -> tuple[int, ...]:
    """Return the numbers on the list that are of this workshop, in order; a line that can't be read is stepped over."""
    file = Path(settings.ERASED_LIST)
    if not file.exists():
        return ()
    mark, found = _mark(), set()
    for line in file.read_text(encoding="utf-8").splitlines():
        try:
            row = json.loads(line)
            if row["workshop"] == mark:
                found.add(int(row["owner"]))
        except (ValueError, KeyError, TypeError):
            continue
    return tuple(sorted(found))


def _mark() -> str:
    """What tells this workshop from another: a digest of its first act's mark."""
    first = Event.objects.order_by("pk").values_list("key", flat=True).first() or ""
    return sha256(first.encode()).hexdigest()[:16]
