"""Money taken off a job: a discount in percent or money, or goodwill, always with a reason; the full price stays on the papers."""

from collections.abc import Sequence
from decimal import Decimal

from pinchbolt.engines.estimate import LinePriced
from pinchbolt.engines.estimate import take_off as taken_off_lines
from pinchbolt.records.models import Event, Job
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import events_told

DISCOUNT, GOODWILL = "discount", "goodwill"


@once_a_look
def given_on(job: Job) -> tuple[Event, ...]:
    """Return what was given on a job and stands, in order."""
    return events_told(job, "discount given")


def discounts_on(
    job: Job, lines: Sequence[LinePriced], currency: str, besides: str = ""
) -> tuple[LinePriced, ...]:
    """Return what is taken off these lines of a job, each as a line below 0; all of them never take off more than the whole.

    `besides`: a kind that is left out.
    """
    found: list[LinePriced] = []
    for event in given_on(job):
        said = event.said
        if said["kind"] == besides:
            continue
        percent, amount = said.get("percent"), said.get("amount")
        share = f" {Decimal(percent).normalize():f} %" if percent is not None else ""
        found.append(
            taken_off_lines(
                f"discount-{event.pk}",
                f"{said['kind']}{share}, {said['reason']}",
                [*lines, *found],
                currency,
                amount=Decimal(amount) if amount is not None else None,
                percent=Decimal(percent) if percent is not None else Decimal(0),
            )
        )
    return tuple(one for one in found if one.total)
