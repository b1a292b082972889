"""How often each part of the bins was asked for by whoever walked in: the shop's own counts."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Min

from pinchbolt.records.models import BinMove
from pinchbolt.values.wording import worded
from pinchbolt.workshop.bikes.bin_moves import OUT, USED

COUNTED_OVER = timedelta(days=730)


@dataclass(frozen=True, slots=True)
class AskedFor:
    """How many were asked for in how many days; 0 in 0 where a part is new here."""

    count: int = 0
    days: int = 0

    @property
    def words(self) -> str:
        """As a reason says it."""
        if not self.days:
            return worded("new here: nothing was counted yet")
        return worded("{count} asked for by others in {days} days", count=self.count, days=self.days)


def asked_for(parts: Collection[int], now: datetime, *, all_of_it: bool = False) -> Mapping[int, AskedFor]:
    """Return what each row of the bins was asked for in the last two years.

    Lines of a finding are left out (unless `all_of_it`): a forecast spoke of those bikes, and would count them twice.
    """
    since = now - COUNTED_OVER
    moves = BinMove.objects.filter(part__in=parts, event__corrected_by__isnull=True)
    first = dict(moves.order_by().values_list("part").annotate(first=Min("event__at")))
    used = moves.filter(why__in=(USED, OUT), count__lt=0, event__at__gte=since)
    if not all_of_it:
        used = used.filter(line__finding__isnull=True)
    counts: dict[int, int] = {}
    for part, count in used.values_list("part", "count"):
        counts[part] = counts.get(part, 0) - count
    return {
        part: AskedFor(counts.get(part, 0), max(1, min((now - at).days, COUNTED_OVER.days)))
        for part, at in first.items()
        if at is not None
    }
