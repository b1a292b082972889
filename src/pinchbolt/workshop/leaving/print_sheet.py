"""Sheets as PDF. Who presses them is a setting, so that no door needs to know the paper room.

A sheet that is final (a bill, a handover once the bike is gone, an estimate as it was asked and answered) is kept as it
was pressed the first time, and handed out again as those bytes.
"""

from collections.abc import Callable
from datetime import datetime
from typing import cast

from django.conf import settings
from django.db import transaction
from django.utils.module_loading import import_string

from pinchbolt.errors import NotFound, NotPossibleNow
from pinchbolt.records.models import Event, Job, Paper
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import Where, job_state
from pinchbolt.workshop.leaving.bill import bills_of, refuse_erased
from pinchbolt.workshop.stays.together import together_with

BILL_FORMS = ("page", "strip")
_BILL_SHEETS = {"bill": "page", "bill-strip": "strip"}
_OF_ESTIMATE = (
    "priced", "asked together", "proposed", "work price set", "withdrawn", "line answered", "line given back", "limit said", "line paid by",
    "discount given", "promised", "visit agreed",
)  # fmt: skip


def print_sheet(sheet: str, job: int, now: datetime, by: int | None = None) -> bytes:
    """Return a sheet of a job (estimate, job-card, torque-sheet, handover, not-safe, workings, bill, bill-strip) as PDF.

    `by` is who asks for it; None is who sits at the machine itself.

    Raises:
        NotFound: No such sheet or job, or no bill yet.
        NotAllowed: A bill of an owner who was erased, asked for by somebody who does not own the workshop.
        NotPossibleNow: The not-safe sheet of a bike that nothing calls unsafe, or the job was called off.
    """
    found = job_by_id(job)
    _refuse_called_off(sheet, found)
    if sheet in _BILL_SHEETS:
        return print_bill(_newest_bill(found), now, _BILL_SHEETS[sheet], by)
    press = cast(Callable[[str, int, datetime], bytes], import_string(settings.SHEET_PRESS))
    return _kept(_final_name(sheet, found), now, lambda: press(sheet, job, now))


def print_bill(number: str, now: datetime, form: str = BILL_FORMS[0], by: int | None = None) -> bytes:
    """Return a bill as PDF, a page or a strip of 80 mm.

    Raises:
        NotFound: No such bill, or no such form.
        NotAllowed: It is of an owner who was erased, and who asks (`by`) does not own the workshop.
    """
    if by is not None:
        refuse_erased(number, by)
    press = cast(Callable[[str, str], bytes], import_string(settings.BILL_PRESS))
    kept = f"bill {number.strip()[:20]}{'' if form == BILL_FORMS[0] else f' {form[:20]}'}"
    return _kept(kept, now, lambda: press(number, form))


def _newest_bill(job: Job) -> str:
    bills = bills_of(job)
    if not bills:
        raise NotFound(
            worded(
                "{tag} has no bill: it is made when the bike is handed over and work was done.",
                tag=job.bike.tag,
            )
        )
    return bills[-1].number


def _refuse_called_off(sheet: str, job: Job) -> None:
    """Of a job that was called off nothing goes out but its own card, which says so."""
    state = job_state(job)
    if state.where is Where.CALLED_OFF and sheet != "job-card":
        raise NotPossibleNow(
            worded("This job of {tag} was called off: only its job card is printed.", tag=job.bike.tag)
        )


def _final_name(sheet: str, job: Job) -> str:
    """The name under which a sheet is kept; "" while anything on it may change."""
    if sheet == "handover" and job_state(job).where is Where.GONE:
        return _handover_name(job)
    if sheet == "estimate":
        last = (
            Event.objects.filter(
                job__in=[job, *together_with(job)], kind__in=_OF_ESTIMATE, corrected_by__isnull=True
            )
            .order_by("-pk")
            .values_list("pk", "kind")
            .first()
        )
        # A line that was not asked yet still moves with the shop's prices.
        if last is not None and last[1] not in ("proposed", "work price set", "withdrawn"):
            return f"estimate {job.pk}/{last[0]}"
    return ""


def _handover_name(job: Job) -> str:
    """The sheet of a handover; one that was taken back keeps its own, and the next is pressed anew."""
    made = Event.objects.filter(job=job, kind="handed over").order_by("pk").values_list("pk", flat=True)
    return f"handover {job.pk}" if len(made) == 1 else f"handover {job.pk}/{made[len(made) - 1]}"


def _kept(name: str, now: datetime, press: Callable[[], bytes]) -> bytes:
    """The bytes that were kept under this name, else those pressed now, kept."""
    if not name:
        return press()
    row = Paper.objects.filter(name=name).first()
    if row is None:
        with transaction.atomic():
            row, _ = Paper.objects.get_or_create(name=name, defaults={"at": now, "pdf": press()})
    return bytes(row.pdf)


def print_hang_tag(tag: str, address: str) -> bytes:
    """Return a bike's hang tag as PDF; its code opens the bike below *address*.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: The address is not one that a phone can open.
    """
    press = cast(Callable[[str, str], bytes], import_string(settings.TAG_PRESS))
    return press(tag, address)


def print_bolt_round(tag: str, which: str, now: datetime) -> bytes:
    """Return a bike's bolt round as PDF, to be ticked by hand.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: No such round.
    """
    press = cast(Callable[[str, str, datetime], bytes], import_string(settings.ROUND_PRESS))
    return press(tag, which, now)


def print_home_tools(tag: str, most: int, now: datetime) -> bytes:
    """Return the few tools to have at home for every bike of a bike's owner as PDF.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: A number of tools that can't be.
    """
    press = cast(Callable[[str, int, datetime], bytes], import_string(settings.HOME_PRESS))
    return press(tag, most, now)
