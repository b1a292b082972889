"""Taking a bike in: find it or make it, then one page with everything that is said and promised."""

from datetime import datetime, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from pinchbolt.bench.check_in.form import CheckInForm
from pinchbolt.bench.shared import by, now, screen
from pinchbolt.bench.templatetags.bench import day_name
from pinchbolt.bench.way import job_href
from pinchbolt.errors import InputRefused
from pinchbolt.workshop.bike_sheet import bike_sheet, find_bikes
from pinchbolt.workshop.building import use_classes
from pinchbolt.workshop.check_in import check_in as take_in
from pinchbolt.workshop.state import Where
from pinchbolt.workshop.trade_tables import tables

HOURS = ("10:00", "12:00", "15:00", "17:00")
MARKS = (
    "scratched frame",
    "dent in a tube",
    "worn bar tape",
    "bent rim",
    "cracked tyre",
    "rust on the chain",
    "muddy",
)
LEFT = (
    "key",
    "e-bike battery",
    "charger",
    "front light",
    "rear light",
    "pump",
    "bottle",
    "bag",
    "lock",
    "axle key",
)
LIMITS = ("0", "30", "60", "100")
WEEKS = ("20", "50", "80", "120", "200")


@require_http_methods(["GET", "HEAD", "POST"])
def check_in(request: HttpRequest) -> HttpResponse:
    """Choose a bike first (?find=, ?tag=, ?template=), then write down what is said."""
    moment = now()
    if request.method == "POST":
        form = CheckInForm(request.POST)
        with form.refusable():
            done = take_in(form.asked(), by=by(request), key=form.key, now=moment)
            answer = HttpResponseRedirect(job_href(done.job, "check-in"))
            answer.status_code = 303
            return answer
        return _page(request, form, request.POST.get("tag", ""), request.POST.get("template", ""), moment)
    tag, template = request.GET.get("tag", ""), request.GET.get("template", "")
    if tag or template:
        return _page(request, CheckInForm(), tag, template, moment)
    wanted = request.GET.get("find", "")[:60]
    return screen(
        request,
        "check_in/which_bike.html",
        {
            "title": "check-in",
            "wanted": wanted,
            "found": find_bikes(wanted),
            "templates": tables().templates.values(),
        },
    )


def _page(request: HttpRequest, form: CheckInForm, tag: str, template: str, moment: datetime) -> HttpResponse:
    """The one page of a check-in, for a known bike or a new one."""
    known = bike_sheet(tag, moment) if tag.strip() else None
    build = tables().templates.get(template) if known is None else None
    if known is None and build is None:
        names = ", ".join(tables().templates)
        raise InputRefused(f'The build template "{template[:40]}" is not in the table: {names}. Pick one.')
    here = next((job for job in known.jobs if job.state.where is not Where.GONE), None) if known else None
    context: dict[str, Any] = {
        "title": "check-in",
        "known": known,
        "here": here,
        "build": build,
        "days": _days(moment),
        "hours": HOURS,
        "use_classes": use_classes(),
        "marks": MARKS,
        "left": LEFT,
        "limits": LIMITS,
        "weeks": WEEKS,
        "entry": {name: form[name].value() or "" for name in form.fields},
    }
    return screen(request, "check_in/check_in.html", context, form)


def _days(moment: datetime) -> list[tuple[str, str]]:
    """The next days as buttons: the day as it is sent, and as it is said."""
    today = timezone.localtime(moment).date()
    return [
        (f"{day:%Y-%m-%d}", day_name(day, today)) for day in (today + timedelta(days=n) for n in range(7))
    ]
