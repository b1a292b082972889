"""The findings screen."""

from dataclasses import dataclass
from datetime import date, datetime
from math import inf
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from pinchbolt.bench.findings.form import ProposeForm
from pinchbolt.bench.job_page import back_to, job_screen
from pinchbolt.bench.shared import by, now
from pinchbolt.values.about import about
from pinchbolt.workshop.find import FindingSeen, findings_of
from pinchbolt.workshop.job_card import menu
from pinchbolt.workshop.looking_up import job_by_id
from pinchbolt.workshop.price import LineSeen, estimate
from pinchbolt.workshop.propose import Advice, Suggestion, advice, propose, suggestions
from pinchbolt.workshop.state import job_state
from pinchbolt.workshop.what_next import Next, what_next


@dataclass(frozen=True, slots=True)
class Ahead:
    """When a part reaches its limit, in the words of the page: use and day, each with its 8-in-10 interval."""

    use: str
    use_interval: str
    day: date | None
    first_day: date | None
    last_day: date | None
    is_past: bool
    chance_past: float

    @property
    def day_words(self) -> str:
        """The likeliest day."""
        return _day_words(self.day)

    @property
    def day_interval(self) -> str:
        """The days between which it lies in 8 cases of 10."""
        return f"{_day_words(self.first_day)} to {_day_words(self.last_day)}"


@dataclass(frozen=True, slots=True)
class Row:
    """A finding, what lies ahead, what it asks for, the lines that answer it already, and what is refused or said of it."""

    seen: FindingSeen
    ahead: Ahead | None
    suggestions: tuple[Suggestion, ...]
    lines: tuple[LineSeen, ...]
    advice: tuple[Advice, ...] = ()

    @property
    def wanted(self) -> Next:
        """What is wanted next and by which day: as the owner hears it."""
        return what_next(self.seen.verdict, self.seen.forecast, self.seen.day)

    @property
    def is_chain(self) -> bool:
        """Whether ways of changing can be compared for it."""
        return self.seen.limit.startswith("chain-elongation-")

    @property
    def id(self) -> str:
        """The name of the row on the page."""
        return f"f{self.seen.id}"


@require_GET
def findings(request: HttpRequest, job: int) -> HttpResponse:
    """Show the findings, worst first."""
    return _page(request, job, now())


@require_POST
def put_on_estimate(request: HttpRequest, job: int) -> HttpResponse:
    """Put one operation on the estimate."""
    when = now()
    job_by_id(job)
    form = ProposeForm(request.POST)
    with form.refusable():
        asked = form.asked(job)
        propose(asked, by=by(request), key=form.key, now=when)
        return back_to(job, "findings", at=f"f{asked.finding}" if asked.finding else "menu")
    return _page(request, job, when, form)


def _page(request: HttpRequest, job: int, when: datetime, form: ProposeForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    rows = findings_rows(found)
    worth = [row for row in rows if row.seen.rank > 0 or row.suggestions or row.lines]
    seen = estimate(found)
    lines = seen.lines
    context = {
        "rows": worth,
        "sound": [row for row in rows if row not in worth],
        "menu": menu(),
        "line_count": len(lines),
        "own_lines": [line for line in lines if line.finding is None],
        "left": sum(len(row.suggestions) for row in rows),
        "is_open": not job_state(found).signed_off,
        "refused_at": f"f{form.data.get('finding')}"
        if form and form.data.get("finding")
        else "menu"
        if form
        else "",
        "currency": seen.priced.currency,
        "picked_finding": form.data.get("finding", "") if form else "",
        "picked": form.data.get("operation", "") if form else "",
    }
    return job_screen(request, job, "findings", when, "findings/findings.html", context, form)


def findings_rows(job: Any) -> list[Row]:
    """Return the findings of a job with what they ask for and the lines there are."""
    asked_for, said = suggestions(job), advice(job)
    lines = estimate(job).lines
    return [
        Row(
            seen,
            ahead_of(seen.forecast),
            tuple(one for one in asked_for if one.finding == seen.id),
            tuple(line for line in lines if line.finding == seen.id),
            tuple(one for one in said if one.finding == seen.id),
        )
        for seen in findings_of(job)
    ]


def ahead_of(forecast: dict[str, Any] | None) -> Ahead | None:
    """Return what a forecast says of the time until the limit, or None where there is none."""
    if not forecast:
        return None
    left, days = forecast["to_limit"], forecast["day_at_limit"]
    unit = {"km": "km", "h": "hours", "days": "days"}[forecast["law"]["driver"]]
    low, high = left["wide"]["low"], left["wide"]["high"]
    return Ahead(
        use="passed"
        if forecast["chance_past_limit"] > 0.5
        else f"about {about(left['median'] or 0.0)} {unit}",
        use_interval=f"{about(low or 0.0)} to {about(inf if high is None else high)} {unit}",
        day=_day(days["median"]),
        first_day=_day(days["wide"][0]),
        last_day=_day(days["wide"][1]),
        is_past=forecast["chance_past_limit"] > 0.5,
        chance_past=forecast["chance_past_limit"],
    )


def _day_words(day: date | None) -> str:
    return f"{day.day} {day:%b %Y}" if day else "not within ten years"


def _day(said: str | None) -> date | None:
    return date.fromisoformat(said) if said else None
