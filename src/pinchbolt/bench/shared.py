"""What every screen shares: who acts, what time it is, and how a page is answered."""

from datetime import datetime
from urllib.parse import quote

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from pinchbolt.bench.bench_form import BenchForm, F
from pinchbolt.bench.page import Page
from pinchbolt.errors import NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import terms

LOOKS = ("auto", "light", "dark")


def on_every_page(request: HttpRequest) -> dict[str, object]:
    """Context that every template may use."""
    look = request.COOKIES.get("look", "auto")
    return {
        "look": look if look in LOOKS else "auto",
        "person": getattr(request, "user", None),
        "workshop_name": workshop_name,
        "is_demo": is_demo,
        "back_to": settings.BACK_TO,
        "path": request.path,
        "top": None,
    }


def workshop_name() -> str:
    """Return the workshop's name, or nothing before one is set up."""
    try:
        return terms().name
    except NotFound:
        return ""


def is_demo() -> bool:
    """Return whether this is the invented workshop: every page says so."""
    try:
        return terms().is_demo
    except NotFound:
        return False


def now() -> datetime:
    """Return the time of this request."""
    return timezone.now()


def by(request: HttpRequest) -> int:
    """Return the id of the person who acts; every screen that writes is behind the sign-in."""
    person = request.user.pk
    return int(person) if person is not None else 0


def opened_from_bike(request: HttpRequest, form: F) -> tuple[F, str]:
    """Return the form as it opens from a bike's page: what its build sheet lacks is asked, and nothing was refused.

    Returns:
        The form, without a refusal where only the bike was named; and what to say above it, or nothing.
    """
    only_the_bike = [name for name, value in request.GET.items() if value] == ["tag"]
    if form.refusal is None or not only_the_bike or isinstance(form.refusal, NotFound):
        return form, ""
    empty = type(form)()
    empty.initial["tag"] = request.GET["tag"][:20]
    at_fields = worded("Not all is on the build sheet. Measure and count, and fill in what is empty.")
    return empty, at_fields if form.refusal.errors else form.refusal.sentence


def screen(
    request: HttpRequest, template: str, page: Page, form: BenchForm | None = None, frame: Page | None = None
) -> HttpResponse:
    """Answer with a page; after a refusal with the refusal's status, the form carrying its sentences and entries."""
    refusal = form.refusal if form is not None else None
    status = refusal.status if refusal is not None else 200
    around = frame.named() if frame is not None else {}
    answer = render(
        request, template, {"form": form, "refusal": refusal, **around, **page.named()}, status=status
    )
    if refusal is not None:
        answer.headers["X-Refused"] = quote(refusal.sentence)
    return answer


def may_keep(answer: HttpResponse, request: HttpRequest, what: str, *jobs: int) -> HttpResponse:
    """Let the tablet keep a copy of this page for when there is no signal: whose it is, and which jobs are on it."""
    answer.headers["X-Keep"] = " ".join(map(str, (what, by(request), *jobs)))
    return answer
