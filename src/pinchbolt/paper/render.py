"""The door of the paper room: a sheet of a job, or a bike's hang tag, as PDF."""

from collections.abc import Callable, Mapping
from datetime import UTC, datetime, time

from pinchbolt.errors import NotFound
from pinchbolt.paper.bill.bill_paper import bill_values
from pinchbolt.paper.bolt_round.bolt_round_paper import bolt_round_values
from pinchbolt.paper.call_back.call_back_paper import call_back_values
from pinchbolt.paper.claim.claim_paper import claim_values
from pinchbolt.paper.estimate.estimate_paper import estimate_values
from pinchbolt.paper.handover.handover_paper import handover_values
from pinchbolt.paper.hang_tag.hang_tag_paper import hang_tag_values
from pinchbolt.paper.home_tools.home_tools_paper import home_tools_values
from pinchbolt.paper.job_card.job_card_paper import job_card_values
from pinchbolt.paper.letter.letter_paper import letter_values
from pinchbolt.paper.not_safe.not_safe_paper import not_safe_values
from pinchbolt.paper.order_sheet.order_sheet_paper import order_sheet_values
from pinchbolt.paper.press import pressed
from pinchbolt.paper.torque_sheet.torque_sheet_paper import torque_sheet_values
from pinchbolt.paper.wheel_sheet.wheel_sheet_paper import wheel_sheet_values
from pinchbolt.paper.workings.workings_paper import workings_values
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import one_look
from pinchbolt.workshop.leaving.bill import bill_by_number
from pinchbolt.workshop.leaving.print_sheet import BILL_FORMS

_SHEETS: Mapping[str, tuple[str, Callable[[int, datetime], dict[str, object]]]] = {
    "estimate": ("estimate/estimate.typ", estimate_values),
    "job-card": ("job_card/job_card.typ", job_card_values),
    "torque-sheet": ("torque_sheet/torque_sheet.typ", torque_sheet_values),
    "handover": ("handover/handover.typ", handover_values),
    "not-safe": ("not_safe/not_safe.typ", not_safe_values),
    "workings": ("workings/workings.typ", workings_values),
}
SHEETS = tuple(_SHEETS)
"""Names of the sheets of a job."""
_BILLS = {"page": "bill/bill.typ", "strip": "bill/bill_strip.typ"}
# A hang tag carries no day; a PDF must.
_NO_DAY = datetime(2026, 1, 1, tzinfo=UTC)


@one_look()
def render(sheet: str, job: int, now: datetime) -> bytes:
    """Return a sheet of a job as PDF, A4, tagged for readers who listen.

    Args:
        sheet: One of `SHEETS`. [-]
        job: Id of the job. [-]
        now: Printed on the sheet; the same records and time give the same bytes. [-]

    Returns:
        The PDF. [-]

    Raises:
        NotFound: No such sheet or job.
        NotPossibleNow: The not-safe sheet of a bike that nothing calls unsafe.
    """
    if sheet not in _SHEETS:
        raise NotFound(
            worded(
                'There is no sheet "{sheet}": {sheets}. Choose one.',
                sheet=sheet[:40],
                sheets=", ".join(SHEETS),
            )
        )
    template, values = _SHEETS[sheet]
    return pressed(template, values(job, now), now)


@one_look()
def bill_sheet(number: str, form: str = BILL_FORMS[0]) -> bytes:
    """Return a bill as PDF: one page, or a strip of 80 mm; its day is the day it was issued.

    Args:
        number: The bill's number, such as 2026-0001. [-]
        form: page or strip. [-]

    Returns:
        The PDF; the same bill gives the same bytes. [-]

    Raises:
        NotFound: No such bill, or no such form.
    """
    if form not in BILL_FORMS:
        raise NotFound(
            worded(
                'A bill is printed as {bill_forms}, not as "{form}". Choose one.',
                bill_forms=" or ".join(BILL_FORMS),
                form=form[:20],
            )
        )
    bill = bill_by_number(number)
    return pressed(_BILLS[form], bill_values(bill), datetime.combine(bill.issued, time(), UTC))


