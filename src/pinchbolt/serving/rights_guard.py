"""Rights before work: who may not do what an address does is told so before a form is read or anything is worked out."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponseBase
from django.shortcuts import render

from pinchbolt.bench.whose import ANYBODY, SIGNED_IN, WHOSE
from pinchbolt.errors import NotAllowed
from pinchbolt.serving.request_guard import is_json_door
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import allowed

Answer = Callable[[HttpRequest], HttpResponseBase]


class RightsFirst:
    """Asks for the right of every address that something is sent to; the act itself asks again, in its transaction."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Pass the request on."""
        return self.get_response(request)

    def process_view(
        self,
        request: HttpRequest,
        view_func: Callable[..., HttpResponseBase],
        view_args: tuple[object, ...],
        view_kwargs: dict[str, object],
    ) -> HttpResponseBase | None:
        """Refuse whoever may not."""
        if request.method in ("GET", "HEAD", "OPTIONS") or is_json_door(request):
            return None
        match = request.resolver_match
        kind = WHOSE.get(str(match.url_name) if match else "", "no rule yet")
        if kind in (ANYBODY, SIGNED_IN):
            return None
        try:
            allowed(int(request.user.pk or 0), str(kind))
        except NotAllowed as refusal:
            return render(request, "refused.html", {"refusal": refusal}, status=refusal.status)
        except LookupError:
            unruled = NotAllowed(worded("Nothing is sent to this address: open it instead."))
            answer = render(request, "refused.html", {"refusal": unruled}, status=405)
            answer["Allow"] = "GET, HEAD"
            return answer
        return None
