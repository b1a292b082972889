"""What stands before every page: signed in only, headers, and refusals as plain sentences."""

import logging
from collections.abc import Callable
from urllib.parse import quote, urljoin

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.urls import Resolver404, resolve, reverse

from pinchbolt.bench.refusals.refusals_screen import away
from pinchbolt.errors import PinchboltError, envelope_of
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.manage_people import LOCKED_SENTENCE
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.acts.open_workshop import is_open
from pinchbolt.workshop.acts.records_away import TROUBLE, records_away
from pinchbolt.workshop.common.trade_tables import with_tables

_LOG = logging.getLogger(__name__)
Answer = Callable[[HttpRequest], HttpResponseBase]


def is_json_door(request: HttpRequest) -> bool:
    """Return whether the JSON door is asked."""
    return request.path.startswith(reverse("api:api-root"))


_POLICY = "; ".join(
    [
        "default-src 'self'",
        "img-src 'self' data:",
        "style-src 'self'",
        "script-src 'self'",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    ]
)


class SignedInOnly(LoginRequiredMiddleware):
    """Every page asks for a sign-in, save those marked otherwise; the JSON door has a token of its own."""

    def process_view(
        self,
        request: HttpRequest,
        view_func: Callable[..., HttpResponseBase],
        view_args: tuple[object, ...],
        view_kwargs: dict[str, object],
    ) -> HttpResponseBase | None:
        """Let the JSON door through to its own token check."""
        if is_json_door(request):
            return None
        return super().process_view(request, view_func, view_args, view_kwargs)


class OpeningFirst:
    """Until somebody works here, this machine is led to the two doors, and every other one is told to wait."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response
        self.opened = False

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Let everything through once the workshop is open: it is never closed again."""
        # How the JSON door is asked and how a tablet comes to trust this machine is told to everybody, and needs no record.
        if request.path.startswith((settings.STATIC_URL, reverse("api:openapi-json"), reverse("sealed"))):
            return self.get_response(request)
        self.opened = self.opened or is_open()
        if self.opened:
            return self.get_response(request)
        if is_json_door(request):
            return JsonResponse(envelope_of(_NOT_OPEN, 503), status=503)
        if request.META.get("REMOTE_ADDR") not in THIS_MACHINE:
            return render(request, "refusals/not_open.html", {"sentence": _NOT_OPEN}, status=503)
        if request.path.startswith(reverse("two_doors")):
            return self.get_response(request)
        return redirect("two_doors")


THIS_MACHINE = ("127.0.0.1", "::1")
_NOT_OPEN = worded("This bench book is not open yet: open it on the machine that it runs on, then come back.")


class HeadWithoutBody:
    """A question for the head of a page is answered by its head alone (RFC 9110, 9.3.2): a body would be read as the next answer."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Leave the body out, keep the length that it would have."""
        response = self.get_response(request)
        if request.method != "HEAD" or not isinstance(response, HttpResponse):
            return response
        response.headers.setdefault("Content-Length", str(len(response.content)))
        response.content = b""
        return response


class OneLook:
    """What a page looks up is looked up once; what writes looks everything up anew."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Open a look for what is only looked at."""
        if request.method not in ("GET", "HEAD"):
            return self.get_response(request)
        with one_look(), with_tables():
            return self.get_response(request)


class PageAgain:
    """An address that is only sent to can be opened: it leads to the page above it, not to a bare 405."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Look for the page where the answer is that this address is not looked at."""
        response = self.get_response(request)
        if response.status_code != 405 or request.method not in ("GET", "HEAD") or is_json_door(request):
            return response
        return redirect(_page_above(request.path))


def _page_above(path: str) -> str:
    """The nearest address above one that is a page; where that one is only sent to as well, it leads further up."""
    above = urljoin(path, "..")
    while above != path:
        try:
            resolve(above)
        except Resolver404:
            path, above = above, urljoin(above, "..")
        else:
            return above
    return reverse("shop_day")


class SecurityHeaders:
    """Content policy and friends on every answer; pages with a bike on them are not kept in a shared cache."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Add the headers."""
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", _POLICY)
        response.headers.setdefault("X-Content-Type-Options", "nosniff")
        response.headers.setdefault("X-Frame-Options", "DENY")
        response.headers.setdefault("Referrer-Policy", "same-origin")
        response.headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")
        response.headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
        if not request.path.startswith(settings.STATIC_URL):
            response.headers.setdefault("Cache-Control", "no-store")
        elif request.path.endswith("worker.js"):
            # The worker lies among the scripts and stands before all pages; a new release's is taken up at once.
            response.headers["Service-Worker-Allowed"] = reverse("shop_day")
            response.headers["Cache-Control"] = "no-cache"
        return response


class PlainRefusals:
    """A refusal that no screen caught is still a plain sentence with its status, never a bare error page."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Pass the request on."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """Say what was wrong."""
        if is_json_door(request):
            return None
        if isinstance(exception, TROUBLE):
            _LOG.error("%s %s: %s", request.method, request.path, exception)
            return away(records_away(exception))
        if not isinstance(exception, PinchboltError):
            return None
        refused = render(request, "refused.html", {"refusal": exception}, status=exception.status)
        refused.headers["X-Refused"] = quote(exception.sentence)
        return refused


class JsonRefusals:
    """At the JSON door every refusal has the one shape of the JSON door, also where Django itself refuses."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Put what is no JSON into the envelope."""
        response = self.get_response(request)
        plain = response.headers.get("Content-Type", "").startswith("application/json")
        if response.status_code < 400 or plain or not is_json_door(request):
            return response
        status = response.status_code
        if status == 503:
            # A database that failed before the door could say so.
            response = JsonResponse(records_away(RuntimeError()).envelope(), status=status)
            response.headers["Retry-After"] = "2"
            return response
        sentence = _SENTENCES.get(status, worded("The request was refused. See {described}."))
        sentence = sentence.format(described=reverse("api:openapi-json"))
        told = JsonResponse(envelope_of(sentence, status), status=status)
        if "Allow" in response.headers:
            told.headers["Allow"] = response.headers["Allow"]
        return told


_SENTENCES = {
    400: worded(
        "The request makes no sense to the server: its host, size or form is wrong. See {described}."
    ),
    404: worded("There is nothing at this address. See {described}."),
    405: worded("This address does not take this method. See {described}."),
    429: LOCKED_SENTENCE,
    500: worded(
        "Something went wrong here, and nothing was written down. Try again; if it stays, "
        "run pinchbolt doctor."
    ),
}
