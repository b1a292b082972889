"""Lines by hand: words with minutes or a price, and minutes of a line of the menu that are others on this bike."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Line
from pinchbolt.values import Verdict
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id, line_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.common.checks import number, short
from pinchbolt.workshop.stays.line_parts import LinePart, checked_part
from pinchbolt.workshop.stays.propose import Proposed, line_again

_MOST_MINUTES = 2000
_ENDS = ("", "front", "rear")


@dataclass(frozen=True, slots=True)
class OwnLineRequest:
    """A line of one's own: words, then minutes or a price with tax, and parts; at which end where it matters."""

    job: int
    words: str
    minutes: int | None = None
    price: Decimal | None = None
    parts: tuple[LinePart, ...] = ()
    place: str = ""
    tax_class: str = "standard"


@dataclass(frozen=True, slots=True)
class MinutesRequest:
    """Minutes of a line that was not asked yet; None: those of the menu again."""

    job: int
    line: int
    minutes: int | None


def own_line(request: OwnLineRequest, *, by: int, key: str, now: datetime) -> Proposed:
    """Put a line of one's own on the estimate.

    Raises:
        InputRefused: No words, neither minutes nor a price, or out of sense.
        NotPossibleNow: The job is closed.
    """
    with act("proposed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        job = job_by_id(request.job)
        still_open(job)
        words = short(request.words, "words", "The line", 200, needed=True)
        if request.minutes is None and request.price is None and not request.parts:
            sentence = "A line needs words and a price, minutes or a part: say one of them."
            raise InputRefused(sentence, {"minutes": sentence})
        if request.place not in _ENDS:
            sentence = f'It is done at "{request.place[:20]}": front, rear, or nothing. Choose one.'
            raise InputRefused(sentence, {"place": sentence})
        # A price by hand is one of the line's parts, under the line's own name: its tax and sums are those of any part.
        by_hand = () if request.price is None else (LinePart(words, request.price, 1, request.tax_class),)
        line = Line.objects.create(
            event=this.write(job=job),
            job=job,
            words=words,
            verdict=Verdict.WATCH,
            parts=[checked_part(part) for part in (*by_hand, *request.parts)],
            place=request.place or None,
            count=1,
            own_minutes=_minutes(request.minutes),
        )
        return Proposed(line.pk)


def set_minutes(request: MinutesRequest, *, by: int, key: str, now: datetime) -> Proposed:
    """Set the labour minutes of a line that was not asked yet, in the place of the line as it was.

    Raises:
        InputRefused: Minutes out of sense.
        NotPossibleNow: The line was asked or answered, or is of another job; a line of one's own has no menu to go back to.
    """
    with act("proposed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return Proposed(Line.objects.get(event=this.done_before).pk)
        old = line_by_id(request.line)
        still_open(old.job)
        if old.job_id != request.job:
            raise NotPossibleNow("This line belongs to another job. Reload the page.")
        if old.answers.exists():
            raise NotPossibleNow(
                f'The owner answered "{old.words}": it stays as it was priced. Propose a further line.'
            )
        if not old.operation and request.minutes is None:
            raise NotPossibleNow(f'"{old.words}" is not of the menu: say its minutes.')
        return line_again(this, old, own_minutes=_minutes(request.minutes))


def _minutes(minutes: int | None) -> int | None:
    if minutes is None:
        return None
    return int(number(minutes, "minutes", "The labour", 1, _MOST_MINUTES, "min"))
