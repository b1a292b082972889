"""The estimate screen."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.estimate.estimate_form import (
    AnswersForm,
    EstimateLineForm,
    LimitForm,
    ReachForm,
    ReasonForm,
    VisitForm,
)
from pinchbolt.bench.job_page import grouped, job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.engines.estimate import PricedEstimate
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.stays.agree_visit import agree_visit
from pinchbolt.workshop.stays.answer import HOW, WITHIN_LIMIT, answer
from pinchbolt.workshop.stays.off_the_bill import GiveBackRequest, LetOffRequest, give_back, let_off
from pinchbolt.workshop.stays.owner_texts import (
    REACHED_BY,
    NotReachedRequest,
    TextDraft,
    TextRequest,
    TryView,
    owner_texts,
    send_text,
    tries_of,
    try_owner,
)
from pinchbolt.workshop.stays.price import (
    AskingView,
    EstimateView,
    LineView,
    PriceRequest,
    ask_owner,
    line_words,
)
from pinchbolt.workshop.stays.price import estimate as estimate_of
from pinchbolt.workshop.stays.propose import ChangeRequest, WithdrawRequest, change_line, withdraw
from pinchbolt.workshop.stays.say_limit import say_limit
from pinchbolt.workshop.stays.together import others_here

_VISITS = (
    (28, worded("4 weeks")),
    (91, worded("3 months")),
    (182, worded("6 months")),
    (365, worded("a year")),
)


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

    @property
    def words(self) -> str:
        """The line with its place and count."""
        return line_words(self.line)

    @property
    def minutes(self) -> int:
        """Usual minutes of the line by itself, as its price is."""
        return self.line.money.minutes.usual + self.line.money.saved_minutes


@require_GET
def estimate(request: HttpRequest, job: int) -> HttpResponse:
    """Show the estimate."""
    return _page(request, job, now())


@acts(BenchForm, lambda request, form, job: _page(request, job, now(), form))
def ask(act: SentAct[BenchForm], job: int) -> HttpResponse:
    """Give the estimate to the owner."""
    ask_owner(PriceRequest(job), **act.mark)
    return back_to("estimate", job=job, at="answers")


@acts(AnswersForm, lambda request, form, job: _page(request, job, now(), form))
def answers(act: SentAct[AnswersForm], job: int) -> HttpResponse:
    """Write the owner's answers down."""
    answer(act.form.asked(job), **act.mark)
    return back_to("estimate", job=job, at="answers")


@acts(EstimateLineForm, lambda request, form, job: _page(request, job, now(), form))
def take_off(act: SentAct[EstimateLineForm], job: int) -> HttpResponse:
    """Take a line off the estimate."""
    withdraw(WithdrawRequest(job, act.form.checked()["line"] or 0), **act.mark)
    return back_to("estimate", job=job, at="lines")


@acts(EstimateLineForm, lambda request, form, job: _page(request, job, now(), form))
def change_parts(act: SentAct[EstimateLineForm], job: int) -> HttpResponse:
    """Change the parts of a line: the old line is withdrawn and a new one proposed in its place."""
    asked = ChangeRequest(job, act.form.checked()["line"] or 0, act.form.parts())
    new = change_line(asked, **act.mark)
    return back_to("estimate", job=job, at=f"line-{new.line}")


@acts(LimitForm, lambda request, form, job: _page(request, job, now(), form))
def limit(act: SentAct[LimitForm], job: int) -> HttpResponse:
    """Write down what the owner now allows without a call."""
    say_limit(act.form.asked(job), **act.mark)
    return back_to("estimate", job=job, at="answers")


@acts(VisitForm, lambda request, form, job: _page(request, job, now(), form))
def visit(act: SentAct[VisitForm], job: int) -> HttpResponse:
    """Write down when the bike comes again."""
    agree_visit(act.form.asked(job, local_day(act.mark["now"])), **act.mark)
    return back_to("estimate", job=job, at="visit")


@acts(ReasonForm, lambda request, form, job: _page(request, job, now(), form))
def give_line_back(act: SentAct[ReasonForm], job: int) -> HttpResponse:
    """An agreed line can't be done."""
    said = act.form.checked()
    give_back(GiveBackRequest(job, said["line"] or 0, said["reason"], said["untouched"]), **act.mark)
    return back_to("estimate", job=job, at=f"line-{said['line']}")


