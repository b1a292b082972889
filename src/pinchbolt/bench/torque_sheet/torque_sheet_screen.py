"""The torque sheet: one joint at a time, in working order."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.found_out_form import FoundOutForm
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.bench.torque_sheet.torque_sheet_form import TARGET, BoltForm, DoneForm, JointForm, MarkingForm
from pinchbolt.engines.torque import ToolSpec
from pinchbolt.errors import AsksSure, NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.bikes.cautions import marking_wins
from pinchbolt.workshop.bikes.change_build import describe
from pinchbolt.workshop.bikes.opened_joints import JointQuestion
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.stays.job_card import JointNamed, joints_to_add
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.torque import torque_sheet as use_case
from pinchbolt.workshop.torque.bolt_read import preparations, property_classes, read_bolt, threads
from pinchbolt.workshop.torque.read_marking import read_marking
from pinchbolt.workshop.torque.record_done import DoneByHandRequest, record_done, tighten_by_hand
from pinchbolt.workshop.torque.torque_sheet import AddJointRequest, JointView, OrderView, add_joint


@require_GET
def torque_sheet(request: HttpRequest, job: int) -> HttpResponse:
    """Go to the first joint without a done value inside its window; with an empty sheet, show what can be put on it."""
    sheet = use_case.torque_sheet(job_by_id(job), local_day(now()))
    following = next((joint for joint in sheet if _is_open(joint)), sheet[0] if sheet else None)
    if following is not None:
        return redirect("joint", job=job, joint=following.joint)
    return _page(request, job, "", now())


@require_GET
def joint(request: HttpRequest, job: int, joint: str) -> HttpResponse:
    """Show one joint."""
    return _page(request, job, joint, now())


@acts(DoneForm, lambda request, form, job, joint: _page(request, job, joint, now(), form))
def done(act: SentAct[DoneForm], job: int, joint: str) -> HttpResponse:
    """Write a done value down and go to the next open joint."""
    found = job_by_id(job)
    record_done(act.form.asked(job, joint), **act.mark)
    following = _next_open(use_case.torque_sheet(found, local_day(act.now)), joint)
    return back_to("joint", job=job, joint=following, at="joint")


@acts(BenchForm, lambda request, form, job, joint: _page(request, job, joint, now(), form))
def by_hand(act: SentAct[BenchForm], job: int, joint: str) -> HttpResponse:
    """Write down that a joint too small for any torque tool was done by hand."""
    found = job_by_id(job)
    tighten_by_hand(DoneByHandRequest(job, joint), **act.mark)
    following = _next_open(use_case.torque_sheet(found, local_day(act.now)), joint)
    return back_to("joint", job=job, joint=following, at="joint")


@acts(MarkingForm, lambda request, form, job, joint: _page(request, job, joint, now(), form))
def marking(act: SentAct[MarkingForm], job: int, joint: str) -> HttpResponse:
    """Write a marking down: the window and the setting follow it at once."""
    tag = job_by_id(job).bike.tag
    read_marking(act.form.asked(tag, joint), **act.mark)
    return back_to("joint", job=job, joint=joint, at="joint")


@acts(BoltForm, lambda request, form, job, joint: _page(request, job, joint, now(), form))
def bolt(act: SentAct[BoltForm], job: int, joint: str) -> HttpResponse:
    """Write down what was read on the joint's bolt: what the torque buys follows it at once."""
    tag = job_by_id(job).bike.tag
    read_bolt(act.form.asked(tag, joint), **act.mark)
    return back_to("joint", job=job, joint=joint, at="joint")


@acts(JointForm, lambda request, form, job: _page(request, job, "", now(), form))
def add(act: SentAct[JointForm], job: int) -> HttpResponse:
    """Put a joint on the sheet."""
    wanted = act.form.checked()["joint"]
    add_joint(AddJointRequest(job, wanted), **act.mark)
    return back_to("joint", job=job, joint=wanted, at="joint")


@acts(FoundOutForm, lambda request, form, job: _page(request, job, "", now(), form))
def told(act: SentAct[FoundOutForm], job: int) -> HttpResponse:
    """Write down what was read off a part: the joints that it decides about are on the sheet at once, or known not to be."""
    job_by_id(job)  # the part is asked for without its job, which has to be there all the same
    describe(act.form.asked(), **act.mark)
    return back_to("torque_sheet", job=job)


def _is_open(joint: JointView) -> bool:
    return joint.done is None or not joint.done.holds


