"""An instrument against something known: what a check teaches, and what it takes off the board."""

from dataclasses import dataclass
from datetime import date, datetime
from math import erfc, hypot, inf, sqrt

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Instrument, InstrumentCheck
from pinchbolt.values import Interval
from pinchbolt.values.units import mm_per_pitch
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.common.checks import local_day, not_in_future, number, short
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.found_out import Doubtful, doubtful_readings

NEW_CHAIN, NEW_CHAIN_SD = 0.02, 0.02  # percent that a new chain shows. Assumption.
OUT = 0.01  # a showing that is less likely than this of a sound instrument takes it off the board
PERCENT, MM = (-5.0, 20.0), (0.0, 1000.0)


@dataclass(frozen=True, slots=True)
class InstrumentCheckRequest:
    """An instrument was tried. `known` is the true size; left out, it was a new chain. It showed `value`, or `low` to
    `high` (an open end left out), in its own unit. `day` is today unless it is written down later."""

    instrument: int
    against: str
    known: float | None = None
    value: float | None = None
    low: float | None = None
    high: float | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found, in a sentence, whether it still hangs on the board, and what it read since its last good check."""

    name: str
    good: bool
    bias: float | None
    unit: str
    words: str
    doubtful: tuple[Doubtful, ...] = ()


def check_instrument(request: InstrumentCheckRequest, *, by: int, key: str, now: datetime) -> Checked:
    """Write down an instrument's check; one that is out goes off the board, and readings since its last good check are
    taken with more doubt.

    Raises:
        InputRefused: No such instrument, not one value or one interval, or a size out of sense.
    """
    with act("instrument checked", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return _seen(InstrumentCheck.objects.get(event=this.done_before))
        instrument = Instrument.objects.filter(pk=request.instrument).first()
        if instrument is None:
            raise NotFound(
                worded(
                    "There is no gauge {instrument} on the board: choose one that hangs there.",
                    instrument=request.instrument,
                )
            )
        row = tables().instruments.get(instrument.table_id)
        unit = (row.unit or "percent") if row else "percent"
        known, shown = _known(request, unit), _shown(request, unit)
        usual_sd = (
            hypot(row.sd or 0.0, row.bias_sd or 0.0, NEW_CHAIN_SD if request.known is None else 0.0)
            if row
            else 0.05
        )
        good = _likely(shown, known + ((row.bias or 0.0) if row else 0.0), max(usual_sd, 1e-6)) >= OUT
        check = InstrumentCheck.objects.create(
            event=this.write(),
            instrument=instrument,
            against=short(request.against, "against", worded("What it was tried on"), 200, needed=True),
            bias=_bias(shown, known, good),
            unit=unit,
            good=good,
            words=_words(instrument.name, shown, known, unit, good),
            day=not_in_future(request.day or local_day(now), now, "day", worded("The day of the check")),
        )
        if instrument.in_use != good:
            instrument.in_use = good
            instrument.save(update_fields=["in_use"])
        return _seen(check)


def _known(request: InstrumentCheckRequest, unit: str) -> float:
    if request.known is None:
        if unit != "percent":
            sentence = worded(
                "What it was tried on has no size: in {unit} the true size is needed. Measure it, or "
                "read it off the block.",
                unit=unit,
            )
            raise InputRefused(sentence, {"known": sentence})
        return NEW_CHAIN
    return number(
        request.known, "known", worded("The true size"), *(PERCENT if unit == "percent" else MM), unit
    )


def _shown(request: InstrumentCheckRequest, unit: str) -> Interval:
    if (request.value is not None) == (request.low is not None or request.high is not None):
        sentence = worded("A check shows one value, or one interval: give exactly one of them.")
        raise InputRefused(sentence, {"value": sentence})
    for name in ("value", "low", "high"):
        given = getattr(request, name)
        if given is not None:
            number(given, name, worded("What it showed"), *(PERCENT if unit == "percent" else MM), unit)
    if request.value is not None:
        return Interval(request.value, request.value)
    low, high = -inf if request.low is None else request.low, inf if request.high is None else request.high
    if low >= high:
        sentence = worded(
            "The interval is {low:g} to {high:g} {unit}: the low end must be below the high end. "
            "Swap or correct them.",
            low=low,
            high=high,
            unit=unit,
        )
        raise InputRefused(sentence, {"low": sentence})
    return Interval(low, high)


def _likely(shown: Interval, expected: float, sd: float) -> float:
    """Chance that a sound instrument shows this, or for a value, as far out as this."""
    if shown.is_value:
        return erfc(abs(shown.low - expected) / sd / sqrt(2))
    return _below((shown.high - expected) / sd) - _below((shown.low - expected) / sd)


def _below(z: float) -> float:
    return 0.5 * erfc(-z / sqrt(2))


def _bias(shown: Interval, known: float, good: bool) -> float | None:
    """What it showed too much. Of an interval only a wrong one says so: by at least its nearer end."""
    if shown.is_value:
        return shown.low - known
    if good:
        return None
    return (shown.low if shown.low > known else shown.high) - known


def _words(name: str, shown: Interval, known: float, unit: str, good: bool) -> str:
    if shown.is_value:
        said = f"{shown.low:g}"
    elif shown.low == -inf:
        said = worded("below {high:g}", high=shown.high)
    else:
        said = (
            worded("{low:g} or more", low=shown.low)
            if shown.high == inf
            else worded("between {low:g} and {high:g}", low=shown.low, high=shown.high)
        )
    told = worded(
        "{name} showed {said} {unit} on {known:g} {unit}", name=name, said=said, unit=unit, known=known
    )
    return (
        worded("{told}: as good as its kind.", told=told)[:200]
        if good
        else worded("{told}: wrong, taken off the board.", told=told)[:200]
    )


def _seen(check: InstrumentCheck) -> Checked:
    return Checked(
        check.instrument.name, check.good, check.bias, check.unit, check.words, doubtful_readings(check)
    )


def known_elongation(length_mm: float, pitches: int) -> float:
    """Return the elongation that a known length over so many pitches of 12.7 mm stands for. [%]

    Raises:
        InputRefused: A length or a count that no chain gauge is tried on.
    """
    nominal = pitches * mm_per_pitch
    if not (2 <= pitches <= 50 and 0.9 * nominal <= length_mm <= 1.2 * nominal):
        sentence = worded(
            "{length_mm:g} mm over {pitches} pitches: a pitch is {mm_per_pitch} mm, so {pitches} "
            "are {nominal:g} mm when new. Count and measure again.",
            length_mm=length_mm,
            pitches=pitches,
            mm_per_pitch=mm_per_pitch,
            nominal=nominal,
        )
        raise InputRefused(sentence, {"length_mm": sentence})
    return 100 * (length_mm / nominal - 1)


def last_instrument_check(instrument: int) -> Checked | None:
    """Return an instrument's last check that stands, with what it put in doubt; None where there is none."""
    rows = InstrumentCheck.objects.filter(instrument=instrument, event__corrected_by__isnull=True)
    found = rows.order_by("day", "pk").last()
    return _seen(found) if found is not None else None
