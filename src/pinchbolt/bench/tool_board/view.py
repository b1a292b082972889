"""tool_board."""

from django.http import HttpRequest, HttpResponse

from pinchbolt.bench.shared import screen


def tool_board(request: HttpRequest) -> HttpResponse:
    """tool_board."""
    return screen(request, "tool_board/tool_board.html", {"title": "tool_board"})
