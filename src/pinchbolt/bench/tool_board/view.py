"""The tool board: what hangs here, what each torque tool can be trusted with, each instrument's known error, what is due."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.bench.shared import now, screen
from pinchbolt.workshop.tool_board import MOST_CLICKS, SOON, due_list
from pinchbolt.workshop.tool_board import tool_board as board_on


@require_safe
def tool_board(request: HttpRequest) -> HttpResponse:
    """Tools and instruments with their state today."""
    today = timezone.localtime(now()).date()
    tools, instruments = board_on(today)
    due = due_list(today)
    context = {
        "title": "tool board",
        "torque_tools": [one for one in tools if one.greatest is not None],
        "other_tools": [one for one in tools if one.greatest is None],
        "instruments": instruments,
        "due_now": [one for one in due if one.due is None or one.is_due],
        "due_soon": [
            one for one in due if one.due is not None and not one.is_due and one.due <= today + SOON
        ],
        "most_clicks": MOST_CLICKS,
    }
    return screen(request, "tool_board/tool_board.html", context)
