"""The findings screen."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.findings.findings_form import ProposeForm
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.values.about import about
from pinchbolt.values.ahead import days_between, likely_words, use_words, when_words
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.looks.walk_list import LookedInShort, looked_in_short
from pinchbolt.workshop.stays.job_card import MenuRow, RefusedRow, menu, refused_here
from pinchbolt.workshop.stays.note_finding import FindingView, findings_of
from pinchbolt.workshop.stays.price import LineView, estimate
from pinchbolt.workshop.stays.propose import propose
from pinchbolt.workshop.stays.suggest import Advice, Suggestion, advice, suggestions
from pinchbolt.workshop.stays.what_next import Next, what_next
from pinchbolt.workshop.wear.kept_forecast import KeptForecast


@dataclass(frozen=True, slots=True)
class Ahead:
    """When a part reaches its limit, in the words of the page: use and day, each with its likely range or none."""

    is_past: bool
    use: str
    use_interval: str
    day_words: str
    day_interval: str


@dataclass(frozen=True, slots=True)
class FindingRow:
    """A finding, what lies ahead, what it asks for, the lines that answer it already, and what is refused or said of it."""

    seen: FindingView
    ahead: Ahead | None
    suggestions: tuple[Suggestion, ...]
    lines: tuple[LineView, ...]
    advice: tuple[Advice, ...] = ()

    @property
    def wanted(self) -> Next:
        """What is wanted next and by which day: as the owner hears it."""
        return what_next(self.seen)

    @property
    def is_chain(self) -> bool:
        """Whether ways of changing can be compared for it."""
        return self.seen.limit.startswith("chain-elongation-")

    @property
    def is_open(self) -> bool:
        """Whether it asks for something, or was answered."""
        return bool(self.seen.rank > 0 or self.suggestions or self.lines)

    @property
    def id(self) -> str:
        """The name of the row on the page."""
        return f"f{self.seen.id}"


@require_GET
def findings(request: HttpRequest, job: int) -> HttpResponse:
    """Show the findings, worst first."""
    return _page(request, job, now())


@acts(ProposeForm, lambda request, form, job: _page(request, job, now(), form))
def put_on_estimate(act: SentAct[ProposeForm], job: int) -> HttpResponse:
    """Put one operation on the estimate."""
    asked = act.form.asked(job)
    propose(asked, **act.mark)
    return back_to("findings", job=job, at=f"f{asked.finding}" if asked.finding else "menu")


@dataclass(frozen=True, slots=True)
class FindingsPage(Page):
    """What is shown: the findings."""

    every: Sequence[FindingRow]
    menu: tuple[MenuRow, ...]
    refused_here: tuple[RefusedRow, ...]
    lines: tuple[LineView, ...]
    is_open: bool
    refused_at: str
    currency: str
    picked_finding: str
    picked: str
    looked: LookedInShort
    picked_place: str
    picked_count: str

    @property
    def ends(self) -> tuple[str, ...]:
        """The ends at which work on one end is done."""
        return ("front", "rear")

    @property
    def rows(self) -> Sequence[FindingRow]:
        """Findings that ask for something, or were answered."""
        return [row for row in self.every if row.is_open]

    @property
    def sound(self) -> Sequence[FindingRow]:
        """The others."""
        return [row for row in self.every if not row.is_open]

    @property
    def line_count(self) -> int:
        """How many lines stand on the estimate."""
        return len(self.lines)

    @property
    def own_lines(self) -> Sequence[LineView]:
        """Lines that answer no finding."""
        return [line for line in self.lines if line.finding is None]

    @property
    def left(self) -> int:
        """How much is suggested and not on the estimate yet."""
        return sum(len(row.suggestions) for row in self.every)


def _page(request: HttpRequest, job: int, when: datetime, form: ProposeForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    seen = estimate(found)
    sent = form.data if form else {}
    at = f"f{sent['finding']}" if sent.get("finding") else "menu"
    page = FindingsPage(
        every=findings_rows(job),
        menu=menu(),
        refused_here=refused_here(),
        lines=seen.lines,
        is_open=not job_state(found).signed_off,
        refused_at=at if form else "",
        currency=seen.priced.currency,
        picked_finding=str(sent.get("finding", "")),
        picked=str(sent.get("operation", "")),
        picked_place=str(sent.get("place", "")),
        picked_count=str(sent.get("count", "1")),
        looked=looked_in_short(found),
    )
    return job_screen(request, job, "findings", when, "findings/findings.html", page, form)


def findings_rows(job: int) -> list[FindingRow]:
    """Return the findings of a job with what they ask for and the lines there are."""
    found = job_by_id(job)
    asked_for, said, lines = suggestions(found), advice(found), estimate(found).lines
    return [
        FindingRow(
            seen,
            ahead_of(seen.forecast),
            tuple(one for one in asked_for if one.finding == seen.id),
            tuple(line for line in lines if line.finding == seen.id),
            tuple(one for one in said if one.finding == seen.id),
        )
        for seen in findings_of(found)
    ]


def ahead_of(forecast: KeptForecast | None) -> Ahead | None:
    """Return what a forecast says of the time until the limit, or None where there is none."""
    if forecast is None:
        return None
    left, days, unit = forecast.to_limit, forecast.day_at_limit, use_words(forecast.law.driver)
    return Ahead(
        is_past=forecast.is_past,
        use="passed"
        if forecast.is_past
        else worded("about {median} {unit}", median=about(left.median), unit=unit),
        use_interval=likely_words(left.wide.low, left.wide.high, unit),
        day_words=when_words(days.median, *days.wide),
        day_interval=days_between(*days.wide),
    )
