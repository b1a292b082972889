"""Door of the kits engine: the smallest, lightest or cheapest set of tools that covers the joints of given bikes."""

from pinchbolt.engines.kits.choose import choose_kit, lost_without, needs_of
from pinchbolt.engines.kits.types import Aim, Joint, Kit, Need, Swap, Tool

__all__ = ["Aim", "Joint", "Kit", "Need", "Swap", "Tool", "choose_kit", "lost_without", "needs_of"]
