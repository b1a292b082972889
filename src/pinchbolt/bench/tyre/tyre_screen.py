"""A tyre: asked with a bike or by hand; nothing is written."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.bench.tyre.tyre_form import TyreForm
from pinchbolt.engines.fit import FitVerdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.questions.ask_tyre import TyreRequest, TyreView, ask_tyre


@dataclass(frozen=True, slots=True)
class TyrePage(Page):
    """What is shown: what was asked, and what can be said of the tyre."""

    title: str
    told: TyreRequest | None
    seen: TyreView | None
    tag: str
    end: str

    @property
    def misfits(self) -> tuple[FitVerdict, ...]:
        """What does not fit: it leads."""
        return tuple(one for one in self._checks if one.verdict.value == "does not fit")

    @property
    def checks(self) -> tuple[FitVerdict, ...]:
        """The other checks."""
        return tuple(one for one in self._checks if one.verdict.value != "does not fit")

    @property
    def _checks(self) -> tuple[FitVerdict, ...]:
        return self.seen.on_rim if self.seen is not None else ()


@require_safe
def tyre(request: HttpRequest) -> HttpResponse:
    """The form, and once something is asked the answer."""
    form = TyreForm(request.GET)
    told: TyreRequest | None = None
    seen: TyreView | None = None
    if request.GET.get("tag") or request.GET.get("marking"):
        with form.refusable():
            told = form.asked()
            seen = ask_tyre(told)
    tag, end = str(request.GET.get("tag", ""))[:20], str(request.GET.get("end", "")) or "rear"
    return screen(
        request, "tyre/tyre.html", TyrePage(worded("tyre and pressure"), told, seen, tag, end), form
    )
