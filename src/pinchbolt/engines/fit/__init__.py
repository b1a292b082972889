"""Does it fit: one rule, or every rule that a change touches, over the facts of a build."""

from pinchbolt.engines.fit._ask import FitReading, RuleAsked, RuleWords, ask_in_words, rules_in_words
from pinchbolt.engines.fit._build import check_build
from pinchbolt.engines.fit._check import check_rules, fact_names, questions
from pinchbolt.engines.fit._heard import MeantInput
from pinchbolt.engines.fit._many import check_builds
from pinchbolt.engines.fit._open import WouldFit
from pinchbolt.engines.fit._rule import run_rule
from pinchbolt.engines.fit._swap import plan_swap
from pinchbolt.engines.fit._want import Wanted, not_heard, wants_in_words
from pinchbolt.engines.fit._which import WhichFits, what_it_brings, which_fits
from pinchbolt.engines.fit.fit_types import (
    BuildVerdict,
    Clash,
    FitNeed,
    FitVerdict,
    FitWord,
    ItemPrice,
    Offer,
    Question,
    SwapAnswer,
    SwapPlan,
)

__all__ = [
    "BuildVerdict",
    "Clash",
    "FitNeed",
    "FitReading",
    "FitVerdict",
    "FitWord",
    "ItemPrice",
    "MeantInput",
    "Offer",
    "Question",
    "RuleAsked",
    "RuleWords",
    "SwapAnswer",
    "SwapPlan",
    "Wanted",
    "WhichFits",
    "WouldFit",
    "ask_in_words",
    "check_build",
    "check_builds",
    "check_rules",
    "fact_names",
    "not_heard",
    "plan_swap",
    "questions",
    "rules_in_words",
    "run_rule",
    "wants_in_words",
    "what_it_brings",
    "which_fits",
]
