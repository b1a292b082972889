"""Which look next: what a look is worth, chosen by worth per minute, in the order of the hands, with the reason of each."""

from pinchbolt.engines.look._belief import Chances, LookBelief, answered, believed, chances_now, told_split
from pinchbolt.engines.look._choose import (
    LEAD_SECONDS,
    LEAD_SHARE,
    LookPlan,
    PlannedLook,
    plan_looks,
    safety_floor,
    seconds_taken,
)
from pinchbolt.engines.look.look_types import (
    HARM_WORTH,
    Causes,
    Look,
    LookFault,
    LookSheet,
    LookStation,
    Opening,
    Split,
    UsePast,
    shares_on,
)

__all__ = [
    "HARM_WORTH",
    "LEAD_SECONDS",
    "LEAD_SHARE",
    "Causes",
    "Chances",
    "Look",
    "LookBelief",
    "LookFault",
    "LookPlan",
    "LookSheet",
    "LookStation",
    "Opening",
    "PlannedLook",
    "Split",
    "UsePast",
    "answered",
    "believed",
    "chances_now",
    "plan_looks",
    "safety_floor",
    "seconds_taken",
    "shares_on",
    "told_split",
]
