"""An instrument is tried on something known in a few taps; one that is out goes off the board."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import see
from pinchbolt.bench.bench_form import BenchForm, own_form
from pinchbolt.bench.gauge_check.gauge_check_form import LENGTH, NEW, SIDES, SIZE, GaugeForm
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now, screen
from pinchbolt.bench.torque_sheet.torque_sheet_screen import said_of
from pinchbolt.errors import NotFound
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.tools.check_instrument import Checked, check_instrument, last_instrument_check
from pinchbolt.workshop.tools.tool_board import InstrumentView, tool_board


@require_safe
def gauge_check(request: HttpRequest, instrument: int) -> HttpResponse:
    """Show one instrument with its last check."""
    return _page(request, instrument, None)


@acts(GaugeForm, lambda request, form, instrument: _page(request, instrument, form))
def tried(act: SentAct[GaugeForm], instrument: int) -> HttpResponse:
    """Write down what it showed."""
    check_instrument(act.form.asked(instrument), **act.mark)
    return see("gauge_check", instrument=instrument, query={"done": "yes"})


@dataclass(frozen=True, slots=True)
class GaugeCheckPage(Page):
    """What is shown: one instrument and how it is tried."""

    title: str
    gauge: InstrumentView
    last: Checked | None
    is_done: bool
    of_chains: bool
    goes_or_not: bool
    tried_on: tuple[str, ...]
    picked: object
    sides: Mapping[str, tuple[float | None, float | None]]
    gauge_form: GaugeForm
    value_said: str


def _page(request: HttpRequest, instrument: int, form: BenchForm | None) -> HttpResponse:
    board = tool_board(local_day(now()))[1]
    seen = next((one for one in board if one.id == instrument), None)
    if seen is None:
        raise NotFound(
            worded(
                "There is no gauge {instrument} on the board: choose one that hangs there.",
                instrument=instrument,
            )
        )
    of_chains = seen.unit == "percent"
    tried_on = (NEW, LENGTH, SIZE) if of_chains else (SIZE,)
    given = own_form(form, GaugeForm)
    page = GaugeCheckPage(
        title=worded("check {name}", name=seen.name),
        gauge=seen,
        last=last_instrument_check(instrument),
        is_done="done" in request.GET,
        of_chains=of_chains,
        goes_or_not=of_chains and seen.reads.startswith("interval"),
        tried_on=tried_on,
        picked=given.data.get("tried_on") or tried_on[0],
        sides=SIDES,
        gauge_form=given,
        value_said=said_of(given, "value"),
    )
    return screen(request, "gauge_check/gauge_check.html", page, form)
