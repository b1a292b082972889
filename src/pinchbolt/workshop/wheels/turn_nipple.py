"""One nipple turned, one tap: what was truly turned after the last reading, so that the next plan knows it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import NippleTurn
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.wheels._wheel_records import not_here_any_more, rounds_of, spoke_number, wheel_of_job

MOST = 12


@dataclass(frozen=True, slots=True)
class TurnNippleRequest:
    """A nipple as it was turned since the last reading, in quarters in all; above 0 tightens, 0: not turned after all.

    `reading` is the reading by which it was asked for: a turn by an older one is refused, since nobody could tell before or after
    which reading it was done.
    """

    job: int
    part: int
    spoke: int
    quarters: Annotated[int, "either way"]
    reading: int | None = None


@dataclass(frozen=True, slots=True)
class NippleTurned:
    """What stands for this spoke since the last reading. [quarters]"""

    spoke: int
    quarters: int


def turn_nipple(request: TurnNippleRequest, *, by: int, key: str, now: datetime) -> NippleTurned:
    """Write down one nipple's turn; said again, the newer word counts.

    Raises:
        InputRefused: More than three turns, or a nipple of which nothing was said that would be taken back.
        NotPossibleNow: The wheel was not read yet at this stay, or read since elsewhere; this turn stands already; the job is closed.
    """
    with act("nipple turned", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        part = wheel_of_job(job, request.part)
        if this.repeated:
            return NippleTurned(request.spoke, request.quarters)
        still_open(job)
        rounds = rounds_of(part, job)
        if not rounds:
            raise NotPossibleNow(
                worded(
                    "The wheel was not read yet: read every spoke first, or nobody knows what the turn did."
                )
            )
        reading = rounds[-1]
        if request.reading is not None and request.reading != reading.pk:
            raise NotPossibleNow(
                worded(
                    "The wheel was read again since, by {name}: look at the turns again. Was spoke "
                    "{spoke} turned after that reading, say so there; before it, the reading knows it "
                    "already.",
                    name=reading.event.by.name,
                    spoke=request.spoke,
                )
            )
        elsewhere = not_here_any_more(part, reading)
        if elsewhere:
            raise NotPossibleNow(elsewhere)
        spoke_number(request.spoke, len(reading.spokes))
        if abs(request.quarters) > MOST:
            sentence = worded(
                "{quarters} quarters: {most} either way at most. Say what was turned in all since "
                "the last reading.",
                quarters=request.quarters,
                most=MOST,
            )
            raise InputRefused(sentence, {"quarters": sentence})
        before = NippleTurn.objects.filter(
            reading=reading.event, spoke=request.spoke, event__corrected_by__isnull=True
        ).last()
        if request.quarters == 0 and (before is None or before.quarters == 0):
            sentence = worded(
                "Nothing is written of spoke {spoke} since the last reading: there is nothing to take back.",
                spoke=request.spoke,
            )
            raise InputRefused(sentence, {"quarters": sentence})
        if before is not None and before.quarters == request.quarters:
            raise NotPossibleNow(
                worded(
                    "That turn of spoke {spoke} stands already, by {name}. Was it turned once more, say "
                    "under turned otherwise how far it was turned in all since the last reading.",
                    spoke=request.spoke,
                    name=before.event.by.name,
                )
            )
        this.said = {**as_json(request), "words": str(part), "reading": reading.pk}
        event = this.write(job=job, corrects=before.event if before else None)
        NippleTurn.objects.create(
            event=event, reading=reading.event, spoke=request.spoke, quarters=request.quarters
        )
        return NippleTurned(request.spoke, request.quarters)
