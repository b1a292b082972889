"""The tool board: what hangs here, what each torque tool can be trusted with, and each instrument's known error."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.bench.shared import now, screen
from pinchbolt.workshop.tool_board import tool_board as board_on


@require_safe
def tool_board(request: HttpRequest) -> HttpResponse:
    """Tools and instruments with their state today."""
    tools, instruments = board_on(timezone.localtime(now()).date())
    context = {
        "title": "tool board",
        "torque_tools": [one for one in tools if one.greatest is not None],
        "other_tools": [one for one in tools if one.greatest is None],
        "instruments": instruments,
    }
    return screen(request, "tool_board/tool_board.html", context)
