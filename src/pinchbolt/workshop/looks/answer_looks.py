"""One tap at the stand: what was looked at on a card, what was found, what could not be seen; and the tap taken back."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.build import LookOn, looks_on
from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import LOOK_ANSWERS, Event, Job, LookAnswer, Part, Reading
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.build_sheet import BuildSheet, sheet_of_bike
from pinchbolt.workshop.stays.not_seen import NotSeenRequest, write_not_seen
from pinchbolt.workshop.stays.note_finding import write_by_eye
from pinchbolt.workshop.stays.take_reading import ReadingRequest, write_reading

SOUND, FOUND, NOT_LOOKED, NOT_SEEN = LOOK_ANSWERS
COUNTED = frozenset({"count", "strands broken"})
"""Units in which a sound look is a reading of its own: none."""


@dataclass(frozen=True, slots=True)
class LookedAt:
    """One look and its answer: sound, found, not looked at, could not see.

    `limit` and `part` say which of several rows was found bad, where the look reads more than one; `chance` is how likely a find
    was said to be when the card was shown.
    """

    look: str
    answer: str = SOUND
    limit: str = ""
    part: int | None = None
    chance: float | None = None


@dataclass(frozen=True, slots=True)
class AnswerLooksRequest:
    """The answers of one card, in one tap."""

    job: int
    looks: tuple[LookedAt, ...]


@dataclass(frozen=True, slots=True)
class TakeBackLooksRequest:
    """A tap that was wrong: the card's event."""

    job: int
    card: int


@dataclass(frozen=True, slots=True)
class LooksAnswered:
    """The card's event, the looks that were written down, and those that another hand had answered before."""

    card: int
    looks: tuple[str, ...]
    answered_before: tuple[str, ...] = ()


