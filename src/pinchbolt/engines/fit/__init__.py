"""Does it fit: one rule, or every rule that a change touches, over the facts of a build."""

from pinchbolt.engines.fit._build import check_build
from pinchbolt.engines.fit._rule import run_rule
from pinchbolt.engines.fit._swap import plan_swap
from pinchbolt.engines.fit.types import (
    BuildVerdict,
    Clash,
    FitVerdict,
    FitWord,
    ItemPrice,
    Offer,
    SwapAnswer,
    SwapPlan,
)

__all__ = [
    "BuildVerdict",
    "Clash",
    "FitVerdict",
    "FitWord",
    "ItemPrice",
    "Offer",
    "SwapAnswer",
    "SwapPlan",
    "check_build",
    "plan_swap",
    "run_rule",
]
