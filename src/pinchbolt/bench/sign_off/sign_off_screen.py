"""The sign-off screen."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.job_page import grouped, job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.bench.sign_off.sign_off_form import LeaveUnseenForm, ReopenForm, SafetyLookForm
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import JobState, job_state
from pinchbolt.workshop.bikes.change_build import ConfirmRequest, confirm_corner
from pinchbolt.workshop.bikes.corners import CornerSnapshot, corners_to_confirm
from pinchbolt.workshop.leaving.sign_off import (
    ItemView,
    SignOffRequest,
    SignOffView,
    look_at_item,
    reopen,
    sign_off_list,
    signed_by,
)
from pinchbolt.workshop.leaving.sign_off import sign_off as sign_it_off
from pinchbolt.workshop.stays.not_seen import NotSeenView, leave_unseen


@require_GET
def sign_off(request: HttpRequest, job: int) -> HttpResponse:
    """Show the list."""
    return _page(request, job, now())


@acts(SafetyLookForm, lambda request, form, job: _page(request, job, now(), form))
def looked(act: SentAct[SafetyLookForm], job: int) -> HttpResponse:
    """Write down that items were looked at."""
    look_at_item(act.form.asked(job), **act.mark)
    return back_to("sign_off", job=job, at="stops")


@acts(LeaveUnseenForm, lambda request, form, job: _page(request, job, now(), form))
def left_unseen(act: SentAct[LeaveUnseenForm], job: int) -> HttpResponse:
    """Write down that the bike leaves without looks that could not be had, and why."""
    leave_unseen(act.form.asked(job), **act.mark)
    return back_to("sign_off", job=job, at="stops")


@acts(BenchForm, lambda request, form, job: _page(request, job, now(), form))
def sign(act: SentAct[BenchForm], job: int) -> HttpResponse:
    """State that the list is met."""
    sign_it_off(SignOffRequest(job), **act.mark)
    return back_to("handover", job=job)


@acts(BenchForm, lambda request, form, job: _page(request, job, now(), form))
def as_shown(act: SentAct[BenchForm], job: int) -> HttpResponse:
    """Write down that the whole bike is as the build sheet shows it."""
    tag = job_by_id(job).bike.tag
    confirm_corner(ConfirmRequest(tag), **act.mark)
    return back_to("sign_off", job=job, at="stops")


@acts(ReopenForm, lambda request, form, job: _page(request, job, now(), form))
def open_again(act: SentAct[ReopenForm], job: int) -> HttpResponse:
    """Open a signed-off job again."""
    reopen(act.form.asked(job), **act.mark)
    return back_to("sign_off", job=job, at="stops")


def stops_in_short(seen: SignOffView) -> tuple[str, ...]:
    """Return what stands open, the items that nobody has looked at yet counted and not told twice on one page."""
    first = [item.missing for item in seen.items if not item.is_said]
    second = [item.missing for item in seen.items if item.wants_second]
    told = [stop for stop in seen.stops if stop not in first and stop not in second]
    if first:
        told.append(worded("{items} of the list not looked at yet.", items=_items(first)))
    if second:
        told.append(worded("{items} without a second look.", items=_items(second)))
    return tuple(told)


def _items(found: list[str]) -> str:
    return (
        worded("{found} item", found=len(found))
        if len(found) == 1
        else worded("{found} items", found=len(found))
    )


@dataclass(frozen=True, slots=True)
class SignOffPage(Page):
    """What is shown: the sign-off."""

    seen: SignOffView
    stops: tuple[str, ...]
    state: JobState
    looked_by: str
    ticked: tuple[str, ...]
    look_form: SafetyLookForm
    unseen_form: LeaveUnseenForm
    is_second: bool
    reopen_form: ReopenForm
    signed_by: str
    is_open: bool
    unseen: tuple[CornerSnapshot, ...]

    @property
    def first(self) -> Sequence[ItemView]:
        """Items that nobody has met yet, and that still stand open."""
        return [item for item in self.seen.items if item.missing and not item.met_by]

    @property
    def first_groups(self) -> Sequence[tuple[str, list[ItemView]]]:
        """The same by what it means if they are not met, what is unsafe before the rest."""
        return grouped(sorted(self.first, key=lambda item: item.if_not != Verdict.UNSAFE), "if_not")

    @property
    def second(self) -> Sequence[ItemView]:
        """Items that wait for another pair of eyes."""
        return [item for item in self.seen.items if item.met_by and item.needs_second and not item.second_by]

    @property
    def second_mine(self) -> Sequence[ItemView]:
        """Of those, what this person looked at first."""
        return [item for item in self.second if item.met_by == self.looked_by]

    @property
    def second_others(self) -> Sequence[ItemView]:
        """Of those, what somebody else did."""
        return [item for item in self.second if item.met_by != self.looked_by]

    @property
    def met(self) -> Sequence[ItemView]:
        """Items that are done with."""
        return [item for item in self.seen.items if item.met_by and item not in self.second]

    @property
    def not_seen(self) -> Sequence[NotSeenView]:
        """Looks of safety that could not be had and of which nobody has decided anything."""
        return [one for one in self.seen.not_seen if one.safety and not one.leaves]


def _page(request: HttpRequest, job: int, when: datetime, form: BenchForm | None = None) -> HttpResponse:
    found = job_by_id(job)
    seen, state = sign_off_list(found, when), job_state(found)
    look_form = own_form(form, SafetyLookForm)
    page = SignOffPage(
        seen=seen,
        stops=stops_in_short(seen),
        state=state,
        looked_by=getattr(request.user, "name", ""),
        ticked=look_form.items,
        look_form=look_form,
        unseen_form=own_form(form, LeaveUnseenForm),
        is_second=bool(look_form.data.get("second")),
        reopen_form=own_form(form, ReopenForm),
        signed_by=signed_by(found) if state.signed_off else "",
        is_open=not state.signed_off,
        unseen=() if state.signed_off else corners_to_confirm(found.bike),
    )
    return job_screen(request, job, "sign-off", when, "sign_off/sign_off.html", page, form)
