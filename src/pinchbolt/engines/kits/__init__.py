"""Door of the kits engine: the smallest, lightest or cheapest set of tools that covers the joints of given bikes."""

from pinchbolt.engines.kits.choose import choose_kit, lost_without, needs_of
from pinchbolt.engines.kits.few import Few, FewTool, best_few
from pinchbolt.engines.kits.kits_types import Aim, CoverJoint, CoverTool, Kit, Need, Swap

__all__ = [
    "Aim",
    "CoverJoint",
    "CoverTool",
    "Few",
    "FewTool",
    "Kit",
    "Need",
    "Swap",
    "best_few",
    "choose_kit",
    "lost_without",
    "needs_of",
]
