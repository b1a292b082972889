"""A tool is checked in a few taps; what fails goes off the board."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.forms.boundfield import BoundField
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.tool_check.tool_check_form import (
    ArmForm,
    CalibrationForm,
    SizeForm,
    ToolLookForm,
    WeightForm,
)
from pinchbolt.bench.torque_sheet.torque_sheet_screen import said_of
from pinchbolt.errors import NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.tools.arms import measure_arm
from pinchbolt.workshop.tools.check_tool import (
    MEASURED_WITH,
    ToolChecked,
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


@acts(SizeForm, lambda request, form, tool: _page(request, tool, form))
def size(act: SentAct[SizeForm], tool: int) -> HttpResponse:
    """Write a key's size down."""
    measure_tool(act.form.asked(tool), **act.mark)
    return _checked(tool)


@acts(WeightForm, lambda request, form, tool: _page(request, tool, form))
def weight(act: SentAct[WeightForm], tool: int) -> HttpResponse:
    """Write down how a torque tool clicked with a weight on an arm."""
    try_tool(act.form.asked(tool), **act.mark)
    return _checked(tool)


@acts(ArmForm, lambda request, form, tool: _page(request, tool, form))
def arm(act: SentAct[ArmForm], tool: int) -> HttpResponse:
    """Write the arm of a torque tool, or the reach of an adapter down."""
    measure_arm(act.form.asked(tool), **act.mark)
    return _checked(tool)


@acts(CalibrationForm, lambda request, form, tool: _page(request, tool, form))
def calibration(act: SentAct[CalibrationForm], tool: int) -> HttpResponse:
    """Write a certificate down."""
    check_tool(act.form.asked(tool, points_to_check(tool)), **act.mark)
    return _checked(tool)


@acts(ToolLookForm, lambda request, form, tool: _page(request, tool, form))
def look(act: SentAct[ToolLookForm], tool: int) -> HttpResponse:
    """Write down that a tool was looked over."""
    look_over_tool(act.form.asked(tool), **act.mark)
    return _checked(tool)


def _checked(tool: int) -> HttpResponse:
    """The tool again, with what the check says."""
    return see("tool_check", tool=tool, query={"done": "yes"})


def _seen(tool: int) -> ToolView:
    found = next((one for one in tool_board(local_day(now()))[0] if one.id == tool), None)
    if found is None:
        raise NotFound(
            worded("There is no tool {tool} on the board. Choose one that hangs there.", tool=tool)
        )
    return found


@dataclass(frozen=True, slots=True)
class ToolCheckPage(Page):
    """What is shown: one tool and how it is checked."""

    title: str
    tool: ToolView
    last: ToolChecked | None
    is_done: bool
    measured_with: tuple[str, ...]
    most_clicks: int
    size_form: SizeForm
    size_said: str
    weight_form: WeightForm
    weight_said: str
    arm_form: ArmForm
    arm_said: str
    calibration_form: CalibrationForm
    points: Sequence[tuple[float, BoundField]]
    look_form: ToolLookForm


def _page(request: HttpRequest, tool: int, form: BenchForm | None) -> HttpResponse:
    seen = _seen(tool)
    calibrated = own_form(form, CalibrationForm)
    fields = (calibrated["true_0"], calibrated["true_1"], calibrated["true_2"])
    page = ToolCheckPage(
        title=worded("check {name}", name=seen.name),
        tool=seen,
        last=last_check(tool),
        is_done="done" in request.GET,
        measured_with=MEASURED_WITH,
        most_clicks=MOST_CLICKS,
        size_form=own_form(form, SizeForm),
        size_said=said_of(form, "measured_mm") if isinstance(form, SizeForm) else "",
        weight_form=own_form(form, WeightForm),
        weight_said=said_of(form, "clicked_n_m") if isinstance(form, WeightForm) else "",
        arm_form=own_form(form, ArmForm),
        arm_said=said_of(form, "arm_mm") if isinstance(form, ArmForm) else "",
        calibration_form=calibrated,
        points=list(zip(points_to_check(tool), fields, strict=False)),
        look_form=own_form(form, ToolLookForm),
    )
    return screen(request, "tool_check/tool_check.html", page, form)