def _next_open(sheet: tuple[JointView, ...], after: str) -> str:
    """Return the next open joint after one, round the sheet; the same where none is open."""
    names = [one.joint for one in sheet]
    start = names.index(after) if after in names else 0
    return next((one.joint for one in (*sheet[start:], *sheet[:start]) if _is_open(one)), after)


@dataclass(frozen=True, slots=True)
class TorqueSheetPage(Page):
    """What is shown: one joint of the torque sheet."""

    joints: tuple[JointView, ...]
    here: JointView | None
    place: int
    order: OrderView
    open_questions: tuple[JointQuestion, ...]
    tools: Sequence[ToolSpec]
    sent: BenchForm | None
    done_form: DoneForm
    marking_form: MarkingForm
    bolt_form: BoltForm
    target: str
    marking_wins: str
    preparations: tuple[str, ...]
    property_classes: tuple[str, ...]
    threads: tuple[str, ...]
    to_add: tuple[JointNamed, ...]
    started: bool
    is_open: bool

    @property
    def sheet(self) -> Sequence[tuple[JointView, bool]]:
        """Every joint, and whether it is open."""
        return [(one, _is_open(one)) for one in self.joints]

    @property
    def count(self) -> int:
        """How many joints there are."""
        return len(self.joints)

    @property
    def open_count(self) -> int:
        """How many of them are open."""
        return sum(1 for one in self.joints if _is_open(one))

    @property
    def number(self) -> int:
        """Which of them this is, counted from one."""
        return self.place + 1

    @property
    def following(self) -> JointView | None:
        """The one after it, round the sheet."""
        return self.joints[self.number % self.count] if self.count > 1 else None

    @property
    def chosen_tool(self) -> object:
        """The tool that was picked, else the one that the setting is for."""
        suggested = self.here.setting.tool if self.here and self.here.setting else ""
        return self.done_form.data.get("tool") or suggested

    @property
    def by_table(self) -> bool:
        """Whether no marking governs the window."""
        return bool(self.here and self.here.window and self.here.window.cap_by.kind != "marking")

    @property
    def done_said(self) -> str:
        """What was said of a done value that was refused."""
        return said_of(self.done_form, "done_n_m")

    @property
    def asks_sure(self) -> bool:
        """Whether the done value is asked for once more."""
        return asks_sure(self.done_form)

    @property
    def marking_said(self) -> str:
        """What was said of a marking that was refused."""
        return said_of(self.marking_form, "greatest_n_m")

    @property
    def marking_refused(self) -> bool:
        """Whether a marking was refused."""
        return isinstance(self.sent, MarkingForm)

    @property
    def marking_means(self) -> object:
        """What the marking was said to mean."""
        return "" if self.sent is None else self.sent.data.get("means", "")

    @property
    def bolt_refused(self) -> bool:
        """Whether what was read on a bolt was refused."""
        return isinstance(self.sent, BoltForm)


def _page(
    request: HttpRequest, job: int, name: str, when: datetime, form: BenchForm | None = None
) -> HttpResponse:
    found = job_by_id(job)
    told = use_case.sheet_with_order(found, local_day(when))
    sheet = told.joints
    here = next((one for one in sheet if one.joint == name), None)
    if name and here is None:
        raise NotFound(
            worded(
                "This joint is not on the torque sheet of this job. Choose one from the sheet, or "
                "put it there."
            )
        )
    order = [one.joint for one in sheet]
    place = order.index(name) if name else 0
    state = job_state(found)
    is_open = not state.signed_off and not state.ended
    page = TorqueSheetPage(
        joints=sheet,
        here=here,
        place=place,
        order=told.order,
        open_questions=told.open if is_open else (),
        tools=torque_tools(),
        sent=form,
        done_form=own_form(form, DoneForm),
        marking_form=own_form(form, MarkingForm),
        bolt_form=own_form(form, BoltForm),
        target=TARGET,
        marking_wins=marking_wins(),
        preparations=preparations(),
        property_classes=property_classes(),
        threads=threads(),
        to_add=joints_to_add(found, order),
        started=state.started,
        is_open=is_open,
    )
    return job_screen(request, job, "work", when, "torque_sheet/torque_sheet.html", page, form)


def said_of(form: BenchForm, field: str) -> str:
    """Return what was said of one field of a refused form."""
    return str(next(iter(form.errors.get(field, ())), "")) if form.refusal is not None else ""


def asks_sure(form: BenchForm) -> bool:
    """Whether the refusal is the question that a value out of its window brings, and no slip of the keypad."""
    return isinstance(form.refusal, AsksSure)
