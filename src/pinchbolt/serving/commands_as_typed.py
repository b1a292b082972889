"""Commands on pages and in refusals are written as they work on this machine."""

from collections.abc import Callable
from urllib.parse import quote, unquote

from django.core.exceptions import MiddlewareNotUsed
from django.http import HttpRequest, HttpResponse, HttpResponseBase

from pinchbolt.serving.home import called_as
from pinchbolt.values.commands import INSTALLED, as_typed, page_as_typed

_REFUSED, _LENGTH = "X-Refused", "Content-Length"


class CommandsAsTyped:
    """Writes them anew where the program was called by other words than its name; else it is left out."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response, self.called = get_response, called_as()
        if self.called == INSTALLED:
            raise MiddlewareNotUsed

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Pass the answer on."""
        answer = self.get_response(request)
        if not isinstance(answer, HttpResponse):
            return answer
        if _REFUSED in answer.headers:
            answer.headers[_REFUSED] = quote(as_typed(unquote(answer.headers[_REFUSED]), self.called))
        kind = answer.headers.get("Content-Type", "")
        if kind.startswith("text/html"):
            answer.content = page_as_typed(answer.content.decode(), self.called).encode()
            if _LENGTH in answer.headers:
                # Said before: a browser would read no further.
                answer.headers[_LENGTH] = str(len(answer.content))
        return answer
