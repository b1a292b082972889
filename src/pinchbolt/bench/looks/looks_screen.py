"""The walk-round that is chosen: the next card at the top, one tap an answer."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.looks.looks_form import CardForm, CauseForm, ComplainForm, ComplaintTestForm, UndoForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.bench.walk_round.rows import due_of, row_id
from pinchbolt.bench.walk_round.walk_round_form import ReadingForm
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.looks.answer_looks import TakeBackLooksRequest, answer_looks, take_back_looks
from pinchbolt.workshop.looks.walk_list import LookCard, LookDue, LookTaken, WalkList, walk_list
from pinchbolt.workshop.stays import walk_round as use_case
from pinchbolt.workshop.stays.complaints import (
    ComplaintChoice,
    answer_test,
    close_complaint,
    complaint_choices,
    tell_complaints,
)
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of
from pinchbolt.workshop.stays.take_reading import take_reading
from pinchbolt.workshop.stays.walk_round import ReadingDue

ALL, USUAL = "all", "10"
MINUTES = (("5", "5 min"), ("10", "10 min"), ("20", "20 min"), (ALL, worded("all of it")))
MOST_LEFT = 6
"""Looks not in these minutes that the page names, the dearest first."""


def _minutes(told: str) -> str:
    return told if told in dict(MINUTES) else USUAL


def _minutes_of(request: HttpRequest) -> str:
    return _minutes(str(request.POST.get("minutes") or request.GET.get("minutes") or USUAL))


def _number(minutes: str) -> float | None:
    return None if minutes == ALL else float(minutes)


@require_GET
def looks(request: HttpRequest, job: int) -> HttpResponse:
    """Show the next card, and below it what was looked at and what was not."""
    return _page(request, job, now())


def _again(request: HttpRequest, form: BenchForm, job: int) -> HttpResponse:
    return _page(request, job, now(), form)


@acts(CardForm, _again)
def card(act: SentAct[CardForm], job: int) -> HttpResponse:
    """Write the answers of a card down."""
    chosen = walk_list(job_by_id(job), act.now, _number(_minutes_of(act.request)))
    due = {one.look: one for card in chosen.cards for one in card.looks} | {
        one.look: one for one in chosen.left
    }
    done = answer_looks(act.form.asked(job, due), **act.mark)
    return _back(act.request, job, card=done.card)


def _row(request: HttpRequest) -> str:
    return str(request.POST.get("row", ""))[:120]


@acts(lambda request: ReadingForm(request.POST, prefix=_row(request)), _again)
def measured(act: SentAct[ReadingForm], job: int) -> HttpResponse:
    """Take a reading by one of its buttons."""
    _, due = due_of(job, act.now, _row(act.request))
    take_reading(act.form.asked(job, due), **act.mark)
    return _back(act.request, job)


@acts(UndoForm, _again)
def take_back(act: SentAct[UndoForm], job: int) -> HttpResponse:
    """Take back a tap."""
    said = act.form.checked()
    if said["card"] is None:
        raise InputRefused(worded("Which tap was wrong can't be read from this page. Reload it."))
    take_back_looks(TakeBackLooksRequest(job, said["card"]), **act.mark)
    return _back(act.request, job)


@acts(ComplainForm, _again)
def complain(act: SentAct[ComplainForm], job: int) -> HttpResponse:
    """Write down what the owner complains of."""
    tell_complaints(act.form.asked(job), **act.mark)
    return _back(act.request, job)


@acts(ComplaintTestForm, _again)
def tested(act: SentAct[ComplaintTestForm], job: int) -> HttpResponse:
    """Write the answer to a test of a complaint."""
    answer_test(act.form.asked(job), **act.mark)
    return _back(act.request, job)


@acts(CauseForm, _again)
def cause(act: SentAct[CauseForm], job: int) -> HttpResponse:
    """Write down what caused a complaint."""
    close_complaint(act.form.asked(job), **act.mark)
    return _back(act.request, job)


def _back(request: HttpRequest, job: int, **query: object) -> HttpResponse:
    return back_to("looks", job=job, query={"minutes": _minutes_of(request), **query})


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """A reading that the card measures: its buttons, or where it has none the place at which it is typed."""

    look: LookDue
    due: ReadingDue
    place: str

    @property
    def id(self) -> str:
        """The name of its row."""
        return row_id(self.due)


@dataclass(frozen=True, slots=True)
class TapRow:
    """One tap of this stay, to be taken back: which looks, what they found, by whom."""

    card: int
    by: str
    at: datetime
    looks: tuple[LookTaken, ...]

    @property
    def found(self) -> tuple[LookTaken, ...]:
        """Those with anything but a sound answer."""
        return tuple(one for one in self.looks if one.answer != "sound")

    @property
    def summary(self) -> str:
        """What is said of it in one line."""
        many = len(self.looks)
        first = self.looks[0].words if many == 1 else worded("{many} looks", many=many)
        others = [f"{one.words}: {one.answer}" for one in self.found]
        return f"{first}: {(worded('all good') if not others else ', '.join(others))}"


@dataclass(frozen=True, slots=True)
class LooksPage(Page):
    """What is shown: the next card and what surrounds it."""

    chosen: WalkList
    minutes: str
    all_minutes: tuple[tuple[str, str], ...]
    measures: tuple[MeasureRow, ...]
    taps: tuple[TapRow, ...]
    choices: tuple[ComplaintChoice, ...]
    findings: tuple[FindingView, ...]
    just_now: int

    @property
    def up(self) -> LookCard | None:
        """The card that is up."""
        return self.chosen.next_card

    @property
    def by_tap(self) -> tuple[LookDue, ...]:
        """Its looks of one tap."""
        return tuple(one for one in self.up.looks if not one.is_figure) if self.up else ()

    @property
    def no_row(self) -> tuple[LookDue, ...]:
        """Its measurements that no reading row holds: they are ticked like the others."""
        with_row = {one.look.look for one in self.measures}
        return (
            tuple(one for one in self.up.looks if one.is_figure and one.look not in with_row)
            if self.up
            else ()
        )

    @property
    def rest_not_looked(self) -> tuple[str, ...]:
        """Looks that the card's one button leaves as not looked at: those without a row, or where it has nothing else all of it."""
        if self.by_tap or self.no_row:
            return tuple(one.look for one in self.no_row)
        return tuple(dict.fromkeys(row.look.look for row in self.measures))

    @property
    def cards_to_go(self) -> tuple[LookCard, ...]:
        """The cards behind it."""
        return self.chosen.cards[1:]

    @property
    def last_tap(self) -> TapRow | None:
        """The tap that was just made, to be taken back on the spot."""
        return next((one for one in self.taps if one.card == self.just_now), None)

    @property
    def left_named(self) -> tuple[str, ...]:
        """What is not in these minutes, the dearest to miss first."""
        return tuple(one.words for one in self.chosen.left[:MOST_LEFT])

    @property
    def left_more(self) -> int:
        """How many more."""
        return max(len(self.chosen.left) - MOST_LEFT, 0)


