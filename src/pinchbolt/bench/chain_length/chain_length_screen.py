"""Chain length: asked with a bike or by hand; nothing is written."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.chain_length.chain_length_form import ChainLengthForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import opened_from_bike, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.questions.ask_chain_length import ChainView, chain_to_cut


@dataclass(frozen=True, slots=True)
class ChainLengthPage(Page):
    """What is shown: the length and its working."""

    title: str
    seen: ChainView | None
    tag: str
    to_measure: str = ""


@require_safe
def chain_length(request: HttpRequest) -> HttpResponse:
    """The form, and once something is asked the length."""
    form = ChainLengthForm(request.GET)
    seen: ChainView | None = None
    if any(request.GET.values()):
        with form.refusable():
            seen = chain_to_cut(form.asked())
    form, to_measure = opened_from_bike(request, form)
    page = ChainLengthPage(worded("chain length"), seen, str(request.GET.get("tag", ""))[:20], to_measure)
    return screen(request, "chain_length/chain_length.html", page, form)
