"""The walk-round that is chosen: which look next in the minutes there are, who looked at what, and what was not looked at."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from pinchbolt.engines.build import LookOn, looks_on
from pinchbolt.engines.look import (
    LEAD_SECONDS,
    LEAD_SHARE,
    LookBelief,
    LookPlan,
    LookSheet,
    PlannedLook,
    answered,
    believed,
    plan_looks,
    safety_floor,
    seconds_taken,
    told_split,
)
from pinchbolt.records.models import ComplaintTest, Finding, Job, LookAnswer
from pinchbolt.records.prepared import prepared
from pinchbolt.values import Verdict
from pinchbolt.values.ahead import often_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.looks._bike_past import forecasts_of, past_of
from pinchbolt.workshop.looks._look_sheet import look_sheet
from pinchbolt.workshop.looks.answer_looks import FOUND, NOT_SEEN, SOUND, found_rows
from pinchbolt.workshop.stays.complaints import ComplaintView, complaints_of
from pinchbolt.workshop.stays.not_seen import not_seen_of

BAD = Verdict.NEXT_VISIT.rank


@dataclass(frozen=True, slots=True)
class LookTaken:
    """An answer to a look: what, by whom, when; `card` is the tap that gave it (None: a reading taken elsewhere)."""

    look: str
    words: str
    station: str
    answer: str
    by: str
    at: datetime
    card: int | None


@dataclass(frozen=True, slots=True)
class FoundChoice:
    """What a find may be, one button each: the row and part that it is written to; both empty where only an eye sees it."""

    words: str
    limit: str = ""
    part: int | None = None


@dataclass(frozen=True, slots=True)
class LookDue:
    """A look to take: why it is in (`rule`: complaint, core, worth or left), what it is worth, how likely it finds something.

    `worth`, `harm` (points) and `money` order looks and promise nothing. `seconds` with what is opened for it (`opens`). `reads`
    are the rows that a measurement writes, each with its part.
    """

    look: str
    words: str
    station: str
    rule: str
    worth: float
    harm: float
    money: float
    chance: float
    chance_words: str
    seconds: float
    opens: tuple[str, ...]
    reason: str
    is_figure: bool
    limits: tuple[str, ...]
    reads: tuple[tuple[int, str], ...]
    found: tuple[FoundChoice, ...]


@dataclass(frozen=True, slots=True)
class LookCard:
    """The looks of one station in one go; the complaint's places are a card of their own."""

    station: str
    words: str
    seconds: float
    looks: tuple[LookDue, ...]


