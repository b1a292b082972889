"""The day ahead by JSON: the board, the days for a job, promises that stand, how well it goes, the calendar."""

from typing import Annotated

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Path, Query, Router
from pydantic import AfterValidator

from pinchbolt.api.bodies import MOST_INT, writable
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.day.calendar import SHOP, calendar
from pinchbolt.workshop.day.day_board import DayBoard, day_board
from pinchbolt.workshop.day.days_told import DaysTold, PromiseNow, days_for_job, days_for_new, promises_now
from pinchbolt.workshop.day.how_well import HowWell, how_well

JobNumber = Annotated[int, Path(ge=1, le=MOST_INT)]
Word = Annotated[str, Query(max_length=40), AfterValidator(writable)]

DAY_ANSWERS: dict[str, object] = {
    "see_day_board": DayBoard,
    "see_days_for_job": DaysTold,
    "see_days_for_new": DaysTold,
    "see_promises": tuple[PromiseNow, ...],
    "see_how_well": HowWell,
}

router = Router(tags=["day"])


@router.get(
    "/day/ahead",
    response=ANSWERED,
    operation_id="see_day_board",
    summary=worded(
        "The day ahead: whom to call, who is in, what is next and why, promises with their odds, the week."
    ),
)
def ahead(request: HttpRequest) -> object:
    """As it stands now."""
    return as_json(day_board(timezone.now()))


@router.get(
    "/job/{job}/days",
    response=ANSWERED,
    operation_id="see_days_for_job",
    summary=worded(
        "By which days a job can be promised, with odds, why, and what it does to the other promises."
    ),
)
def days_of(request: HttpRequest, job: JobNumber) -> object:
    """As if it were promised anew."""
    return as_json(days_for_job(job, timezone.now()))


@router.get(
    "/days",
    response=ANSWERED,
    operation_id="see_days_for_new",
    summary=worded("The same for a bike that comes in, by about how much work it is: small, usual, big."),
)
def days_for(request: HttpRequest, size: Word = "usual") -> object:
    """Of which nothing else is known yet."""
    return as_json(days_for_new(size, timezone.now()))


@router.get(
    "/promises",
    response=ANSWERED,
    operation_id="see_promises",
    summary=worded(
        "Promises that stand with their odds now, the least likely first; those under 6 in "
        "10 with the call to make."
    ),
)
def promises(request: HttpRequest) -> object:
    """The least likely first."""
    return as_json(promises_now(timezone.now()))


@router.get(
    "/how-well",
    response=ANSWERED,
    operation_id="see_how_well",
    summary=worded(
        "Promises against their odds, minutes against what work took, forecasts against what "
        "came in, lines by finding."
    ),
)
def well(request: HttpRequest) -> object:
    """Of the last 400 days."""
    return as_json(how_well(timezone.now()))


@router.get(
    "/calendar",
    response=ANSWERED,
    operation_id="as_calendar",
    summary=worded("The calendar of the shop, or of a person by their sign-in name (RFC 5545)."),
)
def calendar_of(request: HttpRequest, of: Word = SHOP) -> HttpResponse:
    """Promises, plan, days off."""
    return HttpResponse(calendar(of, timezone.now()), content_type="text/calendar; charset=utf-8")
