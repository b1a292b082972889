"""Gears: asked with a bike, or with teeth as they are typed; nothing is written."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.gears.gears_form import GearsForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import opened_from_bike, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.questions.ask_gears import GearsView, gears_of


@dataclass(frozen=True, slots=True)
class GearsPage(Page):
    """What is shown: the gears."""

    title: str
    seen: GearsView | None
    tag: str
    to_measure: str = ""


@require_safe
def gears(request: HttpRequest) -> HttpResponse:
    """The form, and once something is asked the gears."""
    form = GearsForm(request.GET)
    seen: GearsView | None = None
    if any(request.GET.get(name) for name in ("tag", "rings", "sprockets")):
        with form.refusable():
            seen = gears_of(form.asked())
    form, to_measure = opened_from_bike(request, form)
    return screen(
        request,
        "gears/gears.html",
        GearsPage(
            title=worded("gears"),
            seen=seen,
            tag=request.GET.get("tag", "")[:20],
            to_measure=to_measure,
        ),
        form,
    )
