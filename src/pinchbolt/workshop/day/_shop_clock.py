"""From the wall clock to the engine's minutes from the start of today, and back; open time between two moments."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from pinchbolt.engines.day import DAY
from pinchbolt.workshop.acts.describe_shop import is_closed
from pinchbolt.workshop.acts.open_workshop import DAYS
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.day.hours_in import AHEAD, minutes_of, shop_week

_NOON = 720.0


def clock_of(moment: datetime, today: date) -> float:
    """Return a moment as minutes from the start of *today*, by the clock on the wall."""
    local = timezone.localtime(moment)
    return (local.date() - today).days * DAY + local.hour * 60 + local.minute + local.second / 60


def moment_of(clock: float, today: date) -> datetime:
    """Return the moment of a clock, to the minute."""
    day, minutes = divmod(int(clock), int(DAY))
    wall = datetime.combine(today + timedelta(days=day), time(minutes // 60, minutes % 60))
    return timezone.make_aware(wall)


def hours_to_promise(today: date, now: float) -> list[float]:
    """Return the clocks at which a bike may be promised: noon and the last whole hour of each open day ahead.

    Of today every second hour from an hour on, for whoever waits or comes back after lunch. `now` is a clock of today. [min]
    """
    week, found = shop_week(), []
    for ahead in range(AHEAD):
        day = today + timedelta(days=ahead)
        told = week.get(DAYS[day.weekday()])
        if told is None or is_closed(day, today):
            continue
        opens, closes = (minutes_of(one) for one in told)
        last = closes // 60 * 60
        if ahead == 0:
            soon = (now + 60) // 60 * 60 + 60
            found += [one for one in (soon + 120 * n for n in range(12)) if opens + 60 <= one < last]
            found += [last] if last >= now + 60 else []
            continue
        # An hour after opening is the least that means anything; a half day has its end alone.
        found += [
            ahead * DAY + one
            for one in (_NOON, last)
            if opens + 60 <= one <= closes and (one == last or last - one >= 120)
        ]
    return found


class OpenTime:
    """Open minutes between two moments, by the week as it is now (a day that was closed counts none)."""

    def __init__(self, closed: Sequence[tuple[date, date]] = ()) -> None:
        self.week = {day: tuple(minutes_of(one) for one in told) for day, told in shop_week().items()}
        self.closed = closed

    def minutes(self, since: datetime, until: datetime) -> float:
        """Return the open minutes between two moments."""
        first, last = local_day(since), local_day(until)
        begin, end = clock_of(since, first), clock_of(until, first)
        return sum(
            max(0.0, min(end, n * DAY + told[1]) - max(begin, n * DAY + told[0]))
            for n in range((last - first).days + 1)
            if (told := self._of(first + timedelta(days=n))) is not None
        )

    def days(self, since: date, until: date) -> int:
        """Return the open days after *since* up to *until*."""
        span = (until - since).days
        return sum(1 for n in range(1, span + 1) if self._of(since + timedelta(days=n)) is not None)

    def is_open(self, day: date) -> bool:
        """Return whether the shop is open on a day."""
        return self._of(day) is not None

    def of_day(self, day: date) -> float:
        """Return the open minutes of a day."""
        told = self._of(day)
        return 0.0 if told is None else told[1] - told[0]

    def share_of_day(self, moment: datetime) -> float:
        """Return the share of its day's open hours that lies behind a moment, 0 to 1."""
        day = local_day(moment)
        told = self._of(day)
        if told is None or told[1] <= told[0]:
            return 0.5
        return min(max((clock_of(moment, day) - told[0]) / (told[1] - told[0]), 0.0), 0.999)

    def _of(self, day: date) -> tuple[float, ...] | None:
        if any(first <= day <= last for first, last in self.closed):
            return None
        return self.week.get(DAYS[day.weekday()])
