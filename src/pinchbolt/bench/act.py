"""An act of a screen, once for all of them: its form, what it does and where it goes, and after a refusal the page again.

@acts(ThingForm, lambda request, form, job: _page(request, job, form))
def thing(act: SentAct[ThingForm], job: int) -> HttpResponse:
    do_thing(act.form.asked(job), **act.mark)
    return back_to("things", job=job)
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import wraps
from typing import Generic, TypedDict, TypeVar

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.views.decorators.http import require_POST

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.shared import by, now

F = TypeVar("F", bound=BenchForm)
Screen = Callable[..., HttpResponseBase]


class ActMark(TypedDict):
    """Who acts, by which mark of the request, and when: what every use case that writes is told."""

    by: int
    key: str
    now: datetime


@dataclass(frozen=True, slots=True)
class SentAct(Generic[F]):
    """What was sent: the request, its form, and the mark under which it is written down."""

    request: HttpRequest
    form: F
    mark: ActMark

    @property
    def now(self) -> datetime:
        """When it is done."""
        return self.mark["now"]


def acts(form: Callable[[HttpRequest], F] | type[F], again: Screen) -> Callable[[Screen], Screen]:
    """Make a screen of an act that is sent by a form.

    Args:
        form: The form's class, or what makes one of the request.
        again: The page with the form's entries and sentences; asked with request, form and the gaps of the address.
    """

    def of(act: Screen) -> Screen:
        @wraps(act)
        def sent(request: HttpRequest, **gaps: object) -> HttpResponseBase:
            filled = form(request.POST) if isinstance(form, type) else form(request)
            mark = ActMark(by=by(request), key=filled.key, now=now())
            with filled.refusable():
                return act(SentAct(request, filled, mark), **gaps)
            return again(request, filled, **gaps)

        return require_POST(sent)

    return of
