"""What stands before every page: signed in only, headers, and refusals as plain sentences."""

from collections.abc import Callable
from typing import Any

from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render

from pinchbolt.errors import PinchboltError

Answer = Callable[[HttpRequest], HttpResponseBase]

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
        view_args: tuple[Any, ...],
        view_kwargs: dict[str, Any],
    ) -> HttpResponseBase | None:
        """Let the JSON door through to its own token check."""
        if request.path.startswith("/api/"):
            return None
        return super().process_view(request, view_func, view_args, view_kwargs)


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
        if not request.path.startswith("/static/"):
            response.headers.setdefault("Cache-Control", "no-store")
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
        if not isinstance(exception, PinchboltError) or request.path.startswith("/api/"):
            return None
        return render(request, "refused.html", {"refusal": exception}, status=exception.status)