@acts(ReasonForm, lambda request, form, job: _page(request, job, now(), form))
def let_line_off(act: SentAct[ReasonForm], job: int) -> HttpResponse:
    """A done line is taken off the bill."""
    said = act.form.checked()
    let_off(LetOffRequest(job, said["line"] or 0, said["reason"]), **act.mark)
    return back_to("estimate", job=job, at=f"line-{said['line']}")


@acts(ReachForm, lambda request, form, job: _page(request, job, now(), form))
def tried(act: SentAct[ReachForm], job: int) -> HttpResponse:
    """The owner was tried and not reached."""
    try_owner(NotReachedRequest(job, act.form.checked()["how"] or "phone"), **act.mark)
    return back_to("estimate", job=job, at="answers")


@acts(ReachForm, lambda request, form, job: _page(request, job, now(), form))
def text_sent(act: SentAct[ReachForm], job: int) -> HttpResponse:
    """A text went to the owner."""
    said = act.form.checked()
    send_text(TextRequest(job, said["kind"] or "text", said["text"], said["how"] or "text"), **act.mark)
    return back_to("estimate", job=job, at="answers")


@dataclass(frozen=True, slots=True)
class EstimatePage(Page):
    """What is shown: the estimate."""

    seen: EstimateView
    groups: Sequence[tuple[str, list[EstimateRow]]]
    priced: PricedEstimate
    agreed: PricedEstimate
    currency: str
    declined_safety: Sequence[LineView]
    agreed_count: int
    declined_count: int
    asked: bool
    is_open: bool
    may_agree: bool
    how: tuple[str, ...]
    given: object
    answers_form: AnswersForm
    refused_line: bool
    drafts: tuple[TextDraft, ...]
    tries: tuple[TryView, ...]
    ways: tuple[str, ...]
    holds: bool
    others: Sequence[object]
    visits: tuple[tuple[int, str], ...]
    visit_form: VisitForm

    @property
    def asking(self) -> AskingView | None:
        """The newest asking."""
        return self.seen.askings[-1] if self.seen.askings else None

    @property
    def answered_count(self) -> int:
        """How many lines have an answer."""
        return len(self.seen.lines) - self.seen.open_answers


def _answered(lines: Sequence[LineView], how: str) -> list[LineView]:
    return [line for line in lines if line.answer == how]


def _page(request: HttpRequest, job: int, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    seen, state = estimate_of(found), job_state(found)
    groups = [
        (verdict, [_row(line, form) for line in lines]) for verdict, lines in grouped(seen.lines, "verdict")
    ]
    answered, declined = own_form(form, AnswersForm), _answered(seen.lines, "declined")
    page = EstimatePage(
        seen=seen,
        groups=groups,
        priced=seen.priced,
        agreed=seen.agreed,
        currency=seen.priced.currency,
        declined_safety=[line for line in declined if line.safety],
        agreed_count=len(_answered(seen.lines, "agreed")),
        declined_count=len(declined),
        asked=state.priced,
        is_open=not state.signed_off and not state.ended,
        may_agree=not state.ended,
        how=HOW,
        given=answered.data.get("how") or (WITHIN_LIMIT if within_limit(seen) else HOW[0]),
        answers_form=answered,
        refused_line=any(row.is_refused for _, rows in groups for row in rows),
        drafts=owner_texts(found, local_day(when)),
        tries=tries_of(found),
        ways=REACHED_BY,
        holds=seen.holds_on(local_day(when)),
        others=others_here(found),
        visits=_VISITS,
        visit_form=own_form(form, VisitForm),
    )
    return job_screen(request, job, "estimate", when, "estimate/estimate.html", page, form)


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
    own = [PartOnLine(part.name, f"{part.each:f}", str(part.count)) for part in line.money.parts]
    return (*own, PartOnLine("", "", ""))


def typed_parts(form: EstimateLineForm) -> tuple[PartOnLine, ...]:
    """Return the parts that were typed and refused, so that nothing is lost."""
    return tuple(
        PartOnLine(*(str(form.data.get(f"{field}-{n}", "")) for field in ("name", "each", "count")))
        for n in range(12)
        if f"name-{n}" in form.data
    )
