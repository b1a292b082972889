"""The page of parts: to order, on order, here, sent back, short for tomorrow; the parts of one job; suppliers."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to, see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.parts_wanted.parts_wanted_form import CountForm, PartMoveForm, SupplierForm, WantForm
from pinchbolt.bench.shared import now, screen
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.acts.state import jobs_here
from pinchbolt.workshop.came_up.job_parts import NeededPart, ShortPart, parts_for, parts_page
from pinchbolt.workshop.parts.stocktake import count_bin
from pinchbolt.workshop.parts.suppliers import SupplierView, say_supplier
from pinchbolt.workshop.parts.suppliers import suppliers as all_suppliers
from pinchbolt.workshop.parts.wanted import (
    HERE,
    WRONGS,
    WantedView,
    due_words,
    move_wanted,
    take_from_bins,
    want_part,
    wanted_of,
)


@dataclass(frozen=True, slots=True)
class WantedRow:
    """A wanted part as the page shows it, with what was refused at it. `is_called`: it is here, and its bike is not."""

    one: WantedView
    due: str
    is_over: bool
    is_refused: bool
    is_called: bool = False


@dataclass(frozen=True, slots=True)
class PartsWantedPage(Page):
    """What is shown: every wanted part by where it stands, and what is short."""

    title: str
    groups: Sequence[tuple[str, Sequence[WantedRow]]]
    short: Sequence[ShortPart]
    suppliers: Sequence[SupplierView]
    wrongs: Sequence[str]
    currency: str
    want_form: WantForm
    move_form: PartMoveForm
    refused_row: bool


_GROUPS = (
    (worded("To order"), ("wanted",)),
    (worded("On order"), ("ordered",)),
    (worded("Here, not fitted"), ("arrived", "from the bins")),
    ("Wrong", ("wrong",)),
    (worded("Sent back"), ("sent back",)),
)


@require_safe
def parts(request: HttpRequest) -> HttpResponse:
    """Every part that is wanted."""
    return _parts(request)


@acts(PartMoveForm, lambda request, form: _parts(request, form))
def move(act: SentAct[PartMoveForm]) -> HttpResponse:
    """A wanted part goes on."""
    seen = move_wanted(act.form.asked(), **act.mark)
    back = str(act.request.POST.get("back", ""))
    if back == "job" and seen.job is not None:
        return back_to("job_parts", job=seen.job)
    return see("parts", at=f"part-{seen.id}")


@acts(WantForm, lambda request, form: _parts(request, form))
def add(act: SentAct[WantForm]) -> HttpResponse:
    """A part for the bins."""
    want_part(act.form.asked(None), **act.mark)
    return see("parts")


def _parts(request: HttpRequest, form: BenchForm | None = None) -> HttpResponse:
    when = now()
    today, seen = timezone.localtime(when).date(), parts_page(when)
    named = form.data.get("wanted", "") if isinstance(form, PartMoveForm) else ""
    bikes_here = frozenset(jobs_here().values_list("pk", flat=True))
    groups = [
        (name, [_row(one, today, str(named), bikes_here) for one in seen.at(*states)])
        for name, states in _GROUPS
    ]
    page = PartsWantedPage(
        title=worded("parts"),
        groups=groups,
        short=seen.short,
        suppliers=all_suppliers(),
        wrongs=WRONGS,
        currency=terms().currency,
        want_form=own_form(form, WantForm),
        move_form=own_form(form, PartMoveForm),
        refused_row=any(row.is_refused for _, rows in groups for row in rows),
    )
    return screen(request, "parts_wanted/parts_wanted.html", page, form)


def _row(one: WantedView, today: date, named: str, bikes_here: Collection[int] | None = None) -> WantedRow:
    waits = bikes_here is not None and one.state in HERE and one.job is not None and one.job not in bikes_here
    return WantedRow(one, due_words(one, today), one.is_over(today), named == str(one.id), waits)


@dataclass(frozen=True, slots=True)
class JobPartsPage(Page):
    """What is shown: the parts of one job."""

    needed: Sequence[NeededPart]
    others: Sequence[WantedRow]
    wrongs: Sequence[str]
    suppliers: Sequence[SupplierView]
    currency: str


@require_safe
def job_parts(request: HttpRequest, job: int) -> HttpResponse:
    """The parts of one job."""
    return _job_parts(request, job)


@acts(WantForm, lambda request, form, job: _job_parts(request, job, form))
def want(act: SentAct[WantForm], job: int) -> HttpResponse:
    """A part of a line is to be ordered, or comes out of a bin."""
    asked = act.form.asked(job)
    if asked.bin_number:
        take_from_bins(asked, **act.mark)
    else:
        want_part(asked, **act.mark)
    return back_to("job_parts", job=job)


def _job_parts(request: HttpRequest, job: int, form: BenchForm | None = None) -> HttpResponse:
    when, found = now(), job_by_id(job)
    today = timezone.localtime(when).date()
    page = JobPartsPage(
        needed=parts_for(found, when),
        others=[_row(one, today, "") for one in wanted_of(found)],
        wrongs=WRONGS,
        suppliers=all_suppliers(),
        currency=terms().currency,
    )
    return job_screen(request, job, "", when, "parts_wanted/job_parts.html", page, form)


@dataclass(frozen=True, slots=True)
class SuppliersPage(Page):
    """What is shown: the suppliers."""

    title: str
    suppliers: Sequence[SupplierView]
    supplier_form: SupplierForm
    currency: str


@require_safe
def suppliers(request: HttpRequest) -> HttpResponse:
    """From whom parts come."""
    return _suppliers(request)


@acts(SupplierForm, lambda request, form: _suppliers(request, form))
def supplier(act: SentAct[SupplierForm]) -> HttpResponse:
    """Write a supplier down."""
    say_supplier(act.form.asked(), **act.mark)
    return see("suppliers")


def _suppliers(request: HttpRequest, form: BenchForm | None = None) -> HttpResponse:
    page = SuppliersPage("suppliers", all_suppliers(), own_form(form, SupplierForm), terms().currency)
    return screen(request, "parts_wanted/suppliers.html", page, form)


@acts(CountForm, lambda request, form: _parts(request, form))
def count(act: SentAct[CountForm]) -> HttpResponse:
    """A bin was counted."""
    counted = count_bin(act.form.asked(), **act.mark)
    return see("bins", query={"counted": f"{counted.number}: {counted.words}"})
