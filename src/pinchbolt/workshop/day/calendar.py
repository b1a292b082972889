"""The shop's calendar: promises, the plan of each person, days off and closed. No owner's name or number goes into it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import isfinite

from django.core.signing import BadSignature, Signer

from pinchbolt.errors import NotFound
from pinchbolt.records.models import Event
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.describe_shop import closed_days
from pinchbolt.workshop.acts.lookups import terms
from pinchbolt.workshop.acts.manage_people import person_named
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.common.checks import local_day, short
from pinchbolt.workshop.day._ical_lines import CalendarEntry, calendar_text
from pinchbolt.workshop.day._shop_clock import moment_of
from pinchbolt.workshop.day.days_told import odds_now
from pinchbolt.workshop.day.hours_in import hours_told
from pinchbolt.workshop.day.jobs_ahead import OpenJob, open_jobs_ahead

SHOP = "shop"
# Bikes that left stay in the feed as cancelled for so long: a reader that asks seldom takes them out as well.
_LEFT_FOR = timedelta(days=14)
_PICK_UP = timedelta(minutes=30)


def calendar(whose: str, now: datetime) -> str:
    """Return the calendar of the shop (promises, closed days, days off), or of a person by their sign-in name (their plan, days off).

    Raises:
        NotFound: Nobody here signs in by this name.
    """
    if whose == SHOP:
        return calendar_text(terms().name, [*_promises(now), *_closed(now), *_off(now, "")])
    person = person_named(whose)
    return calendar_text(
        f"{person.name}, {terms().name}", [*_plan(now, person.name), *_off(now, person.sign_in)]
    )


@dataclass(frozen=True, slots=True)
class AddressesRequest:
    """All calendars get new addresses, so that whoever had one reads no more; a word on why."""

    words: str = ""


def change_addresses(request: AddressesRequest, *, by: int, key: str, now: datetime) -> None:
    """Give all calendars new addresses: the old ones open nothing from now on.

    Raises:
        InputRefused: The word on it is too long.
    """
    with act("calendar addresses changed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        this.said = {"what": short(request.words, "words", worded("The reason"), 80)}
        this.write()


def feed_mark(whose: str) -> str:
    """Return the mark that lets a calendar read a feed without signing in: nobody can guess it, and it opens nothing else."""
    return _signer().sign(whose).rpartition(":")[2]


@once_a_look
def _signer() -> Signer:
    """Signs by this workshop's own secret; each change of the addresses makes other marks."""
    newest = Event.objects.filter(kind="calendar addresses changed").order_by("pk").last()
    return Signer(salt="calendar feed" if newest is None else f"calendar feed {newest.pk}")


def whose_feed(whose: str, mark: str) -> str:
    """Return whose feed an address is.

    Raises:
        NotFound: The mark is not that of this feed.
    """
    try:
        return str(_signer().unsign(f"{whose}:{mark}"))
    except BadSignature:
        raise NotFound(
            worded("There is no such calendar: take its address from the page of the day again.")
        ) from None


def _promises(now: datetime) -> Iterator[CalendarEntry]:
    for one in open_jobs_ahead(now):
        if one.promise.at is not None:
            yield _promise(
                one.job.pk,
                one.promise.at,
                worded("{tag} promised", tag=one.job.bike.tag),
                _words(one),
                one.promise.said_at or one.job.opened_at,
            )
    over = Event.objects.filter(
        kind__in=("handed over", "called off", "not collected"),
        at__gte=now - _LEFT_FOR,
        corrected_by__isnull=True,
    )
    for event in over.select_related("job__bike"):
        job = event.job
        if job is not None and job.promise is not None:
            yield _promise(job.pk, job.promise, f"{job.bike.tag} {event.kind}", "", event.at, is_off=True)


def _promise(
    job: int, at: datetime, summary: str, words: str, changed: datetime, *, is_off: bool = False
) -> CalendarEntry:
    """A promise as half an hour before it: it moves with the promise, and each change counts on."""
    # Seconds since the millennium grow with each change, as a sequence must; they need no account of changes.
    sequence = int(changed.timestamp()) - 946_684_800
    return CalendarEntry(f"job-{job}@pinchbolt", at - _PICK_UP, at, summary, words, changed, sequence, is_off)


def _words(one: OpenJob) -> str:
    told = [one.job.bike.words, one.state.words]
    if one.missing:
        told.append(worded("waits for ") + ", ".join(part.words for part in one.missing))
    return "\n".join(filter(None, told))


def _plan(now: datetime, name: str) -> Iterator[CalendarEntry]:
    today = local_day(now)
    for job, odds in odds_now(now):
        if odds.person == name and isfinite(odds.end):
            yield CalendarEntry(
                f"plan-{job.job.pk}@pinchbolt",
                moment_of(odds.start, today),
                moment_of(odds.end, today),
                f"{job.job.bike.tag} {job.job.bike.words}",
                worded("planned: the book's guess of today, by the promises; it moves"),
                now,
                int(now.timestamp()) - 946_684_800,
            )


def _closed(now: datetime) -> Iterator[CalendarEntry]:
    for one in closed_days(local_day(now)):
        words = one.words or "closed"
        yield CalendarEntry(
            f"closed-{one.id}@pinchbolt",
            one.first,
            one.last + timedelta(days=1),
            words,
            worded("the workshop is closed"),
            now,
        )


def _off(now: datetime, sign_in: str) -> Iterator[CalendarEntry]:
    """Days off; why somebody is away is theirs and stays out of the shop's feed."""
    for one in hours_told(local_day(now)):
        for off in one.off if sign_in in ("", one.sign_in) else ():
            words = off.words if sign_in else ""
            yield CalendarEntry(
                f"off-{off.id}@pinchbolt",
                off.first,
                off.last + timedelta(days=1),
                worded("{name} away", name=one.name),
                words,
                now,
            )
