"""Rim, hub and lacing of a wheel as they were measured, with the limits that it is trued to."""

from dataclasses import dataclass, field
from datetime import datetime

import numpy as np

from pinchbolt.engines.wheels import USUAL_RIM, influence
from pinchbolt.errors import InputRefused
from pinchbolt.records.models import WheelSaid
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import still_open
from pinchbolt.workshop.bikes.wheel_hit import HIT, NOT_HIT
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.questions.ask_wheel_plan import WheelFacts, WheelLimitsAsked, wheel_shape
from pinchbolt.workshop.tools.tension_meter import spoke_kind_of
from pinchbolt.workshop.wheels._wheel_records import WheelKnown, known_of, wheel_of_job

HIT_WORDS = HIT
"""What may be said of whether a wheel was hit."""


@dataclass(frozen=True, slots=True)
class DescribeWheelRequest:
    """A wheel as it was measured; `hit` says whether it was hit and looked at for cracks since.

    `hit` and `carbon` left out stay as they were said before: who measures a flange takes no doubt of the rim back.
    """

    job: int
    part: int
    wheel: WheelFacts
    limits: WheelLimitsAsked = field(default_factory=WheelLimitsAsked)
    spoke_kind: str = ""
    carbon: bool | None = None
    hit: str = ""


def describe_wheel(request: DescribeWheelRequest, *, by: int, key: str, now: datetime) -> WheelKnown:
    """Write down a wheel's rim, hub, lacing and limits; the newest word counts, on whatever bike the wheel is.

    Raises:
        InputRefused: A figure out of any sense.
        NotPossibleNow: No wheel of this bike, or the job is closed.
    """
    with act("wheel measured", by=by, key=key, now=now, request=request) as this:
        job = job_by_id(request.job)
        part = wheel_of_job(job, request.part)
        if this.repeated:
            return known_of(part) or WheelKnown(request.wheel)
        still_open(job)
        _sensible(request)
        before = known_of(part)
        carbon, hit = (before.carbon, before.hit) if before is not None else (False, NOT_HIT)
        known = WheelKnown(
            request.wheel,
            request.limits,
            request.spoke_kind,
            carbon=carbon if request.carbon is None else request.carbon,
            hit=request.hit or hit,
        )
        this.said = {**as_json(request), "words": str(part)}
        WheelSaid.objects.create(event=this.write(job=job), part=part, facts=as_json(known))
        return known


def _sensible(request: DescribeWheelRequest) -> None:
    if request.hit and request.hit not in HIT:
        sentence = worded(
            'Whether it was hit is "{hit}": {allowed}. Choose one.',
            hit=request.hit[:40],
            allowed=", ".join(HIT),
        )
        raise InputRefused(sentence, {"hit": sentence})
    if request.spoke_kind:
        spoke_kind_of(request.spoke_kind)
    asked = request.limits
    number(asked.side_mm, "side_mm", worded("Run-out to the side"), 0.1, 10, "mm")
    number(asked.up_mm, "up_mm", worded("Run-out up and down"), 0.1, 10, "mm")
    number(
        asked.spread_percent, "spread_percent", worded("Departure from the side's mean"), 3, 100, "percent"
    )
    number(asked.dish_mm, "dish_mm", worded("The dish"), 0.1, 10, "mm")
    if asked.greatest_n is not None:
        number(
            asked.greatest_n, "greatest_n", worded("The greatest tension marked on the rim"), 100, 4000, "N"
        )
    shape = wheel_shape(request.wheel)
    # What cannot be is refused by the wheel's own model.
    influence(shape, USUAL_RIM, np.zeros(shape.count))
