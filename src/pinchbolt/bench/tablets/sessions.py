"""Tablets as the server keeps them: one session a browser that somebody signed in."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.models import Session
from django.http import HttpRequest
from django.utils import timezone

NAME, SINCE = "tablet", "signed_in_at"
# When a passphrase opened the tablet, and the last day on which it was used.
_OPENED, _USED = "opened_at", "used_on"
# A tablet that lies in a drawer for so long, or was opened so long ago, asks for a passphrase again. Own choice, no source.
UNUSED, AT_MOST = timedelta(days=30), timedelta(days=365)


@dataclass(frozen=True, slots=True)
class TabletView:
    """A signed-in tablet: a mark that names it without opening it, its name, whose id is signed in, since when, and whether it is this one."""

    mark: str
    name: str
    person: int
    since: datetime | None
    is_this: bool


def opened_at(session: SessionBase) -> str:
    """Return the moment at which a passphrase opened this tablet, as it is written; "" where none did."""
    return str(session.get(_OPENED) or session.get(SINCE) or "")


def is_used_today(session: SessionBase, moment: datetime) -> bool:
    """Return whether it is written down that this tablet was used on the day of *moment*, or nobody is signed in on it."""
    return SESSION_KEY not in session or session.get(_USED) == moment.date().isoformat()


def note_use(session: SessionBase, moment: datetime, opened: str = "") -> None:
    """Write down that the tablet is used: it stays signed in for `UNUSED` from now, and no longer than `AT_MOST` from its opening."""
    began = datetime.fromisoformat(opened or opened_at(session) or moment.isoformat())
    session[_OPENED], session[_USED] = began.isoformat(), moment.date().isoformat()
    session.set_expiry(min(moment + UNUSED, began + AT_MOST))


def signed_in_tablets(request: HttpRequest) -> list[TabletView]:
    """Return the tablets on which somebody is signed in, this one first."""
    found = [seen for _, seen in _tablets(request)]
    return sorted(found, key=lambda one: (not one.is_this, one.name.casefold(), one.mark))


def end_session(request: HttpRequest, mark: str) -> TabletView | None:
    """Sign a tablet out; return what it was, None where it is not signed in any more."""
    for key, seen in _tablets(request):
        if seen.mark == mark:
            Session.objects.filter(pk=key).delete()
            return seen
    return None


def _tablets(request: HttpRequest) -> Iterator[tuple[str, TabletView]]:
    own = request.session.session_key
    for row in Session.objects.filter(expire_date__gt=timezone.now()).order_by("-expire_date")[:500]:
        kept = row.get_decoded()
        if SESSION_KEY in kept:
            since = kept.get(SINCE)
            yield (
                row.session_key,
                TabletView(
                    sha256(row.session_key.encode()).hexdigest()[:16],
                    str(kept.get(NAME, "")),
                    int(kept[SESSION_KEY]),
                    datetime.fromisoformat(since) if isinstance(since, str) else None,
                    row.session_key == own,
                ),
            )
