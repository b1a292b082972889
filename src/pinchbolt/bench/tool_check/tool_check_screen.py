"""A tool is checked in a few taps; what fails goes off the board."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.tool_check.tool_check_form import CalibrationForm, SizeForm, ToolLookForm, WeightForm
from pinchbolt.bench.torque_sheet.torque_sheet_screen import said_of
from pinchbolt.errors import NotFound
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.tools.check_tool import (
    MEASURED_WITH,
    check_tool,
    last_check,
    look_over_tool,
    measure_tool,
    points_to_check,
    try_tool,
)
from pinchbolt.workshop.tools.tool_board import MOST_CLICKS, ToolView, tool_board


@require_safe
def tool_check(request: HttpRequest, tool: int) -> HttpResponse:
    """Show one tool with its last check, and the ways to check it."""
    return _page(request, tool, None)


@require_POST
def size(request: HttpRequest, tool: int) -> HttpResponse:
    """Write a key's size down."""
    form = SizeForm(request.POST)
    return _done(
        request, tool, form, lambda: measure_tool(form.asked(tool), by=by(request), key=form.key, now=now())
    )


@require_POST
def weight(request: HttpRequest, tool: int) -> HttpResponse:
    """Write down how a torque tool clicked with a weight on an arm."""
    form = WeightForm(request.POST)
    return _done(
        request, tool, form, lambda: try_tool(form.asked(tool), by=by(request), key=form.key, now=now())
    )


@require_POST
def calibration(request: HttpRequest, tool: int) -> HttpResponse:
    """Write a certificate down."""
    form = CalibrationForm(request.POST)
    return _done(
        request,
        tool,
        form,
        lambda: check_tool(form.asked(tool, points_to_check(tool)), by=by(request), key=form.key, now=now()),
    )


@require_POST
def look(request: HttpRequest, tool: int) -> HttpResponse:
    """Write down that a tool was looked over."""
    form = ToolLookForm(request.POST)
    return _done(
        request, tool, form, lambda: look_over_tool(form.asked(tool), by=by(request), key=form.key, now=now())
    )


def _done(request: HttpRequest, tool: int, form: BenchForm, act: Callable[[], object]) -> HttpResponse:
    """Carry the act out and show the tool again; after a refusal the page with its entries."""
    with form.refusable():
        act()
        answer = HttpResponseRedirect(f"/tools/{tool}/?done")
        answer.status_code = 303
        return answer
    return _page(request, tool, form)


def _seen(tool: int) -> ToolView:
    found = next((one for one in tool_board(local_day(now()))[0] if one.id == tool), None)
    if found is None:
        raise NotFound(f"There is no tool {tool} on the board. Choose one that hangs there.")
    return found


def _page(request: HttpRequest, tool: int, form: BenchForm | None) -> HttpResponse:
    seen = _seen(tool)
    calibrated = form if isinstance(form, CalibrationForm) else CalibrationForm()
    fields = (calibrated["true_0"], calibrated["true_1"], calibrated["true_2"])
    context = {
        "title": f"check {seen.name}",
        "tool": seen,
        "last": last_check(tool),
        "is_done": "done" in request.GET,
        "measured_with": MEASURED_WITH,
        "most_clicks": MOST_CLICKS,
        "size_form": form if isinstance(form, SizeForm) else SizeForm(),
        "size_said": said_of(form, "measured_mm") if isinstance(form, SizeForm) else "",
        "weight_form": form if isinstance(form, WeightForm) else WeightForm(),
        "weight_said": said_of(form, "clicked_n_m") if isinstance(form, WeightForm) else "",
        "calibration_form": calibrated,
        "points": list(zip(points_to_check(tool), fields, strict=False)),
        "look_form": form if isinstance(form, ToolLookForm) else ToolLookForm(),
    }
    return screen(request, "tool_check/tool_check.html", context, form)
