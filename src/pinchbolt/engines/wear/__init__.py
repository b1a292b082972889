"""Wear: how worn a part is, when it will reach its limit, the verdict, and why."""

from pinchbolt.engines.wear._bike import law_on_this_bike
from pinchbolt.engines.wear._chain import elongation_percent
from pinchbolt.engines.wear._chance_by import chance_by
from pinchbolt.engines.wear._forecast_chains import LEVELS, ChainForecasts, forecast_chains
from pinchbolt.engines.wear._gauges import doubted, gauge_from_checks, gauges_from_pairs
from pinchbolt.engines.wear._judge import judge
from pinchbolt.engines.wear._laws import USE_CLASSES, law_for
from pinchbolt.engines.wear._learn_chains import learn_chains
from pinchbolt.engines.wear._learn_own import LearnedBias, LearnedLife, LearnedPriors, PartLife, learn_own
from pinchbolt.engines.wear._lines import INSTRUMENTS, MIXED, STARTS, ChainLines, LearnedChains, trade_chains
from pinchbolt.engines.wear._money import cost_of_waiting, cost_of_waiting_pads, cost_of_waiting_plain
from pinchbolt.engines.wear._money_cassette import cost_of_waiting_both, cost_of_waiting_cassette
from pinchbolt.engines.wear._new_parts import GaugeDoubted, gauges_doubted
from pinchbolt.engines.wear._plain import danger_of, judge_plain
from pinchbolt.engines.wear._policy import (
    PolicyCost,
    PolicyTable,
    age_replacement_cost,
    best_age,
    compare_policies,
)
from pinchbolt.engines.wear._reading_worth import Candidate, Worth, worth_of_reading
from pinchbolt.engines.wear._same import same_from, same_part
from pinchbolt.engines.wear.wear_types import (
    Belief,
    CostOfWaiting,
    Driver,
    Forecast,
    GaugeError,
    GaugeReading,
    RateOfUse,
    SamePart,
    Start,
    Stories,
    WearLaw,
)

__all__ = [
    "INSTRUMENTS",
    "LEVELS",
    "MIXED",
    "STARTS",
    "USE_CLASSES",
    "Belief",
    "Candidate",
    "ChainForecasts",
    "ChainLines",
    "CostOfWaiting",
    "Driver",
    "Forecast",
    "GaugeDoubted",
    "GaugeError",
    "GaugeReading",
    "LearnedBias",
    "LearnedChains",
    "LearnedLife",
    "LearnedPriors",
    "PartLife",
    "PolicyCost",
    "PolicyTable",
    "RateOfUse",
    "SamePart",
    "Start",
    "Stories",
    "WearLaw",
    "Worth",
    "age_replacement_cost",
    "best_age",
    "chance_by",
    "compare_policies",
    "cost_of_waiting",
    "cost_of_waiting_both",
    "cost_of_waiting_cassette",
    "cost_of_waiting_pads",
    "cost_of_waiting_plain",
    "danger_of",
    "doubted",
    "elongation_percent",
    "forecast_chains",
    "gauge_from_checks",
    "gauges_doubted",
    "gauges_from_pairs",
    "judge",
    "judge_plain",
    "law_for",
    "law_on_this_bike",
    "learn_chains",
    "learn_own",
    "same_from",
    "same_part",
    "trade_chains",
    "worth_of_reading",
]
