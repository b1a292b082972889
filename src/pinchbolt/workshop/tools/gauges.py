"""What is known of an instrument's error: its table row, every check of it, and the doubt that a bad check casts back."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from math import inf

from django.db.models import QuerySet

from pinchbolt.engines.wear import GaugeError, doubted, gauge_from_checks
from pinchbolt.records.models import Instrument, InstrumentCheck
from pinchbolt.records.prepared import prepared
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values import Interval
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.common.trade_tables import tables

# Where a table row says that the bias grows with roller play: percent a thousand km. From the row's own words (about 0.1
# on a new chain, 0.3 after 9,600 km), one rider's figures.
GROWTH, GROWTH_SD = 0.02, 0.015


@dataclass(frozen=True, slots=True)
class _Wrong:
    """A stretch of days in which the instrument went wrong, and what it was found to show too much."""

    after: date | None
    found: date
    bias: float


@dataclass(frozen=True, slots=True)
class GaugeKnown:
    """An instrument on one row: its error now, and the stretches in which it is in doubt."""

    error: GaugeError
    wrong: tuple[_Wrong, ...] = ()

    def on(self, day: date) -> tuple[GaugeError, str]:
        """Return the error to use for a reading of *day*, and the doubt in words, empty where there is none."""
        for one in self.wrong:
            if (one.after is None or day > one.after) and day <= one.found:
                return doubted(self.error, one.bias, min(one.after or day, one.found), one.found)
        return self.error, ""


def gauge_known(instrument: Instrument | None, limit: LimitRow) -> GaugeKnown:
    """Return what is known of an instrument on this row: its table row, then its checks one by one."""
    spread = limit.sd or 0.0
    if instrument is None:
        return GaugeKnown(GaugeError(0.0, 0.0, spread))
    row = tables().instruments.get(instrument.table_id)
    if row is None or limit.unit != (row.unit or "percent"):
        return GaugeKnown(GaugeError(0.0, 0.0, spread))
    grows = bool(row.bias_grows) and limit.unit == "percent"
    usual = GaugeError(
        row.bias or 0.0,
        row.bias_sd or 0.0,
        max(spread, row.sd or 0.0),
        GROWTH if grows else 0.0,
        GROWTH_SD if grows else 0.0,
    )
    return _after_checks(usual, [check for check in _checks(instrument.pk) if check.unit == limit.unit])


@once_a_look.of(InstrumentCheck)
def _checks(instrument: int) -> tuple[InstrumentCheck, ...]:
    """The checks of an instrument that stand, the oldest first."""
    return tuple(_standing_checks((instrument,)))


def look_up_checks(instruments: Collection[Instrument]) -> None:
    """Look up the checks of instruments together, for this look."""
    found: dict[int, list[InstrumentCheck]] = {one.pk: [] for one in instruments}
    for check in _standing_checks(tuple(found)):
        found[check.instrument_id].append(check)
    _checks.many({(number,): tuple(checks) for number, checks in found.items()})


@prepared
def _standing_checks(instruments: tuple[int, ...]) -> QuerySet[InstrumentCheck]:
    rows = InstrumentCheck.objects.filter(instrument__in=instruments, event__corrected_by__isnull=True)
    return rows.select_related("event").order_by("day", "pk")


def _after_checks(usual: GaugeError, checks: Iterable[InstrumentCheck]) -> GaugeKnown:
    error, good, wrong = usual, None, list[_Wrong]()
    for check in checks:
        if not check.good:
            wrong.append(_Wrong(good, check.day, usual.bias if check.bias is None else check.bias))
            # What was learned before says nothing of the instrument as it is now.
            error = usual
            continue
        good = check.day
        error = _learned(error, check)
    return GaugeKnown(error, tuple(wrong))


def _learned(error: GaugeError, check: InstrumentCheck) -> GaugeError:
    if not error.sd > 0:
        return error
    known = float(check.event.said.get("known") or 0.0)
    if check.bias is not None:
        shown = Interval(known + check.bias, known + check.bias)
    else:
        low, high = check.event.said.get("low"), check.event.said.get("high")
        if low is None and high is None:
            return error
        shown = Interval(-inf if low is None else low, inf if high is None else high)
    return gauge_from_checks(error, [(known, shown)])
