"""A wheel from parts: what was measured, which parts, how long the spokes, in which order they go in, and its line."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from pinchbolt.bench.act import SentAct, acts
from pinchbolt.bench.addresses import back_to
from pinchbolt.bench.bench_form import BenchForm
from pinchbolt.bench.fields import Figure, OneOf
from pinchbolt.bench.job_page import job_screen
from pinchbolt.bench.page import Page
from pinchbolt.bench.shared import now
from pinchbolt.bench.wheel_sheet.wheel_sheet_form import WheelFactsForm, usual_facts
from pinchbolt.values.wording import worded
from pinchbolt.workshop.parts.take_in_parts import BinView
from pinchbolt.workshop.wheels.build_wheel import (
    BuildWheelRequest,
    BuildWheelView,
    build_wheel,
    parts_for_wheel,
    propose_build,
)
from pinchbolt.workshop.wheels.spoke_count import spokes_counted
from pinchbolt.workshop.wheels.wheel_sheet import wheel_sheet

_HOLE = 2.5
_PARTS = ("rim_number", "hub_number", "spokes_left", "spokes_right")


class BuildWheelForm(WheelFactsForm):
    """What was measured, and which parts of the bins."""

    hole_mm = Figure(worded("diameter of the flange's holes"), "mm")
    rim_number = OneOf(worded("which rim"))
    hub_number = OneOf(worded("which hub"))
    spokes_left = OneOf(worded("which spokes on the left"))
    spokes_right = OneOf(worded("which spokes on the right"))

    def offer(self, job: int, wheel: int) -> None:
        """Let the parts that lie in the bins or can be ordered be chosen."""
        there = parts_for_wheel(job, wheel)
        for name, parts in zip(_PARTS, (there.rims, there.hubs, there.spokes, there.spokes), strict=True):
            field = self.fields[name]
            assert isinstance(field, OneOf)
            field.choices = [("", worded("not from the bins")), *((one.number, _words(one)) for one in parts)]

    def asked(self, job: int, part: int) -> BuildWheelRequest:
        """Return it as the use case takes it."""
        wheel, said = self.facts(), self.checked()
        return BuildWheelRequest(
            job, part, wheel, said["hole_mm"] or _HOLE, *(said[name] or "" for name in _PARTS)
        )


def _words(one: BinView) -> str:
    return f"{one.words}, {one.lies}"


@dataclass(frozen=True, slots=True)
class WheelBuildPage(Page):
    """What is shown: the form, and once it is filled what the build takes."""

    name: str
    wheel: int
    build_form: BuildWheelForm
    found: BuildWheelView | None
    kept: tuple[tuple[str, str], ...]
    lacing_spokes: int
    lacing_crossings: int
    is_open: bool


@require_safe
def build(request: HttpRequest, job: int, wheel: int) -> HttpResponse:
    """What building this wheel takes, once it is asked."""
    form = BuildWheelForm(request.GET) if "erd_mm" in request.GET else None
    return _page(request, form, job, wheel)


def _again(request: HttpRequest, form: BuildWheelForm, job: int, wheel: int) -> HttpResponse:
    return _page(request, form, job, wheel)


@acts(BuildWheelForm, _again)
def put_on(act: SentAct[BuildWheelForm], job: int, wheel: int) -> HttpResponse:
    """Put the build on the estimate."""
    propose_build(act.form.asked(job, wheel), **act.mark)
    return back_to("estimate", job=job)


def _page(request: HttpRequest, form: BuildWheelForm | None, job: int, wheel: int) -> HttpResponse:
    seen = wheel_sheet(job, wheel)
    found, said = None, None
    if form is not None:
        refused = form.refusal
        with form.refusable():
            said = form.asked(job, wheel)
            found = build_wheel(said)
        form.refusal = refused or form.refusal
    shown = form or BuildWheelForm(
        initial={**usual_facts(seen, spokes_counted(job, wheel)), "hole_mm": _HOLE}
    )
    shown.offer(job, wheel)
    page = WheelBuildPage(
        name=seen.name,
        wheel=wheel,
        build_form=shown,
        found=found,
        kept=tuple((name, str(shown.data.get(name, ""))) for name in shown.fields) if found else (),
        lacing_spokes=said.wheel.spokes if said else 0,
        lacing_crossings=said.wheel.crossings_left if said else 0,
        is_open=seen.is_open,
    )
    sent: BenchForm | None = form
    return job_screen(request, job, "", now(), "wheel_build/wheel_build.html", page, sent)
