"""What was changed of the workshop's settings: each act with what stood there before, and whether it can be taken back.

The event of a change keeps `was` and `now` by the name of each field; rows of the tables are fields as well (limit/chain-elongation).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Event
from pinchbolt.values.wording import worded

PRICE_TABLES = ("operation", "price")
"""Tables whose rows stand under prices; all others stand under limits and torques."""
TAKEN_BACK = "setting taken back"
_KINDS: Mapping[str, tuple[str, ...]] = {
    "shop": ("workshop opened", "workshop described", "bill terms set", "tax set"),
    "days": ("days set", "day closed", "hours set", "person away", "promise odds set", "calendar addresses changed"),
    "people": (
        "person added", "person changed", "own pin set", "passphrase set", "own passphrase set", "person retired", "person back",
    ),
    "prices": ("labour set",),
    "limits": ("tables read", "change point set"),
    "words": ("words set",),
    "tablets": ("tablet named", "tablet ended", "token made", "token ended"),
    "safe keeping": ("backup made", "backup place set", "first list put away"),
}  # fmt: skip
PAGES = tuple(_KINDS)


@dataclass(frozen=True, slots=True)
class ChangeView:
    """A change: what it is of, in words, when and by whom; `can_undo` until the next change of a field of it."""

    id: int
    at: datetime
    by: str
    words: str
    can_undo: bool


def changes_of(page: str) -> list[Event]:
    """Return the events of a page of the settings, the newest first, taken back or not."""
    return list(_of_page(page).select_related("by").order_by("-pk")[:200])


def newest_of(page: str) -> Event | None:
    """Return the newest event of a page."""
    return _of_page(page).select_related("by").order_by("-pk").first()


def fields_of(event: Event) -> frozenset[str]:
    """Return the names of the fields that an event changed."""
    now = event.said.get("now") if isinstance(event.said, dict) else None
    return frozenset(now) if isinstance(now, dict) else frozenset()


def can_be_undone(event: Event, later: Iterable[Event]) -> bool:
    """Whether a change can be taken back: it says what was, and none of its fields was changed since."""
    own = fields_of(event)
    return (
        bool(own)
        and event.kind != TAKEN_BACK
        and "was" in event.said
        and not any(own & fields_of(one) for one in later if one.pk > event.pk)
    )


def what_changed(was: Mapping[str, object], now: Mapping[str, object]) -> dict[str, dict[str, object]]:
    """Return `was` and `now` of the fields that differ."""
    names = [name for name, value in now.items() if was.get(name) != value]
    return {"was": {name: was.get(name) for name in names}, "now": {name: now[name] for name in names}}


def refuse_unseen(page: str, fields: Iterable[str], seen: int | None) -> None:
    """Refuse to write over what somebody else changed since the page was looked at.

    Args:
        page: The page of the settings.
        fields: Names of the fields that are about to change.
        seen: The newest event of the page when it was looked at; None where the door shows no page.

    Raises:
        NotPossibleNow: One of the fields was changed since; the sentence says by whom and to what.
    """
    if seen is None:
        return
    wanted = frozenset(fields)
    for event in _of_page(page).filter(pk__gt=seen).select_related("by").order_by("-pk"):
        both = sorted(wanted & fields_of(event))
        if both:
            now, was = event.said["now"].get(both[0]), event.said.get("was", {}).get(both[0])
            told = worded(": {was} to {now}", was=_plain(was), now=_plain(now)) if "was" in event.said else ""
            sentence = worded(
                "{name} changed this meanwhile{told}. Keep theirs, or take yours.",
                name=event.by.name,
                told=told,
            )
            raise NotPossibleNow(sentence, {"seen": sentence})


def _plain(value: object) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name} {_plain(one)}" for name, one in value.items()) or worded(
            "as the trade table"
        )
    return "nothing" if value in (None, "") else str(value)[:80]


def _of_page(page: str) -> QuerySet[Event]:
    asked = Q(kind__in=_KINDS[page]) | Q(kind=TAKEN_BACK, said__page=page)
    if page == "prices":
        asked |= Q(kind="row changed", said__table__in=PRICE_TABLES)
    if page == "limits":
        asked |= Q(kind="row changed") & ~Q(said__table__in=PRICE_TABLES)
    return Event.objects.filter(asked)
