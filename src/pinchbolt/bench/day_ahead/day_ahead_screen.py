"""The day ahead, the days told at check-in and on the estimate, and the calendars."""

from dataclasses import dataclass
from itertools import chain, repeat

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.bench.addresses import address
from pinchbolt.bench.day_told import day_sent, day_told
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.errors import NotFound, NotPossibleNow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.day.calendar import SHOP, calendar, feed_mark, whose_feed
from pinchbolt.workshop.day.day_board import DayBoard, NextJob, day_board
from pinchbolt.workshop.day.days_told import (
    DaysTold,
    PromiseNow,
    day_at_odds,
    days_for_job,
    days_for_new,
    promises_now,
)
from pinchbolt.workshop.day.jobs_ahead import SIZES


@dataclass(frozen=True, slots=True)
class FeedView:
    """A calendar: whose it is, where it is on this page's server, and the whole address that a calendar program reads."""

    name: str
    here: str
    whole: str


@dataclass(frozen=True, slots=True)
class DayAheadPage(Page):
    """What is shown: the day ahead."""

    title: str
    board: DayBoard
    today: str
    feeds: tuple[FeedView, ...]

    @property
    def offers(self) -> tuple[tuple[int, NextJob | None], ...]:
        """Each free stand with the bike that is next for it, each bike once."""
        return tuple(zip(self.board.free_stands, chain(self.board.next_up, repeat(None)), strict=False))

    @property
    def lanes(self) -> tuple[tuple[str, tuple[NextJob, ...]], ...]:
        """What is due and what waits."""
        board = self.board
        return (
            ("Overdue", board.overdue), (worded("Due today"), board.due_today), (worded("Waiting for a part"), board.for_part),
            (worded("Waiting for the owner"), board.for_owner), ("Curing", board.curing),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class DaysToldPage(Page):
    """What is shown: three days with their odds, in a piece of a page. `job` 0: at check-in.

    `standing` is what is promised of it now; `calls` counts the promises under 6 in 10, this one or others; `chosen` is the day that
    was tapped before, as the form sent it.
    """

    told: DaysTold
    job: int
    tag: str
    size: str
    sizes: tuple[str, ...]
    standing: PromiseNow | None = None
    calls: int = 0
    chosen: str = ""

    @property
    def days(self) -> tuple["DayButton", ...]:
        """The days as buttons; what was tapped before is among them."""
        days = [DayButton(one.words, day_sent(one), one == self.told.best) for one in self.told.days]
        at, odds = day_told(self.chosen)
        if at is not None and odds is not None and self.chosen not in [one.sent for one in days]:
            days.append(
                DayButton(
                    worded("{words}, as tapped before", words=day_at_odds(at, odds).words), self.chosen, False
                )
            )
        return tuple(days)


@dataclass(frozen=True, slots=True)
class NoDaysPage(Page):
    """What is shown in its place where no day can be told: why."""

    words: str


@dataclass(frozen=True, slots=True)
class DayButton:
    """A day: its words, as a form sends it, and whether it is that at the shop's odds."""

    words: str
    sent: str
    is_best: bool


@require_safe
def day_ahead(request: HttpRequest) -> HttpResponse:
    """The day on the board."""
    moment = now()
    board, local = day_board(moment), timezone.localtime(moment)
    whose = [(SHOP, worded("the shop")), *((one.sign_in, one.name) for one in board.people)]
    here = [(name, address("calendar_feed", whose=one, mark=feed_mark(one))) for one, name in whose]
    feeds = tuple(FeedView(name, path, request.build_absolute_uri(path)) for name, path in here)
    page = DayAheadPage(worded("the day ahead"), board, f"{local:%A} {local.day} {local:%B}", feeds)
    return screen(request, "day_ahead/day_ahead.html", page)


@require_safe
def days_at_check_in(request: HttpRequest) -> HttpResponse:
    """Three days for a bike that comes in, by about how much work it is."""
    size = request.GET.get("size", "")[:20] or "usual"
    chosen = request.GET.get("chosen", "")[:30]
    try:
        page = DaysToldPage(days_for_new(size, now()), 0, "", size, SIZES, chosen=chosen)
    except NotPossibleNow as why:
        return _no_days(request, why)
    return screen(request, "day_ahead/_days.html", page)


@require_safe
def days_of_job(request: HttpRequest, job: int) -> HttpResponse:
    """Three days for a job that is here."""
    moment = now()
    try:
        told, promises = days_for_job(job, moment), promises_now(moment)
    except NotPossibleNow as why:
        return _no_days(request, why)
    standing = next((one for one in promises if one.job == job), None)
    calls = sum(1 for one in promises if one.call)
    page = DaysToldPage(told, job, job_by_id(job).bike.tag, "", (), standing, calls)
    return screen(request, "day_ahead/_days.html", page)


def _no_days(request: HttpRequest, why: NotPossibleNow) -> HttpResponse:
    """A piece again, for a page that goes on: a day can be chosen by hand."""
    return screen(request, "day_ahead/_no_days.html", NoDaysPage(str(why)))


@login_not_required
@require_safe
def calendar_feed(request: HttpRequest, whose: str, mark: str) -> HttpResponse:
    """A calendar as any calendar program reads it: its address is its key, and nobody's name or number is in it."""
    try:
        text = calendar(whose_feed(whose, mark), now())
    except NotFound as unknown:
        return HttpResponse(f"{unknown}\n", content_type="text/plain; charset=utf-8", status=404)
    answer = HttpResponse(text, content_type="text/calendar; charset=utf-8")
    answer.headers["Content-Disposition"] = f'inline; filename="{whose}.ics"'
    return answer
