"""The job card."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.bench.work.work_form import AsideForm, LineDoneForm, MeasureOffForm, StandForm
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.on_stands import StandNow, stands_now
from pinchbolt.workshop.acts.state import JobState, Where, job_state
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.bikes.opened_joints import JointQuestion
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.stays.job_card import CardLine, JobCard, job_card
from pinchbolt.workshop.stays.measure_off import measure_off
from pinchbolt.workshop.stays.price import estimate
from pinchbolt.workshop.stays.ring_first import rings_first
from pinchbolt.workshop.stays.start_work import (
    ArrivedRequest,
    finish_line,
    part_arrived,
    put_on_stand,
    set_aside,
    start_work,
)
from pinchbolt.workshop.torque.torque_sheet import JointView, sheet_with_order


@require_GET
def work(request: HttpRequest, job: int) -> HttpResponse:
    """Show the job card."""
    return _page(request, job, now())


@acts(StandForm, lambda request, form, job: _page(request, job, now(), form))
def on_stand(act: SentAct[StandForm], job: int) -> HttpResponse:
    """Put the bike on a stand; starts the work where it is agreed and was asked for."""
    put = start_work if act.request.POST.get("start") else put_on_stand
    put(act.form.asked(job), **act.mark)
    return back_to("work", job=job)


@acts(AsideForm, lambda request, form, job: _page(request, job, now(), form))
def aside(act: SentAct[AsideForm], job: int) -> HttpResponse:
    """Set the bike aside to wait."""
    set_aside(act.form.asked(job), **act.mark)
    return back_to("work", job=job)


@acts(BenchForm, lambda request, form, job: _page(request, job, now(), form))
def arrived(act: SentAct[BenchForm], job: int) -> HttpResponse:
    """The part is here."""
    part_arrived(ArrivedRequest(job), **act.mark)
    return back_to("work", job=job)


@acts(LineDoneForm, lambda request, form, job: _page(request, job, now(), form))
def line_done(act: SentAct[LineDoneForm], job: int) -> HttpResponse:
    """An agreed line was done."""
    asked = act.form.asked(job)
    finish_line(asked, **act.mark)
    return back_to("work", job=job, at=f"line-{asked.line}")


@acts(MeasureOffForm, lambda request, form, job: _page(request, job, now(), form))
def measured_off(act: SentAct[MeasureOffForm], job: int) -> HttpResponse:
    """What a chain that came off measured."""
    asked = act.form.asked(job)
    measure_off(asked, **act.mark)
    return back_to("work", job=job, at=f"off-{asked.part}")


@dataclass(frozen=True, slots=True)
class WorkPage(Page):
    """What is shown: the job card."""

    card: JobCard
    cautions: tuple[str, ...]
    state: JobState
    sheet: tuple[JointView, ...]
    to_find_out: Sequence[JointQuestion]
    unanswered: int
    stands: tuple[StandNow, ...]
    ring_first: bool
    aside_form: AsideForm
    aside_refused: bool
    off_form: MeasureOffForm

    @property
    def undone_joints(self) -> Sequence[JointView]:
        """Joints without a done value inside their window."""
        return [joint for joint in self.sheet if joint.done is None or not joint.done.holds]

    @property
    def undone_lines(self) -> Sequence[CardLine]:
        """Agreed lines that nobody has done."""
        return [line for line in self.card.lines if not line.done_by]

    @property
    def all_done(self) -> bool:
        """Whether the bike can be looked over."""
        open_ones = self.undone_lines or self.undone_joints or self.to_find_out
        return bool(self.state.started) and not open_ones

    @property
    def may_start(self) -> bool:
        """Whether the work can begin: there is some that the owner agreed."""
        return bool(self.card.lines) and not self.state.started

    @property
    def on_stand(self) -> bool:
        """Whether the bike is on a stand."""
        return self.state.where is Where.STAND

    @property
    def waits_for_part(self) -> bool:
        """Whether it was set aside for a part."""
        return self.state.where is Where.PART

    @property
    def is_open(self) -> bool:
        """Whether the job can still be worked on."""
        return not self.state.signed_off and not self.state.ended


def _page(request: HttpRequest, job: int, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    state, card = job_state(found), job_card(found)
    told = sheet_with_order(found, local_day(when))
    # Of a joint that can throw the rider it must be known whether the work opened it.
    to_find_out = [one for one in told.open if one.critical == "A"]
    page = WorkPage(
        card=card,
        cautions=cautions(found.bike),
        state=state,
        sheet=told.joints,
        to_find_out=to_find_out,
        unanswered=estimate(found).open_answers,
        stands=stands_now(),
        ring_first=rings_first(found),
        aside_form=own_form(form, AsideForm),
        aside_refused=isinstance(form, AsideForm),
        off_form=own_form(form, MeasureOffForm),
    )
    return job_screen(request, job, "work", when, "work/work.html", page, form)
