"""Wear: how worn a part is, when it will reach its limit, the verdict, and why."""

from pinchbolt.engines.wear._judge import judge
from pinchbolt.engines.wear.types import (
    Belief,
    CostOfWaiting,
    Driver,
    Forecast,
    GaugeError,
    GaugeReading,
    RateOfUse,
    SamePart,
    WearLaw,
)

__all__ = [
    "Belief",
    "CostOfWaiting",
    "Driver",
    "Forecast",
    "GaugeError",
    "GaugeReading",
    "RateOfUse",
    "SamePart",
    "WearLaw",
    "judge",
]
