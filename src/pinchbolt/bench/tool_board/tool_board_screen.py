"""The tool board: what hangs here, what each torque tool can be trusted with, each instrument's known error, what is due."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.tool_board.tool_board_form import HangForm, SeveralForm
from pinchbolt.values.wording import worded
from pinchbolt.workshop.proof.open_claim import ClaimView, claims
from pinchbolt.workshop.proof.say_warranty import WarrantyView, ending_soon
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
    hung: Sequence[ToolView]
    instruments: tuple[InstrumentView, ...]
    due: Sequence[CheckDue]
    due_soon_by: date
    most_clicks: int
    to_hang: tuple[tuple[str, str], ...]
    hang_form: HangForm
    bare: tuple[tuple[str, str], ...]
    claims: Sequence[ClaimView]
    ending: Sequence[WarrantyView]

    @property
    def claims_due(self) -> Sequence[ClaimView]:
        """Claims that wait for us: to be sent, or to be asked about again."""
        return [one for one in self.claims if one.is_due and not one.is_over]

    @property
    def torque_tools(self) -> Sequence[ToolView]:
        """Those that show torque."""
        return [one for one in self.hung if one.greatest is not None]

    @property
    def adapters(self) -> Sequence[ToolView]:
        """Crow-feet and the like."""
        return [one for one in self.hung if one.is_adapter]

    @property
    def other_tools(self) -> Sequence[ToolView]:
        """All the rest."""
        return [one for one in self.hung if one.greatest is None and not one.is_adapter]

    @property
    def measured_wrenches(self) -> int:
        """Torque tools whose arm is known."""
        return sum(one.in_use and one.arm is not None for one in self.torque_tools)

    @property
    def due_now(self) -> Sequence[CheckDue]:
        """What is to be checked today, or was never checked."""
        return [one for one in self.due if one.due is None or one.is_due]

    @property
    def due_soon(self) -> Sequence[CheckDue]:
        """What is to be checked within a month."""
        dated = [one for one in self.due if one.due is not None and not one.is_due]
        return [one for one in dated if one.due is not None and one.due <= self.due_soon_by]


def _page(request: HttpRequest, form: BenchForm) -> HttpResponse:
    today = timezone.localtime(now()).date()
    tools, instruments = board_on(today)
    page = ToolBoardPage(
        title=worded("tool board"),
        hung=tools,
        instruments=tuple(with_what_was_learned(instruments)),
        due=due_list(today),
        due_soon_by=today + SOON,
        most_clicks=MOST_CLICKS,
        to_hang=rows_to_hang(),
        hang_form=own_form(form, HangForm),
        bare=bare_rows(),
        claims=claims(today),
        ending=ending_soon(today),
    )
    return screen(request, "tool_board/tool_board.html", page, form)
