"""The estimate screen."""

from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.estimate.estimate_form import AnswersForm, EstimateLineForm
from pinchbolt.bench.job_page import back_to, grouped, job_screen
from pinchbolt.bench.shared import by, now
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.stays.answer import HOW, answer
from pinchbolt.workshop.stays.price import EstimateView, LineView, PriceRequest, ask_owner
from pinchbolt.workshop.stays.price import estimate as estimate_of
from pinchbolt.workshop.stays.propose import ChangeRequest, WithdrawRequest, change_line, withdraw


@dataclass(frozen=True, slots=True)
class PartOnLine:
    """A part of a line as the page lets it be changed; an empty row takes a further one."""

    name: str
    each: str
    count: str


@dataclass(frozen=True, slots=True)
class EstimateRow:
    """A line as the page shows it, with what was entered at it."""

    line: LineView
    entered: str
    is_refused: bool
    rows: tuple[PartOnLine, ...]

    @property
    def id(self) -> str:
        """The name of the line on the page."""
        return f"line-{self.line.id}"


@require_GET
def estimate(request: HttpRequest, job: int) -> HttpResponse:
    """Show the estimate."""
    return _page(request, job, now())


@require_POST
def ask(request: HttpRequest, job: int) -> HttpResponse:
    """Give the estimate to the owner."""
    when, form = now(), BenchForm(request.POST)
    job_by_id(job)
    with form.refusable():
        ask_owner(PriceRequest(job), by=by(request), key=form.key, now=when)
        return back_to(job, "estimate", at="answers")
    return _page(request, job, when, form)


@require_POST
def answers(request: HttpRequest, job: int) -> HttpResponse:
    """Write the owner's answers down."""
    when, form = now(), AnswersForm(request.POST)
    job_by_id(job)
    with form.refusable():
        answer(form.asked(job), by=by(request), key=form.key, now=when)
        return back_to(job, "estimate", at="answers")
    return _page(request, job, when, form)


@require_POST
def take_off(request: HttpRequest, job: int) -> HttpResponse:
    """Take a line off the estimate."""
    when, form = now(), EstimateLineForm(request.POST)
    job_by_id(job)
    with form.refusable():
        withdraw(WithdrawRequest(job, form.checked()["line"] or 0), by=by(request), key=form.key, now=when)
        return back_to(job, "estimate", at="lines")
    return _page(request, job, when, form)


@require_POST
def change_parts(request: HttpRequest, job: int) -> HttpResponse:
    """Change the parts of a line: the old line is withdrawn and a new one proposed in its place."""
    when, form = now(), EstimateLineForm(request.POST)
    job_by_id(job)
    with form.refusable():
        asked = ChangeRequest(job, form.checked()["line"] or 0, form.parts())
        new = change_line(asked, by=by(request), key=form.key, now=when)
        return back_to(job, "estimate", at=f"line-{new.line}")
    return _page(request, job, when, form)


def _page(request: HttpRequest, job: int, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    seen, state = estimate_of(found), job_state(found)
    groups = [
        (verdict, [_row(line, form) for line in lines]) for verdict, lines in grouped(seen.lines, "verdict")
    ]
    answered = form if isinstance(form, AnswersForm) else AnswersForm()
    context = {
        "seen": seen,
        "groups": groups,
        "priced": seen.priced,
        "agreed": seen.agreed,
        "currency": seen.priced.currency,
        "unknown_lines": [line for line in seen.lines if str(line.id) in seen.priced.waiting_unknown],
        "declined_safety": [line for line in seen.lines if line.answer == "declined" and line.safety],
        "agreed_count": sum(1 for line in seen.lines if line.answer == "agreed"),
        "declined_count": sum(1 for line in seen.lines if line.answer == "declined"),
        "asked": state.priced,
        "is_open": not state.signed_off,
        "how": HOW,
        "given": answered.data.get("how")
        or ("within the limit agreed at check-in" if within_limit(seen) else HOW[0]),
        "answers_form": answered,
        "refused_line": any(row.is_refused for _, rows in groups for row in rows),
    }
    return job_screen(request, job, "estimate", when, "estimate/estimate.html", context, form)


def within_limit(seen: EstimateView) -> bool:
    """Whether the high figure lies within what the owner allowed without a call."""
    return seen.spend_limit is not None and not seen.over_limit


def _row(line: LineView, form: BenchForm | None) -> EstimateRow:
    """The refused form's entries stand at their own line; an empty row takes a further part."""
    entered = (
        form.data.get(f"answer-{line.id}", line.answer) if isinstance(form, AnswersForm) else line.answer
    )
    if isinstance(form, EstimateLineForm) and form.data.get("line") == str(line.id):
        return EstimateRow(line, entered, True, typed_parts(form) or _own_parts(line))
    return EstimateRow(line, entered, False, _own_parts(line))


def _own_parts(line: LineView) -> tuple[PartOnLine, ...]:
    own = [PartOnLine(part.name, f"{part.each:.2f}", str(part.count)) for part in line.money.parts]
    return (*own, PartOnLine("", "", ""))


def typed_parts(form: EstimateLineForm) -> tuple[PartOnLine, ...]:
    """Return the parts that were typed and refused, so that nothing is lost."""
    return tuple(
        PartOnLine(*(str(form.data.get(f"{field}-{n}", "")) for field in ("name", "each", "count")))
        for n in range(12)
        if f"name-{n}" in form.data
    )
