"""Numbers of erased owners, in a file outside the records: a backup that is brought back has them erased again."""

import json
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from django.conf import settings

from pinchbolt.records.models import Event
from pinchbolt.workshop.common.checks import local_day


def note_erased(owner: int, now: datetime) -> None:
    """Add an owner's number to the list; no word of a person stands in it."""
    file = Path(settings.ERASED_LIST)
    file.parent.mkdir(parents=True, exist_ok=True)
    line = {"workshop": _mark(), "owner": owner, "day": local_day(now).isoformat()}
    with file.open("a", encoding="utf-8") as out:
        out.write(json.dumps(line) + "\n")


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
