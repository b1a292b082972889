"""How far was this part used, along the path its fittings led, and how far does a bike go in a week?"""

from pinchbolt.engines.use._between import use_between
from pinchbolt.engines.use._resolve import resolve_stays
from pinchbolt.engines.use._ridden import merged, reconciled, stretches_of_rides
from pinchbolt.engines.use._weekly import weekly_use
from pinchbolt.engines.use.use_types import Difference, Reconciled, Stay, Stretch, Use, WeeklyUse

__all__ = [
    "Difference",
    "Reconciled",
    "Stay",
    "Stretch",
    "Use",
    "WeeklyUse",
    "merged",
    "reconciled",
    "resolve_stays",
    "stretches_of_rides",
    "use_between",
    "weekly_use",
]
