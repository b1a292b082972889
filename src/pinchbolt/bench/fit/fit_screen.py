"""Does it fit: a question in words, or which part fits a bike; nothing is written."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Words
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.fit_in_words import RuleAskedView, RuleListed, fit_in_words, fit_list
from pinchbolt.workshop.parts.which_part import WhichView, currency, which_part


class FitForm(BenchForm):
    """The question as it is asked; with a bike, the part that is sought for it."""

    words = Words(worded("ask as you would say it"))
    bike = Words(worded("bike"))
    part = Words(worded("which part is sought"))


@dataclass(frozen=True, slots=True)
class FitPage(Page):
    """What is shown: the answers, likeliest first, or what fits the bike; else the list of rules."""

    title: str
    found: tuple[RuleAskedView, ...]
    which: tuple[WhichView, ...]
    rules: tuple[RuleListed, ...]
    currency: str

    @property
    def first(self) -> RuleAskedView | None:
        """The rule that is meant."""
        return self.found[0] if self.found else None

    @property
    def others(self) -> tuple[RuleAskedView, ...]:
        """Rules that may have been meant instead."""
        return self.found[1:]


@require_safe
def fit(request: HttpRequest) -> HttpResponse:
    """The box, and once something is asked the answer."""
    form = FitForm(request.GET)
    found: tuple[RuleAskedView, ...] = ()
    which: tuple[WhichView, ...] = ()
    words, bike, part = (str(request.GET.get(name, "")).strip() for name in ("words", "bike", "part"))
    with form.refusable():
        if bike and part:
            which = which_part(bike, part)
        elif words:
            found = fit_in_words(words)
    page = FitPage(
        worded("does it fit?"), found, which, fit_list() if not found and not which else (), currency()
    )
    return screen(request, "fit/fit.html", page, form)
