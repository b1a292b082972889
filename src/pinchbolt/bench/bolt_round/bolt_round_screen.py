"""The bolt round on the screen: a list in working order, each joint ticked by one tap where it held."""

from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.bolt_round.bolt_round_form import MovedForm
from pinchbolt.bench.found_out_form import FoundOutForm
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.torque_sheet.torque_sheet_screen import asks_sure, said_of
from pinchbolt.workshop.bikes.change_build import describe
from pinchbolt.workshop.tools.tool_board import torque_tools
from pinchbolt.workshop.torque.bolt_round import ROUNDS, TickRequest, tick_joint
from pinchbolt.workshop.torque.bolt_round import bolt_round as round_of


@require_safe
def bolt_round(request: HttpRequest, tag: str) -> HttpResponse:
    """Show the round; `moved` names the joint whose value is being typed."""
    return _page(request, tag, request.GET.get("which", ""), request.GET.get("moved", ""), None)


@require_POST
def held(request: HttpRequest, tag: str, joint: str) -> HttpResponse:
    """Tick a joint that held."""
    form = BenchForm(request.POST)
    which = request.POST.get("which", "")
    with form.refusable():
        tick_joint(TickRequest(tag, joint, True), by=by(request), key=form.key, now=now())
        return _back(tag, which, joint)
    return _page(request, tag, which, "", form)


@require_POST
def moved(request: HttpRequest, tag: str, joint: str) -> HttpResponse:
    """Write down a joint that moved and was tightened."""
    form = MovedForm(request.POST)
    which = request.POST.get("which", "")
    with form.refusable():
        tick_joint(form.asked(tag, joint), by=by(request), key=form.key, now=now())
        return _back(tag, which, joint)
    return _page(request, tag, which, joint, form)


@require_POST
def told(request: HttpRequest, tag: str) -> HttpResponse:
    """Write down what was read off a part: the joints that it decides about are in the round, or known not to be."""
    form = FoundOutForm(request.POST)
    which = request.POST.get("which", "")
    with form.refusable():
        describe(form.asked(), by=by(request), key=form.key, now=now())
        return _back(tag, which, "")
    return _page(request, tag, which, "", form)


def _back(tag: str, which: str, joint: str) -> HttpResponseRedirect:
    query = urlencode({"which": which[:20], **({"at": joint} if joint else {})})
    answer = HttpResponseRedirect(f"/bike/{tag}/bolt-round/?{query}{f'#{joint}' if joint else ''}")
    answer.status_code = 303
    return answer


def _page(request: HttpRequest, tag: str, which: str, opened: str, form: BenchForm | None) -> HttpResponse:
    seen = round_of(tag, which, now())
    moved_form = form if isinstance(form, MovedForm) else MovedForm()
    here = next((one for one in seen.joints if one.joint.joint == opened), None)
    setting = here.joint.setting if here else None
    context = {
        "title": f"{seen.tag} bolt round",
        "round": seen,
        "rounds": ROUNDS.items(),
        "opened": opened,
        "at": request.GET.get("at", "")[:60],
        "tools": torque_tools(),
        "chosen_tool": moved_form.data.get("tool") or (setting.tool if setting else ""),
        "moved_form": moved_form,
        "moved_said": said_of(moved_form, "done_n_m"),
        "asks_sure": asks_sure(moved_form),
    }
    return screen(request, "bolt_round/bolt_round.html", context, form)
