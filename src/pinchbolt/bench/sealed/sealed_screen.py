"""The first page on a tablet: it is served in the clear as well, holds no record, and leads to https."""

from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_safe

from pinchbolt.bench.addresses import address
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.drawing import qr_code
from pinchbolt.errors import NotPossibleNow
from pinchbolt.values.wording import worded


@dataclass(frozen=True, slots=True)
class SealedPage(Page):
    """What is shown: whether this tablet came sealed already, the figures to compare, where to go on, and a code for the next tablet."""

    title: str
    is_sealed: bool
    figures: tuple[str, ...]
    onward: str
    first_look: str
    code: SafeString


@login_not_required
@require_safe
def sealed(request: HttpRequest) -> HttpResponse:
    """Three steps: take in the authority, compare it, go on by https."""
    here = request.get_host()
    first = f"http://{here}{address('sealed')}"
    page = SealedPage(
        title=worded("a sealed way in"),
        is_sealed=request.is_secure(),
        figures=authority_figures(),
        onward=f"https://{here}{address('shop_day')}",
        first_look=first,
        code=mark_safe(qr_code(first, title=worded("Opens {first}", first=first), level="m")),
    )
    return screen(request, "sealed/sealed.html", page)


@login_not_required
@require_safe
def by_camera(_: HttpRequest) -> HttpResponse:
    """The same page from its code, which is smaller in capitals."""
    return redirect("sealed")


@login_not_required
@require_safe
def authority(_: HttpRequest) -> HttpResponse:
    """The authority's certificate, in the shape that tablets take in."""
    file = Path(settings.AUTHORITY)
    if not file.is_file():
        raise NotPossibleNow(
            worded(
                "This bench book is served to this machine alone: start it with pinchbolt serve "
                "--network, then come back."
            )
        )
    answer = HttpResponse(file.read_bytes(), content_type="application/x-x509-ca-cert")
    answer.headers["Content-Disposition"] = 'attachment; filename="bench-book.crt"'
    return answer


def authority_figures() -> tuple[str, ...]:
    """The SHA-256 of the authority in pairs, as tablets show it; none where it was never made."""
    file = Path(settings.AUTHORITY)
    figures = sha256(file.read_bytes()).hexdigest().upper() if file.is_file() else ""
    return tuple(figures[at : at + 2] for at in range(0, len(figures), 2))
