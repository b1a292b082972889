"""Wheels on record by JSON: what is looked at; what is written stands with the other acts."""

from typing import Annotated

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Path, Router

from pinchbolt.api.bodies import MOST_INT, body_of, dataclass_of
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.tools.tension_meter import MeterView, meters
from pinchbolt.workshop.wheels.build_wheel import BuildWheelRequest, BuildWheelView, build_wheel
from pinchbolt.workshop.wheels.print_wheel import print_wheel
from pinchbolt.workshop.wheels.wheel_sheet import WheelOnJob, WheelSheetView, job_wheels, wheel_sheet

ANSWERS: dict[str, object] = {
    "see_job_wheels": tuple[WheelOnJob, ...],
    "see_wheel_sheet": WheelSheetView,
    "see_wheel_build": BuildWheelView,
    "see_meters": tuple[MeterView, ...],
}

router = Router(tags=["wheels"])
Number = Annotated[int, Path(ge=1, le=MOST_INT)]


@router.get(
    "/job/{job}/wheels",
    response=ANSWERED,
    operation_id="see_job_wheels",
    summary=worded("The wheels on a job's bike, each with how it stands."),
)
def wheels(request: HttpRequest, job: Number) -> object:
    """By the build sheet, as it stands now."""
    return as_json(job_wheels(job_by_id(job)))


@router.get(
    "/job/{job}/wheels/{part}",
    response=ANSWERED,
    operation_id="see_wheel_sheet",
    summary=worded("A wheel's sheet: spokes as last read, next turns in order, rounds, its past."),
)
def sheet(request: HttpRequest, job: Number, part: Number) -> object:
    """Without a plan it says why, and what to do."""
    return as_json(wheel_sheet(job, part))


@router.get(
    "/job/{job}/wheels/{part}/sheet",
    response=ANSWERED,
    operation_id="print_wheel",
    summary=worded("A wheel's sheet as PDF."),
)
def on_paper(request: HttpRequest, job: Number, part: Number) -> HttpResponse:
    """To stay with the wheel."""
    return HttpResponse(print_wheel(job, part, timezone.now()), content_type="application/pdf")


def _build(request: HttpRequest, job: Number, part: Number, asked: object) -> object:
    """Spoke lengths with their chance, what of the bins does, lacing order; nothing is written."""
    return as_json(build_wheel(dataclass_of(BuildWheelRequest, asked, {"job": job, "part": part})))


_build.__annotations__["asked"] = body_of(BuildWheelRequest, ("job", "part"))
router.post(
    "/job/{job}/wheels/{part}/build",
    response=ANSWERED,
    operation_id="see_wheel_build",
    summary=worded("What building this wheel from parts takes."),
)(_build)


@router.get(
    "/meters",
    response=ANSWERED,
    operation_id="see_meters",
    summary=worded("Tension meters with their tables and checks."),
)
def tension_meters(request: HttpRequest) -> object:
    """Those that hang on the board."""
    return as_json(meters())
