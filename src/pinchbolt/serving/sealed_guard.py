"""What goes in the clear: from this machine to itself everything, from elsewhere the page that leads to https and nothing else."""

from collections.abc import Callable, Mapping

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseBase, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from pinchbolt.errors import envelope_of
from pinchbolt.serving.request_guard import THIS_MACHINE, is_json_door
from pinchbolt.values.wording import worded

Answer = Callable[[HttpRequest], HttpResponseBase]
_YEAR_S = 365 * 24 * 3600
_HOST = "__Host-"
_IN_CLEAR = worded(
    "This came in the clear, so it was not looked at: anybody in the network could have "
    "read it. Open {address}, and change a passphrase or PIN that you typed."
)


class SealedOnly:
    """Served to the network, the bench book speaks https; what comes in the clear from elsewhere is led there."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Let through what is sealed or never leaves the machine; mark its cookies as sealed ones."""
        if request.is_secure():
            request.COOKIES = _own_cookies(request.COOKIES)
            return _sealed(request, self.get_response(request))
        if not settings.SEALED or request.META.get("REMOTE_ADDR") in THIS_MACHINE or _is_open(request):
            return self.get_response(request)
        return _led_to_https(request)


def _is_open(request: HttpRequest) -> bool:
    """The page for a tablet that does not trust the authority yet, and what that page is made of."""
    return request.method in ("GET", "HEAD") and request.path.startswith(
        (reverse("sealed"), reverse("sealed_by_camera"), settings.STATIC_URL)
    )


def _led_to_https(request: HttpRequest) -> HttpResponse:
    """A look is led on; what was sent has been read by whoever listens, and the JSON door never makes a habit of it."""
    address = f"https://{request.get_host()}"
    if request.method in ("GET", "HEAD") and not is_json_door(request):
        return redirect(f"{address}{request.get_full_path()}", permanent=False)
    sentence = _IN_CLEAR.format(address=f"{address}{reverse('shop_day')}")
    if is_json_door(request):
        return JsonResponse(envelope_of(sentence, 403), status=403)
    return render(request, "refusals/not_open.html", {"sentence": sentence}, status=403)


def _own_cookies(sent: Mapping[str, str]) -> dict[str, str]:
    """Cookies that were set by https and by this host alone, under the names that the program knows; others count for nothing.

    A browser takes a name that begins so only with Secure, from the host itself (RFC 6265bis, 4.1.3.2): what was set in the clear, or
    by another name of the same domain, can't be put in its place.
    """
    return {name.removeprefix(_HOST): value for name, value in sent.items() if name.startswith(_HOST)}


def _sealed(request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
    """Cookies that came by https go by nothing else; a browser that was here by https comes by it again."""
    for name, cookie in list(response.cookies.items()):
        del response.cookies[name]
        cookie["secure"] = True
        # The name is in the line itself as well.
        cookie.set(f"{_HOST}{name}", cookie.value, cookie.coded_value)
        dict.__setitem__(response.cookies, f"{_HOST}{name}", cookie)
    if request.get_host().partition(":")[0] != "localhost":
        response.headers.setdefault("Strict-Transport-Security", f"max-age={_YEAR_S}; includeSubDomains")
    return response
