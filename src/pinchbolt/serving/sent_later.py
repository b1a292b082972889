"""Acts that a tablet's worker sends: whose they are is held to, and the answer says where to look instead of leading there.

The worker (bench/static/bench/worker.js) sends what was done at the bench, at once or when there is signal again. It says by
whom it was done and how long ago; another person's act is never written down under the name of who is signed in now.
"""

from collections.abc import Callable
from datetime import timedelta

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase

from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.done_earlier import done_ago

_MOST_FIGURES = 9


class SentLater:
    """Stands behind the sign-in; whatever does not say by whom it was done passes as it is."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Let an act of the person who is signed in through; any other one is asked for again later."""
        done_by = request.headers.get("X-Act-By")
        if done_by is None or request.method != "POST":
            return self.get_response(request)
        if not request.user.is_authenticated:
            return _again(401)
        if done_by != str(request.user.pk):
            return _again(409)
        with done_ago(timedelta(seconds=_whole(request.headers.get("X-Act-Age", "")))):
            answer = self.get_response(request)
        if answer.status_code // 100 != 3:
            return answer
        done = HttpResponse(status=200, content_type="text/plain")
        done.headers["X-Act-See"] = answer.headers["Location"]
        return done


def _whole(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= _MOST_FIGURES else 0


def _again(status: int) -> HttpResponse:
    answer = HttpResponse(status=status, content_type="text/plain")
    answer.headers["X-Act-Again"] = worded("sign in")
    return answer
