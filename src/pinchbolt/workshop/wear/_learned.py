"""What the workshop has learned of its parts' lives: the newest version that was kept, and the wear priors in use."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from hashlib import sha256
from typing import TYPE_CHECKING

from django.db.models import QuerySet

from pinchbolt.records.models import Event
from pinchbolt.records.prepared import prepared
from pinchbolt.values import JsonRead
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables

if TYPE_CHECKING:
    from pinchbolt.reference import Tables


@dataclass(frozen=True, slots=True)
class LearnedView:
    """What was learned: version, from how many parts, one sentence a life, and how the spread changed."""

    version: str
    parts: int
    words: tuple[str, ...]
    reasons: tuple[str, ...]
    day: date


def learned_now() -> LearnedView | None:
    """Return what is in use, or None where nothing was learned yet or the trade's table has changed since."""
    event = _newest()
    return learned_view(event) if event else None


def priors_now() -> JsonRead:
    """Return the wear priors in use: what was learned last, else the trade's."""
    event = _newest()
    return _priors_of(event.pk) if event else tables().wear_priors


def trade_version() -> str:
    """Return a mark of the trade's wear priors with the workshop's own rows, by which a change of them is seen."""
    return _version_of(tables())


@lru_cache(maxsize=4)
def _version_of(rows: "Tables") -> str:
    text = json.dumps(as_json(rows.wear_priors), sort_keys=True)
    return f"trade {sha256(text.encode()).hexdigest()[:8]}"


@prepared
def _learnings() -> QuerySet[Event]:
    return Event.objects.filter(kind="learned").order_by("-pk")[:1]


@once_a_look
def _newest() -> Event | None:
    event = _learnings.first()
    return event if event and event.said.get("from") == trade_version() else None


def learned_biases() -> Mapping[tuple[str, str], tuple[float, float]]:
    """Return what instruments show too much, as learned last: bias and its doubt by instrument and row of the limits."""
    event = _newest()
    rows = event.said.get("biases", ()) if event else ()
    return {(row["instrument"], row["limit"]): (row["bias"], row["bias_sd"]) for row in rows}


def gauges_to_check() -> Mapping[str, tuple[str, date]]:
    """Return, by instrument, what was said of those on which new parts clearly read as worn, and the day it was learned."""
    event = _newest()
    rows = event.said.get("biases", ()) if event else ()
    return {
        row["instrument"]: (row["check"], local_day(event.at)) for row in rows if event and row.get("check")
    }


@lru_cache(maxsize=4)
def _priors_of(event: int) -> JsonRead:
    found: JsonRead = Event.objects.get(pk=event).said["priors"]
    return found


def learned_view(event: Event) -> LearnedView:
    """Return what was learned, as every door shows it."""
    said = event.said
    return LearnedView(
        said["version"], said["parts"], tuple(said["words"]), tuple(said["reasons"]), local_day(event.at)
    )
