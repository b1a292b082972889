"""The tool board: what hangs here, what each torque tool can be trusted with, each instrument's known error, what is due."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.tool_board.tool_board_form import HangForm
from pinchbolt.workshop.tools.check_tool import hang_tool, rows_to_hang
from pinchbolt.workshop.tools.tool_board import MOST_CLICKS, SOON, due_list
from pinchbolt.workshop.tools.tool_board import tool_board as board_on
from pinchbolt.workshop.wear.learn import with_what_was_learned


@require_safe
def tool_board(request: HttpRequest) -> HttpResponse:
    """Tools and instruments with their state today."""
    return _page(request, HangForm())


@require_POST
def hang(request: HttpRequest) -> HttpResponse:
    """Hang a tool or an instrument on the board."""
    form = HangForm(request.POST)
    with form.refusable():
        hang_tool(form.asked(), by=by(request), key=form.key, now=now())
        answer = HttpResponseRedirect("/tools/#tools")
        answer.status_code = 303
        return answer
    return _page(request, form)


def _page(request: HttpRequest, form: HangForm) -> HttpResponse:
    today = timezone.localtime(now()).date()
    tools, instruments = board_on(today)
    due = due_list(today)
    context = {
        "title": "tool board",
        "torque_tools": [one for one in tools if one.greatest is not None],
        "other_tools": [one for one in tools if one.greatest is None],
        "instruments": with_what_was_learned(instruments),
        "due_now": [one for one in due if one.due is None or one.is_due],
        "due_soon": [
            one for one in due if one.due is not None and not one.is_due and one.due <= today + SOON
        ],
        "most_clicks": MOST_CLICKS,
        "to_hang": rows_to_hang(),
        "hang_form": form,
    }
    return screen(request, "tool_board/tool_board.html", context, form)
