"""A line of an earlier job put on the estimate of a later one."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from pinchbolt.engines.build import end_of
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Line
from pinchbolt.workshop.bikes.opened_joints import place_of_line
from pinchbolt.workshop.stays.line_parts import LinePart
from pinchbolt.workshop.stays.own_lines import OwnLineRequest, own_line
from pinchbolt.workshop.stays.propose import ProposeRequest, propose
from pinchbolt.workshop.stays.who_pays import OWNER, PaidByRequest, say_who_pays


def put_on_again(line: Line, job: int, *, of_finding: bool, by: int, key: str, now: datetime) -> int:
    """Put an old line on again, at the end where it was done or was to be; return the new one.

    What is not offered any more is a line by hand. `of_finding`: for what was found then; else on its own.
    """
    parts = tuple(LinePart(**{**one, "each": Decimal(one["each"])}) for one in line.parts)
    place, finding = place_of_line(line), line.finding_id if of_finding else None
    asked = ProposeRequest(job, line.operation, finding, line.words, parts, place, line.count or 1)
    by_hand = OwnLineRequest(
        job, line.words, line.own_minutes or (1 if not parts else None), parts=parts, place=end_of(place)
    )
    if not line.operation:
        return own_line(by_hand, by=by, key=key, now=now, told_before=True).line
    try:
        with transaction.atomic():
            return propose(asked, by=by, key=key, now=now, told_before=True).line
    except (InputRefused, NotPossibleNow):
        # The bike is another than it was, or the menu: the bike comes in all the same, and the line is there to be put right.
        return own_line(by_hand, by=by, key=key, now=now, told_before=True).line


def bear_again(line: Line, new: int, job: int, *, by: int, key: str, now: datetime) -> None:
    """Whoever bore the old line bears the new one."""
    said = Event.objects.filter(
        job=line.job, kind="line paid by", said__line=line.pk, corrected_by__isnull=True
    ).last()
    if said is not None and said.said["payer"] != OWNER:
        borne = PaidByRequest(job, new, said.said["payer"], said.said.get("reason", ""))
        say_who_pays(borne, by=by, key=key, now=now)
