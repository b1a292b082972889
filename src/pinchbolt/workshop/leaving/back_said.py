"""What was said of a call-back, each by one tap: rung, written, booked, does not want to, the bike is not theirs any more."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Event
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.owners.give_over import GIVEN_OVER
from pinchbolt.workshop.owners.outbox import BOOKED, GONE, NO, SAID, tidy_outbox

SAID_BACK, SET = "call-back word taken back", "call-back set"
RUNG, WRITTEN = "rung", "written"
SAYINGS = (RUNG, WRITTEN, BOOKED, NO, GONE)
# Whoever was asked and has not answered is asked again after two weeks, and three times in all. Common practice, no source.
AGAIN_AFTER, MOST_ASKED = timedelta(days=14), 3
_MOST_AHEAD = 400
# So many bikes are named in a question to the database; of more, all words are read.
_NAMED = 500


@dataclass(frozen=True, slots=True)
class BackSaidRequest:
    """What was said of a bike's call-back; `day` is the day that was booked."""

    tag: str
    what: str
    day: date | None = None


@dataclass(frozen=True, slots=True)
class BackWordRequest:
    """A word that was a wrong tap, by its event."""

    said: int


@dataclass(frozen=True, slots=True)
class BackSaid:
    """What stands of a call-back: the newest word, how often the owner was asked, the day that was booked."""

    event: int
    what: str
    day: date
    by: str
    asked: int
    booked: date | None = None

    def off_until(self, today: date, *, safety: bool = False) -> date | None:
        """Until when nobody asks; None: ask now. `date.max`: not before the bike was here again.

        Where a part can throw the rider nobody stops asking after three times.
        """
        if self.what in (NO, GONE):
            return date.max
        if self.what == BOOKED:
            return self.booked if self.booked is not None and self.booked >= today else None
        if self.asked >= MOST_ASKED and not safety:
            return date.max
        again = self.day + AGAIN_AFTER
        return again if again > today else None

    @property
    def words(self) -> str:
        """As the list says it."""
        when = f"{self.day.day} {self.day:%b}"
        if self.what == BOOKED and self.booked is not None:
            return worded("booked for {booked:%a} {day} {booked:%b}", booked=self.booked, day=self.booked.day)
        times = worded(", asked {asked} times", asked=self.asked) if self.asked > 1 else ""
        return worded("{what} on {when}{times}", what=self.what, when=when, times=times)


def say_of_call_back(request: BackSaidRequest, *, by: int, key: str, now: datetime) -> None:
    """Write down what was said of a bike's call-back.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: No such word; a booked visit without a day, or on one that is gone by.
        NotPossibleNow: No call-back is set for it.
    """
    with act(SAID, by=by, key=key, now=now, request=request) as this:
        bike = bike_by_tag(request.tag)
        if this.repeated:
            return
        if request.what not in SAYINGS:
            sentence = worded(
                '"{what}" is no word of a call-back: {sayings}. Choose one.',
                what=request.what[:20],
                sayings=", ".join(SAYINGS),
            )
            raise InputRefused(sentence, {"what": sentence})
        today = local_day(now)
        if request.what == BOOKED and not (
            request.day is not None and 0 <= (request.day - today).days <= _MOST_AHEAD
        ):
            sentence = worded("Booked for which day? Today or a day to come, within a year.")
            raise InputRefused(sentence, {"day": sentence})
        if not Event.objects.filter(kind=SET, bike=bike, corrected_by__isnull=True).exists():
            raise NotPossibleNow(
                worded("No call-back is set for {tag}: it is set when the bike is handed over.", tag=bike.tag)
            )
        this.write(bike=bike)
        transaction.on_commit(tidy_outbox)


def take_back_word(request: BackWordRequest, *, by: int, key: str, now: datetime) -> None:
    """Take a wrong tap back: the call-back stands as before.

    Raises:
        NotFound: There is no such word.
        NotPossibleNow: It was taken back already.
    """
    with act(SAID_BACK, by=by, key=key, now=now, request=request) as this:
        event = Event.objects.filter(pk=request.said, kind=SAID).first()
        if event is None:
            raise NotFound(
                worded("There is no word {said} of a call-back. Choose one of the list.", said=request.said)
            )
        if not this.repeated:
            this.write(bike=event.bike, corrects=event)


def said_of(since: Mapping[int, int]) -> dict[int, BackSaid]:
    """Return what was said of each bike's call-back since it was set (*since*: its event by the bike).

    What was said before the bike was given over is the old owner's word, and binds nobody else.
    """
    told = Event.objects.filter(kind__in=(SAID, GIVEN_OVER), corrected_by__isnull=True)
    if len(since) <= _NAMED:
        told = told.filter(bike__in=since)
    found: dict[int, BackSaid] = {}
    for row in told.select_related("by").order_by("pk"):
        bike = int(row.bike_id or 0)
        if row.kind == GIVEN_OVER:
            found.pop(bike, None)
            continue
        if bike not in since or row.pk < since[bike]:
            continue
        before = found.get(bike)
        asked = (before.asked if before else 0) + (row.said["what"] in (RUNG, WRITTEN))
        day = row.said.get("day")
        booked = date.fromisoformat(day) if day else None
        found[bike] = BackSaid(row.pk, row.said["what"], local_day(row.at), row.by.name, asked, booked)
    return found