@one_look()
def held_letter_sheet(owner: int, now: datetime) -> bytes:
    """Return the letter that tells an owner what is held about them, as PDF.

    Args:
        owner: The owner's number. [-]
        now: Printed on it; the same records and time give the same bytes. [-]

    Returns:
        The PDF. [-]

    Raises:
        NotFound: No such owner.
    """
    return pressed("letter/letter.typ", letter_values(owner, now), now)


@one_look()
def hang_tag(tag: str, address: str) -> bytes:
    """Return a bike's hang tag as PDF, a label 62 mm wide.

    Args:
        tag: The bike's tag. [-]
        address: Address under which tablets open the workshop, such as http://192.168.1.20:8010. [-]

    Returns:
        The PDF; the same tag and address give the same bytes. [-]

    Raises:
        NotFound: No bike has this tag.
        InputRefused: The address is not one that a phone can open.
    """
    return pressed("hang_tag/hang_tag.typ", hang_tag_values(tag, address), _NO_DAY)


@one_look()
def bolt_round_sheet(tag: str, which: str, now: datetime) -> bytes:
    """Return a bike's bolt round as PDF, A4, with boxes to tick.

    Args:
        tag: The bike's tag. [-]
        which: whole, first-ride, monthly or due; '' for the usual one of this kind of bike. [-]
        now: Printed on the sheet; the same records and time give the same bytes. [-]

    Returns:
        The PDF. [-]

    Raises:
        NotFound: No bike has this tag.
        InputRefused: No such round.
    """
    return pressed("bolt_round/bolt_round.typ", bolt_round_values(tag, which, now), now)


@one_look()
def wheel_sheet_pdf(job: int, wheel: int, now: datetime) -> bytes:
    """Return a wheel's sheet as PDF, A4: drawn, with the next turns to tick, before and after, its past.

    Args:
        job: Id of the job. [-]
        wheel: Id of the part. [-]
        now: Printed on the sheet; the same records and time give the same bytes. [-]

    Returns:
        The PDF. [-]

    Raises:
        NotFound: No such job or part.
        NotPossibleNow: It is no wheel of this bike.
    """
    return pressed("wheel_sheet/wheel_sheet.typ", wheel_sheet_values(job, wheel, now), now)


@one_look()
def home_tools_sheet(tag: str, most: int, now: datetime) -> bytes:
    """Return the few tools to have at home for an owner's bikes as PDF, A4, one page.

    Args:
        tag: The tag of one of the bikes. [-]
        most: How many tools. [-]
        now: Printed on the sheet; the same records and time give the same bytes. [-]

    Returns:
        The PDF. [-]

    Raises:
        NotFound: No bike has this tag.
        InputRefused: A number of tools that can't be.
    """
    return pressed("home_tools/home_tools.typ", home_tools_values(tag, most, now), now)


@one_look()
def claim_sheet_pdf(claim: int, now: datetime) -> bytes:
    """Return the sheet of a claim as PDF, with its photos.

    Args:
        claim: The claim's number. [-]
        now: Printed on the sheet; the same records and time give the same bytes. [-]

    Returns:
        The PDF. [-]

    Raises:
        NotFound: There is no such claim.
    """
    return pressed("claim/claim.typ", claim_values(claim, now), now)


def order_sheet(supplier: str, now: datetime) -> bytes:
    """Return the order to a supplier as PDF; every order of tonight where none is named.

    Args:
        supplier: The supplier's name. [-]
        now: The evening. [-]

    Returns:
        The PDF. [-]

    Raises:
        NotFound: Nothing is to be ordered of them.
    """
    return pressed("order_sheet/order_sheet.typ", order_sheet_values(supplier, now), now)


def call_back_letter(owner: int, tag: str, words: str, now: datetime) -> bytes:
    """Return the letter that asks an owner back, as PDF.

    Args:
        owner: The owner's number. [-]
        tag: The bike's tag. [-]
        words: What it says. [-]
        now: Printed on it. [-]

    Returns:
        The PDF. [-]

    Raises:
        NotFound: No such owner or bike.
    """
    return pressed("call_back/call_back.typ", call_back_values(owner, tag, words, now), now)
