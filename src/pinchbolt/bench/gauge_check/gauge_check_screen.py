"""An instrument is tried on something known in a few taps; one that is out goes off the board."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.views.decorators.http import require_POST, require_safe

from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.gauge_check.gauge_check_form import LENGTH, NEW, SIDES, SIZE, GaugeForm
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.torque_sheet.torque_sheet_screen import said_of
from pinchbolt.errors import NotFound
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.tools.check_instrument import check_instrument, last_instrument_check
from pinchbolt.workshop.tools.tool_board import tool_board


@require_safe
def gauge_check(request: HttpRequest, instrument: int) -> HttpResponse:
    """Show one instrument with its last check."""
    return _page(request, instrument, None)


@require_POST
def tried(request: HttpRequest, instrument: int) -> HttpResponse:
    """Write down what it showed."""
    form = GaugeForm(request.POST)
    with form.refusable():
        check_instrument(form.asked(instrument), by=by(request), key=form.key, now=now())
        answer = HttpResponseRedirect(f"/tools/gauge/{instrument}/?done")
        answer.status_code = 303
        return answer
    return _page(request, instrument, form)


def _page(request: HttpRequest, instrument: int, form: BenchForm | None) -> HttpResponse:
    board = tool_board(local_day(now()))[1]
    seen = next((one for one in board if one.id == instrument), None)
    if seen is None:
        raise NotFound(f"There is no instrument {instrument} on the board: choose one that hangs there.")
    of_chains = seen.unit == "percent"
    tried_on = (NEW, LENGTH, SIZE) if of_chains else (SIZE,)
    given = form if isinstance(form, GaugeForm) else GaugeForm()
    context = {
        "title": f"check {seen.name}",
        "gauge": seen,
        "last": last_instrument_check(instrument),
        "is_done": "done" in request.GET,
        "of_chains": of_chains,
        "goes_or_not": of_chains and seen.reads.startswith("interval"),
        "tried_on": tried_on,
        "picked": given.data.get("tried_on") or tried_on[0],
        "sides": SIDES,
        "gauge_form": given,
        "value_said": said_of(given, "value"),
    }
    return screen(request, "gauge_check/gauge_check.html", context, form)
