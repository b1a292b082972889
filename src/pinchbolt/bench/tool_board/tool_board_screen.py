"""The tool board: what hangs here, what each torque tool can be trusted with, each instrument's known error, what is due."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.tool_board.tool_board_form import HangForm, SeveralForm
from pinchbolt.workshop.tools.check_tool import hang_tool, rows_to_hang
from pinchbolt.workshop.tools.hang_several import bare_rows, hang_several
from pinchbolt.workshop.tools.tool_board import (
    MOST_CLICKS,
    SOON,
    CheckDue,
    InstrumentView,
    ToolView,
    due_list,
)
from pinchbolt.workshop.tools.tool_board import tool_board as board_on
from pinchbolt.workshop.wear.learn import with_what_was_learned


@require_safe
def tool_board(request: HttpRequest) -> HttpResponse:
    """Tools and instruments with their state today."""
    return _page(request, HangForm())


@acts(HangForm, lambda request, form: _page(request, form))
def hang(act: SentAct[HangForm]) -> HttpResponse:
    """Hang a tool or an instrument on the board."""
    hang_tool(act.form.asked(), **act.mark)
    return see("tool_board", at="tools")


@acts(SeveralForm, lambda request, form: _page(request, form))
def hang_ticked(act: SentAct[SeveralForm]) -> HttpResponse:
    """Hang what was ticked on a bare board."""
    hang_several(act.form.asked(), **act.mark)
    return see("tool_board")


@dataclass(frozen=True, slots=True)
class ToolBoardPage(Page):
    """What is shown: the tool board."""

    title: str
    torque_tools: Sequence[ToolView]
    other_tools: Sequence[ToolView]
    instruments: tuple[InstrumentView, ...]
    due_now: Sequence[CheckDue]
    due_soon: Sequence[CheckDue]
    most_clicks: int
    to_hang: tuple[tuple[str, str], ...]
    hang_form: HangForm
    bare: tuple[tuple[str, str], ...]


def _page(request: HttpRequest, form: BenchForm) -> HttpResponse:
    today = timezone.localtime(now()).date()
    tools, instruments = board_on(today)
    due = due_list(today)
    page = ToolBoardPage(
        title="tool board",
        torque_tools=[one for one in tools if one.greatest is not None],
        other_tools=[one for one in tools if one.greatest is None],
        instruments=tuple(with_what_was_learned(instruments)),
        due_now=[one for one in due if one.due is None or one.is_due],
        due_soon=[one for one in due if one.due is not None and not one.is_due and one.due <= today + SOON],
        most_clicks=MOST_CLICKS,
        to_hang=rows_to_hang(),
        hang_form=own_form(form, HangForm),
        bare=bare_rows(),
    )
    return screen(request, "tool_board/tool_board.html", page, form)
