"""The bolt round on the screen: a list in working order, each joint ticked by one tap where it held."""

from collections.abc import ItemsView, Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.bolt_round.bolt_round_form import MovedForm
from pinchbolt.bench.found_out_form import FoundOutForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.torque_sheet.torque_sheet_screen import asks_sure, said_of
from pinchbolt.engines.torque import ToolSpec
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.change_build import describe
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.torque.bolt_round import ROUNDS, RoundView, TickRequest, tick_joint
from pinchbolt.workshop.torque.bolt_round import bolt_round as round_of


@require_safe
def bolt_round(request: HttpRequest, tag: str) -> HttpResponse:
    """Show the round; `moved` names the joint whose value is being typed."""
    return _page(request, tag, request.GET.get("which", ""), request.GET.get("moved", ""), None)


@acts(
    BenchForm, lambda request, form, tag, joint: _page(request, tag, request.POST.get("which", ""), "", form)
)
def held(act: SentAct[BenchForm], tag: str, joint: str) -> HttpResponse:
    """Tick a joint that held."""
    which = act.request.POST.get("which", "")
    tick_joint(TickRequest(tag, joint, True), **act.mark)
    return _back(tag, which, joint)


@acts(
    MovedForm,
    lambda request, form, tag, joint: _page(request, tag, request.POST.get("which", ""), joint, form),
)
def moved(act: SentAct[MovedForm], tag: str, joint: str) -> HttpResponse:
    """Write down a joint that moved and was tightened."""
    which = act.request.POST.get("which", "")
    tick_joint(act.form.asked(tag, joint), **act.mark)
    return _back(tag, which, joint)


@acts(FoundOutForm, lambda request, form, tag: _page(request, tag, request.POST.get("which", ""), "", form))
def told(act: SentAct[FoundOutForm], tag: str) -> HttpResponse:
    """Write down what was read off a part: the joints that it decides about are in the round, or known not to be."""
    which = act.request.POST.get("which", "")
    describe(act.form.asked(), **act.mark)
    return _back(tag, which, "")


def _back(tag: str, which: str, joint: str) -> HttpResponseRedirect:
    return back_to("bolt_round", tag=tag, query={"which": which[:20]}, at=joint)


@dataclass(frozen=True, slots=True)
class BoltRoundPage(Page):
    """What is shown: the bolt round."""

    title: str
    round: RoundView
    rounds: ItemsView[str, str]
    opened: str
    at: str
    tools: Sequence[ToolSpec]
    chosen_tool: object
    moved_form: MovedForm
    moved_said: str
    asks_sure: bool


def _page(request: HttpRequest, tag: str, which: str, opened: str, form: BenchForm | None) -> HttpResponse:
    seen = round_of(tag, which, now())
    moved_form = own_form(form, MovedForm)
    here = next((one for one in seen.joints if one.joint.joint == opened), None)
    setting = here.joint.setting if here else None
    page = BoltRoundPage(
        title=worded("{tag} bolt round", tag=seen.tag),
        round=seen,
        rounds=ROUNDS.items(),
        opened=opened,
        at=request.GET.get("at", "")[:60],
        tools=torque_tools(),
        chosen_tool=moved_form.data.get("tool") or (setting.tool if setting else ""),
        moved_form=moved_form,
        moved_said=said_of(moved_form, "done_n_m"),
        asks_sure=asks_sure(moved_form),
    )
    return screen(request, "bolt_round/bolt_round.html", page, form)