@dataclass(frozen=True, slots=True)
class LookedCount:
    """What a bike's verdict may say: how much was looked at, how much of it found something, what was left (dearest first).

    `sentence` says it in one line: never a bare tick.
    """

    looked: int
    of: int
    found: int
    not_seen: int
    left: tuple[str, ...]
    floor_left: tuple[str, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class LookedInShort:
    """The sentence of a `LookedCount`, and whether anything was left; which of it is dearest to miss is not asked."""

    sentence: str
    is_all: bool


@dataclass(frozen=True, slots=True)
class WalkList:
    """The walk-round of a job as it is chosen now. `minutes` None: all of it; `seconds` are those of the cards.

    `enough`: what is left is worth less than its minute on the bench; the mechanic decides.
    """

    job: int
    minutes: float | None
    seconds: float
    cards: tuple[LookCard, ...]
    left: tuple[LookDue, ...]
    taken: tuple[LookTaken, ...]
    count: LookedCount
    complaints: tuple[ComplaintView, ...]
    enough: bool

    @property
    def next_card(self) -> LookCard | None:
        """The card that is up."""
        return self.cards[0] if self.cards else None


@dataclass(frozen=True, slots=True)
class _Bike:
    """A bike at this moment: its looks, what is believed, what was answered."""

    on: Mapping[str, LookOn]
    belief: LookBelief
    taken: tuple[LookTaken, ...]
    complaints: tuple[ComplaintView, ...]

    @property
    def sheet(self) -> LookSheet:
        return self.belief.sheet


@one_look()
def walk_list(job: Job, now: datetime, minutes: float | None = None) -> WalkList:
    """Return the walk-round in the order in which it is worth most within these minutes, counted from the first look.

    Raises:
        InputRefused: Fewer than two minutes.
    """
    bike = _bike(job, now)
    plan = _plan(bike, minutes)
    due = [_due(one, bike.on[one.look.id]) for one in plan.looks]
    left = tuple(_due(one, bike.on[one.look.id]) for one in plan.left)
    return WalkList(
        job.pk,
        minutes,
        round(sum(one.seconds for one in due), 1),
        tuple(_cards(due)),
        left,
        bike.taken,
        _count(bike, [*due, *left]),
        bike.complaints,
        plan.enough,
    )


@one_look()
def looked_count(job: Job, now: datetime) -> LookedCount:
    """Return how much of a bike was looked at in this stay, and what was not, the dearest to miss first."""
    bike = _bike(job, now)
    plan = _plan(bike, None)
    return _count(bike, [_due(one, bike.on[one.look.id]) for one in (*plan.looks, *plan.left)])


@one_look()
def looked_in_short(job: Job) -> LookedInShort:
    """Return how much of a bike was looked at in this stay: without forecasts, which only put what was left in order."""
    on = {one.id: one for one in looks_on(build_of(job.bike))}
    taken = _taken(job, on)
    done = {one.look for one in taken if one.answer in (SOUND, FOUND)}
    return LookedInShort(_sentence_of(on, taken), _whole(on) <= done)


def _bike(job: Job, now: datetime) -> _Bike:
    build = build_of(job.bike)
    complaints = complaints_of(job)
    sheet = look_sheet(
        build,
        complaints=[one.id for one in complaints if not one.closed],
        past=past_of(job, now),
        forecasts=forecasts_of(job, build, now),
    )
    on = {one.id: one for one in looks_on(build)}
    taken = _taken(job, on)
    belief = believed(sheet)
    for one in taken:
        if one.answer in (SOUND, FOUND):
            belief = answered(belief, one.look, one.answer == FOUND)
    for test in (
        ComplaintTest.objects.filter(told__job=job, event__corrected_by__isnull=True) if complaints else ()
    ):
        belief = told_split(belief, test.split, test.yes)
    return _Bike(on, belief, taken, complaints)


def _taken(job: Job, on: Mapping[str, LookOn]) -> tuple[LookTaken, ...]:
    """Every answer of this stay: those of cards, and of readings that were taken elsewhere."""
    found = {
        row.look: LookTaken(
            row.look,
            on[row.look].words,
            on[row.look].station,
            row.answer,
            row.event.by.name,
            row.event.at,
            row.card_id,
        )
        for row in _answers(job.pk)
        if row.look in on
    }
    read = {(one.part_id, one.limit): one for one in _read(job.pk)}
    for name, one in on.items():
        own = [read[part.id, limit.row.id] for part, limit in one.reads if (part.id, limit.row.id) in read]
        worst = max(own, key=lambda row: Verdict(row.verdict).rank, default=None)
        if worst is None:
            continue
        answer = FOUND if Verdict(worst.verdict).rank >= BAD else SOUND
        before = found.get(name)
        if before is None or before.answer not in (SOUND, FOUND) or answer == FOUND:
            card = before.card if before else None
            found[name] = LookTaken(
                name, one.words, one.station, answer, worst.event.by.name, worst.event.at, card
            )
    unseen = {(one.part, one.limit): one for one in not_seen_of(job)}
    for name, one in on.items():
        own_unseen = [
            unseen[part.id, limit.row.id] for part, limit in one.reads if (part.id, limit.row.id) in unseen
        ]
        if own_unseen and name not in found:
            told = own_unseen[0]
            found[name] = LookTaken(name, one.words, one.station, told.why, told.by, told.at, None)
    return tuple(sorted(found.values(), key=lambda one: (one.at, one.look)))


@prepared
def _answers(job: int) -> QuerySet[LookAnswer]:
    rows = LookAnswer.objects.filter(job=job, event__corrected_by__isnull=True)
    return rows.select_related("event__by").order_by("pk")


@prepared
def _read(job: int) -> QuerySet[Finding]:
    rows = Finding.objects.filter(job=job, reading__isnull=False, event__corrected_by__isnull=True)
    # A verdict, by whom and when: what was forecast and why is most of a row.
    return rows.select_related("event__by").defer("words", "forecast", "reasons", "doubts").order_by("pk")


def _plan(bike: _Bike, minutes: float | None) -> LookPlan:
    """Plan with what is left of the minutes once the looks that were answered are paid for by their seconds, not by the clock.

    What was passed over is paid for as well: whoever leaves a look has chosen so, and the gap is not filled by what is worth less.
    """
    sheet, answers = bike.sheet, {one.look: one.answer for one in bike.taken}
    looked = {name: answer == FOUND for name, answer in answers.items() if answer in (SOUND, FOUND)}
    opened = frozenset[str]().union(*(sheet.needs[sheet.look_at[name]] for name in looked))
    left, lead = minutes, None
    if minutes is not None and answers:
        first = {name for told in sheet.complaints for name in told.first}
        paid = {name: looked.get(name, False) for name in answers}
        left = max(minutes - seconds_taken(sheet, paid) / 60, 0.0)
        led = seconds_taken(sheet, {name: found for name, found in paid.items() if name in first})
        lead = max(min(LEAD_SECONDS, LEAD_SHARE * 60 * minutes) - led, 0.0)
    # The floor of safety looks first; from there the hands go on along the bike.
    is_floor_done = all(one.id in answers for one in safety_floor(sheet))
    at = next((one.station for one in reversed(bike.taken) if one.card is not None), "")
    return plan_looks(
        bike.belief, left, taken=frozenset(answers), opened=opened, lead=lead, at=at if is_floor_done else ""
    )


def _cards(due: Iterable[LookDue]) -> Iterable[LookCard]:
    """One card a station; what leads for the complaint is the first card, in its own order."""
    words = {row.id: row.words for row in tables().stations.values()}
    by_card: dict[tuple[bool, str], list[LookDue]] = {}
    for one in due:
        lead = one.rule == "complaint"
        by_card.setdefault((lead, "" if lead else one.station), []).append(one)
    for (lead, station), looks in by_card.items():
        title = worded("what the owner complains of") if lead else words.get(station, station)
        yield LookCard(
            station or "complaint", title, round(sum(one.seconds for one in looks), 1), tuple(looks)
        )


def _due(one: PlannedLook, on: LookOn) -> LookDue:
    rows = found_rows(on)
    choices = [FoundChoice(_found_words(on, row.quantity, len(rows)), row.id, part) for part, row in rows]
    if not choices and not on.row.figure:
        choices = [FoundChoice(on.row.found or "found")]
    return LookDue(
        one.look.id,
        one.look.words,
        one.look.station,
        one.rule,
        one.worth,
        one.harm,
        one.money,
        one.chance,
        often_words(one.chance),
        one.seconds,
        one.opens,
        one.reason,
        on.row.figure,
        tuple(dict.fromkeys(limit.row.id for _, limit in on.reads)),
        tuple((part.id, limit.row.id) for part, limit in on.reads),
        tuple(choices),
    )


def _found_words(on: LookOn, quantity: str, many: int) -> str:
    """One row: the look's own words; of several each by what it asks."""
    return on.row.found if many == 1 and on.row.found else quantity


def _count(bike: _Bike, open_ones: Iterable[LookDue]) -> LookedCount:
    """Count the looks of a whole walk-round: those of one tap and those that every walk-round measures."""
    whole, answers = _whole(bike.on), {one.look: one.answer for one in bike.taken}
    done = [name for name, answer in answers.items() if answer in (SOUND, FOUND)]
    floor = [one.words for one in safety_floor(bike.sheet) if one.id not in done]
    left = sorted((one for one in open_ones if one.look in whole), key=lambda one: -one.worth)
    passed = [bike.on[name].words for name, answer in answers.items() if answer not in (SOUND, FOUND)]
    return LookedCount(
        looked=len(done),
        of=len(whole | set(done)),
        found=sum(1 for name in done if answers[name] == FOUND),
        not_seen=list(answers.values()).count(NOT_SEEN),
        left=(*passed, *(one.words for one in left)),
        floor_left=tuple(floor),
        sentence=_sentence_of(bike.on, bike.taken),
    )


def _whole(on: Mapping[str, LookOn]) -> set[str]:
    """The looks of a whole walk-round: those of one tap and those that every walk-round measures."""
    return {
        name
        for name, one in on.items()
        if not one.row.figure or any(not limit.deeper for _, limit in one.reads)
    }


def _sentence_of(on: Mapping[str, LookOn], taken: Iterable[LookTaken]) -> str:
    answers = {one.look: one.answer for one in taken}
    done = [name for name, answer in answers.items() if answer in (SOUND, FOUND)]
    found, unseen = sum(1 for name in done if answers[name] == FOUND), list(answers.values()).count(NOT_SEEN)
    return _sentence(len(done), len(_whole(on) | set(done)), found, unseen)


def _sentence(looked: int, of: int, found: int, unseen: int) -> str:
    """What was found in how many of how many looks."""
    if not looked and not unseen:
        return worded("nothing looked at yet, of {of} looks", of=of)
    told = worded("{found} found", found=found) if found else worded("nothing found")
    return worded(
        "{told} in {looked} of {of} looks{unseen}",
        told=told,
        looked=looked,
        of=of,
        unseen=worded(", {unseen} could not be seen", unseen=unseen) if unseen else "",
    )
