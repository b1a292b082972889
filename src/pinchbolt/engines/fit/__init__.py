"""Does it fit: one rule, or every rule that a change touches, over the facts of a build."""

from pinchbolt.engines.fit._build import check_build
from pinchbolt.engines.fit._rule import run_rule
from pinchbolt.engines.fit.types import BuildVerdict, FitVerdict, FitWord

__all__ = ["BuildVerdict", "FitVerdict", "FitWord", "check_build", "run_rule"]