def _page(request: HttpRequest, job: int, when: datetime, refused: BenchForm | None = None) -> HttpResponse:
    found, minutes = job_by_id(job), _minutes_of(request)
    chosen = walk_list(found, when, _number(minutes))
    told = {one.id for one in chosen.complaints}
    just_now = request.GET.get("card", "")
    page = LooksPage(
        chosen=chosen,
        minutes=minutes,
        all_minutes=MINUTES,
        measures=tuple(_measures(chosen, use_case.walk_round(found, when))) if _has_figure(chosen) else (),
        taps=_taps(chosen.taken),
        choices=tuple(one for one in complaint_choices() if one.id not in told),
        findings=tuple(one for one in findings_of(found) if one.rank > 0) if chosen.complaints else (),
        just_now=int(just_now) if just_now.isascii() and just_now.isdigit() and len(just_now) < 19 else 0,
    )
    return job_screen(request, job, "walk-round", when, "looks/looks.html", page, refused)


def _has_figure(chosen: WalkList) -> bool:
    return chosen.next_card is not None and any(one.is_figure for one in chosen.next_card.looks)


def _measures(chosen: WalkList, places: Iterable[use_case.PlaceDue]) -> Iterable[MeasureRow]:
    rows = {(due.part, due.limit): (place.id, due) for place in places for due in place.readings}
    for look in chosen.next_card.looks if chosen.next_card else ():
        for key in look.reads if look.is_figure else ():
            if key in rows and rows[key][1].taken is None:
                place, due = rows[key]
                yield MeasureRow(look, due, place)


def _taps(taken: Iterable[LookTaken]) -> tuple[TapRow, ...]:
    """The taps of this stay, newest first; readings that were taken elsewhere are none."""
    by_card: dict[int, list[LookTaken]] = {}
    for one in taken:
        if one.card is not None:
            by_card.setdefault(one.card, []).append(one)
    rows = [TapRow(card, looks[0].by, looks[0].at, tuple(looks)) for card, looks in by_card.items()]
    return tuple(sorted(rows, key=lambda row: (row.at, row.card), reverse=True))