def answer_looks(request: AnswerLooksRequest, *, by: int, key: str, now: datetime) -> LooksAnswered:
    """Write down what was looked at: each yes-or-no row that a look reads becomes a reading, what only an eye saw a finding.

    A sound answer to a look that was answered meanwhile changes nothing: the other's answer stands. A find is always written.

    Raises:
        InputRefused: No look, one that this bike does not have, no such answer, or a find of which the row is not said.
        NotPossibleNow: The job is closed.
    """
    with act("looked at", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            rows = LookAnswer.objects.filter(card=this.done_before).order_by("pk")
            return LooksAnswered(this.done_before.pk, tuple(row.look for row in rows))
        job = job_by_id(request.job)
        still_open(job)
        sheet = sheet_of_bike(job.bike)
        on = {one.id: one for one in looks_on(sheet.build)}
        asked = _checked(request.looks, on)
        card = this.write(job=job)
        before = {
            row.look: row
            for row in LookAnswer.objects.filter(job=job, event__corrected_by__isnull=True).select_related(
                "event"
            )
        }
        read = set(
            Reading.objects.filter(job=job, event__corrected_by__isnull=True).values_list("part_id", "limit")
        )
        written, passed = [], []
        for number, one in enumerate(asked):
            old = before.get(one.look)
            if old is not None and one.answer != FOUND and old.answer in (SOUND, FOUND, one.answer):
                passed.append(one.look)
                continue
            event = this.also(
                "look",
                f"look-{number}",
                job=job,
                corrects=old.event if old else None,
                said={"look": one.look},
            )
            LookAnswer.objects.create(
                event=event, job=job, look=one.look, answer=one.answer, chance=one.chance, card=card
            )
            _Writing(this, job, sheet, read).follow(on[one.look], one, number)
            written.append(one.look)
        return LooksAnswered(card.pk, tuple(written), tuple(passed))


def _checked(looks: tuple[LookedAt, ...], on: dict[str, LookOn]) -> list[LookedAt]:
    if not looks:
        raise InputRefused(worded("No look was named: say what was looked at."))
    for one in looks:
        if one.look not in on:
            sentence = worded(
                '"{look}" is no look at this bike now. Reload the page: the build sheet may have changed.',
                look=one.look[:60],
            )
            raise InputRefused(sentence, {"looks": sentence})
        if one.answer not in LOOK_ANSWERS:
            sentence = worded(
                'The answer is "{answer}": {look_answers}. Choose one.',
                answer=one.answer[:40],
                look_answers=", ".join(LOOK_ANSWERS),
            )
            raise InputRefused(sentence, {"answer": sentence})
        if one.chance is not None and not 0 <= one.chance <= 1:
            sentence = worded(
                "The chance is {chance:g}: 0 to 1 is possible. Reload the page.", chance=one.chance
            )
            raise InputRefused(sentence, {"chance": sentence})
        if one.answer == FOUND and len(found_rows(on[one.look])) > 1 and not one.limit:
            names = ", ".join(row.quantity for _, row in found_rows(on[one.look]))
            sentence = worded(
                "{words}: what was found is missing: {names}. Choose one.",
                words=on[one.look].words,
                names=names,
            )
            raise InputRefused(sentence, {"limit": sentence})
    return list({one.look: one for one in looks}.values())


def found_rows(on: LookOn) -> tuple[tuple[int, LimitRow], ...]:
    """Return the yes-or-no rows that a find of this look may mean, each with its part."""
    return tuple((part.id, one.row) for part, one in on.reads if one.row.direction == "flag")


def good_word(row: LimitRow) -> str:
    """Return the word of a yes-or-no row that says that nothing is wrong."""
    return "no" if row.limit == "yes" else "yes"


class _Writing:
    """What follows from the answers of a card."""

    def __init__(self, this: Act, job: Job, sheet: BuildSheet, read: set[tuple[int, str]]) -> None:
        self.this, self.job, self.sheet, self.read = this, job, sheet, read

    def follow(self, on: LookOn, told: LookedAt, number: int) -> None:
        """Write the readings of a sound look, the reading or finding of a find."""
        if told.answer == SOUND:
            for place, (part, one) in enumerate(on.reads):
                if (part.id, one.row.id) not in self.read:
                    self._sound(part.id, one.row, f"reading-{number}-{place}")
        elif told.answer == FOUND:
            self._found(on, told, number)
        else:
            for place, (part, one) in enumerate(on.reads):
                if not one.deeper and (part.id, one.row.id) not in self.read:
                    asked = NotSeenRequest(self.job.pk, part.id, one.row.id, told.answer)
                    write_not_seen(asked, self.this, self.job, f"unseen-{number}-{place}")

    def _sound(self, part: int, row: LimitRow, name: str) -> None:
        if row.direction == "flag":
            self._write(ReadingRequest(self.job.pk, part, row.id, word=good_word(row)), name)
        elif row.unit in COUNTED:
            self._write(ReadingRequest(self.job.pk, part, row.id, value=0.0), name)

    def _write(self, asked: ReadingRequest, name: str) -> None:
        write_reading(asked, self.this, self.job, name, self.sheet.build)

    def _found(self, on: LookOn, told: LookedAt, number: int) -> None:
        rows = found_rows(on)
        chosen = [one for one in rows if told.limit in ("", one[1].id) and told.part in (None, one[0])]
        if told.limit and not chosen:
            sentence = worded(
                '{words}: "{limit}" is not read there. Reload the page and choose again.',
                words=on.words,
                limit=told.limit[:60],
            )
            raise InputRefused(sentence, {"limit": sentence})
        if chosen:
            part, row = chosen[0]
            bad = "no" if good_word(row) == "yes" else "yes"
            self._write(ReadingRequest(self.job.pk, part, row.id, word=bad), f"reading-{number}")
            return
        first: Part | None = self.sheet.parts.get(on.parts[0].id)
        words = f"{on.end} {on.row.found or on.row.words}".strip()
        write_by_eye(words, on.row.verdict, first, self.this, self.job, f"found-{number}", on.id)


def take_back_looks(request: TakeBackLooksRequest, *, by: int, key: str, now: datetime) -> LooksAnswered:
    """Take back a tap: its answers, readings and findings no longer count; what was put right since stays.

    Raises:
        NotFound: This stay has no such card.
        NotPossibleNow: It was taken back already, or the job is closed.
    """
    with act("looks taken back", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        card = Event.objects.filter(pk=request.card, job=job, kind="looked at").first()
        if card is None:
            raise NotFound(worded("There is no such tap at this stay: reload the page."))
        looks = tuple(LookAnswer.objects.filter(card=card).order_by("pk").values_list("look", flat=True))
        if this.repeated:
            return LooksAnswered(card.pk, looks)
        still_open(job)
        brought = Event.objects.filter(key__startswith=f"{card.key}/", job=job, corrected_by__isnull=True)
        if not card.stands:
            raise NotPossibleNow(worded("This tap was taken back already. Reload the page."))
        this.write(job=job, corrects=card)
        for number, event in enumerate(brought.select_related("corrects__finding__part")):
            this.also("look taken back", f"back-{number}", job=job, corrects=event)
            if event.kind == "settled" and event.corrects is not None:
                old = event.corrects.finding
                look = str(event.corrects.said.get("look", ""))
                write_by_eye(old.words, Verdict(old.verdict), old.part, this, job, f"again-{number}", look)
        return LooksAnswered(card.pk, looks)
