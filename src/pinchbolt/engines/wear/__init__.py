"""Wear: how worn a part is, when it will reach its limit, the verdict, and why."""

from pinchbolt.engines.wear._chain import elongation_percent
from pinchbolt.engines.wear._judge import judge
from pinchbolt.engines.wear._laws import USE_CLASSES, law_for
from pinchbolt.engines.wear._money import cost_of_waiting, cost_of_waiting_pads, cost_of_waiting_plain
from pinchbolt.engines.wear._money_cassette import cost_of_waiting_cassette
from pinchbolt.engines.wear._plain import judge_plain
from pinchbolt.engines.wear._same import same_part
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
    "USE_CLASSES",
    "Belief",
    "CostOfWaiting",
    "Driver",
    "Forecast",
    "GaugeError",
    "GaugeReading",
    "RateOfUse",
    "SamePart",
    "WearLaw",
    "cost_of_waiting",
    "cost_of_waiting_cassette",
    "cost_of_waiting_pads",
    "cost_of_waiting_plain",
    "elongation_percent",
    "judge",
    "judge_plain",
    "law_for",
    "same_part",
]
