"""Verdict of one reading of a row without a law: yes/no flags, steps, bands, counts, plain limits."""

from math import erfc, isnan, sqrt
from typing import TYPE_CHECKING

from pinchbolt.engines.wear._laws import LimitLike
from pinchbolt.engines.wear._verdict import SAFETY_CHANCE, milder
from pinchbolt.engines.wear._wear_words import amount, shown_words
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval, Reason, Verdict
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.reference.rows.measure import LimitRow

CANNOT_TELL = "cannot tell"
LEAST_SD = 1e-9  # a row without a known repeatability is taken as shown


def judge_plain(
    limit_row: "LimitRow | LimitLike", shown: Interval | bool | str, *, marked_limit: float | None = None
) -> tuple[Verdict, tuple[Reason, ...]]:
    """Return the verdict of one reading by itself, and why.

    A value with repeatability s is past its limit h with chance Phi((value - h) / s). Past when that is one half; a
    safety row that may be past (one in twenty) is put right before it leaves. Past its third figure, `danger`, a part is
    unsafe to ride whatever else the row says.

    Args:
        limit_row: Row of the limits table. [its own unit]
        shown: A value or interval; for a yes/no row True, False, "yes", "no" or "cannot tell". [row's unit]
        marked_limit: Limit marked on the part; it wins. [row's unit]

    Returns:
        Verdict and reasons. [-]

    Raises:
        InputRefused: A yes/no answer for a row that is measured, or the other way round.

    Valid for: One look. Says nothing about how it will go on.

    Example:
        >>> from types import SimpleNamespace as Row
        >>> row = Row(id="rim-crack", part="rim", quantity="crack", unit="yes/no", direction="flag", limit="yes",
        ...           at_limit=Verdict.UNSAFE, safety=True, source="common practice, no source")
        >>> judge_plain(row, True)[0]
        <Verdict.UNSAFE: 'unsafe to ride'>

    Source: Guarded acceptance at 5 %, JCGM 106:2012, 8.3 (from memory of its text). Limits: the row's own source.
    """
    if limit_row.direction == "flag":
        return _flag(limit_row, shown)
    if isinstance(shown, bool | str):
        if shown == CANNOT_TELL:
            return _not_seen(limit_row)
        raise InputRefused(
            worded(
                "{quantity} is {shown!r}: it is measured in {unit}. Give a value, or say cannot tell.",
                quantity=limit_row.quantity,
                shown=shown,
                unit=limit_row.unit,
            )
        )
    if shown.low == float("-inf") and shown.high == float("inf"):
        return _not_seen(limit_row)
    return (
        _band(limit_row, shown)
        if limit_row.direction == "band"
        else _one_sided(limit_row, shown, marked_limit)
    )


def _flag(row: "LimitRow | LimitLike", shown: Interval | bool | str) -> tuple[Verdict, tuple[Reason, ...]]:
    if isinstance(shown, bool):
        shown = "yes" if shown else "no"
    if shown == CANNOT_TELL:
        return _not_seen(row)
    if shown not in ("yes", "no"):
        raise InputRefused(
            worded(
                "{part}, {quantity}: the answer is {shown!r}, and it is yes, no or cannot tell. Pick one.",
                part=row.part,
                quantity=row.quantity,
                shown=shown,
            )
        )
    bad = shown == getattr(row, "limit", "yes")
    verdict = row.at_limit if bad else Verdict.SOUND
    return verdict, (Reason(f"{row.quantity}: {shown}.", row.id, row.source),)


def _not_seen(row: "LimitRow | LimitLike") -> tuple[Verdict, tuple[Reason, ...]]:
    verdict = milder(row.at_limit, Verdict.BEFORE_IT_LEAVES) if row.safety else Verdict.WATCH
    words = worded("Not looked at: {quantity}.", quantity=row.quantity)
    words += (
        worded(" It matters for safety: look before the bike leaves.")
        if row.safety
        else worded(" Look again next time.")
    )
    return verdict, (Reason(words, row.id, row.source),)


def _one_sided(
    row: "LimitRow | LimitLike", shown: Interval, marked: float | None
) -> tuple[Verdict, tuple[Reason, ...]]:
    limit = _mark(row, "limit") if marked is None else marked
    if isnan(limit):
        raise InputRefused(
            worded("{id} has no limit: a verdict needs one. Give the marking of the part.", id=row.id)
        )
    warn = _mark(row, "warn")
    sign = 1.0 if row.direction == "up" else -1.0
    if isnan(warn) or (marked is not None and sign * (warn - limit) > 0):
        warn = limit
    past = _chance(row, shown, limit, sign)
    if (reason := danger_of(row, shown, marked)) is not None:
        return Verdict.UNSAFE, (reason,)
    return _answer(
        row,
        shown,
        past,
        _chance(row, shown, warn, sign),
        worded("limit {amount}", amount=amount(limit, row.unit)),
        marked,
    )


def _band(row: "LimitRow | LimitLike", shown: Interval) -> tuple[Verdict, tuple[Reason, ...]]:
    new = _mark(row, "new")
    ends = {}
    for name in ("warn", "limit"):
        low, high = _mark(row, f"{name}_low"), _mark(row, f"{name}_high")
        half = _mark(row, name)
        ends[name] = (new - half, new + half) if isnan(low) or isnan(high) else (low, high)
    past, warned = (
        min(_chance(row, shown, high, 1.0) + _chance(row, shown, low, -1.0), 1.0)
        for low, high in (ends["limit"], ends["warn"])
    )
    if (reason := danger_of(row, shown)) is not None:
        return Verdict.UNSAFE, (reason,)
    words = worded(
        "allowed {low} to {high}",
        low=amount(ends["limit"][0]),
        high=amount(ends["limit"][1], row.unit),
    )
    return _answer(row, shown, past, warned, words, None)


def danger_of(
    row: "LimitRow | LimitLike", shown: Interval, marked_limit: float | None = None
) -> Reason | None:
    """Return why a reading makes its part unsafe to ride by the row's third figure, or None.

    A limit that is marked on the part moves the figure with it, so that the two stay as far apart as in the row.

    Args:
        row: Row of the limits table. [its own unit]
        shown: A value or interval. [row's unit]
        marked_limit: Limit marked on the part; it wins. [row's unit]

    Returns:
        The reason, or None where the row has no such figure or the reading is likelier short of it. [-]

    Source: The row's own `danger_source`.
    """
    moved = 0.0 if marked_limit is None or isnan(_mark(row, "limit")) else marked_limit - _mark(row, "limit")
    usual = 1.0 if row.direction == "up" else -1.0
    for name, sign in (("danger", usual), ("danger_low", -1.0), ("danger_high", 1.0)):
        figure = _mark(row, name) + moved
        if not isnan(figure) and _chance(row, shown, figure, sign) >= 0.5:
            words = worded(
                "{quantity}: {shown}; from {amount} on nobody rides it.",
                quantity=row.quantity,
                shown=shown_words(shown, row.unit),
                amount=amount(figure, row.unit),
            )
            return Reason(words, row.id, getattr(row, "danger_source", ""))
    return None


def _chance(row: "LimitRow | LimitLike", shown: Interval, mark: float, sign: float) -> float:
    """Chance of being past *mark*: of a value by its repeatability, of an interval by its share beyond."""
    sd = float(getattr(row, "sd", None) or 0.0)
    if shown.is_value:
        # At the mark counts as past: the limit is where the part is to be changed.
        return 0.5 * erfc(-(sign * (shown.low - mark) + LEAST_SD) / max(sd, LEAST_SD) / sqrt(2.0))
    low, high = sorted((sign * shown.low, sign * shown.high))
    mark = sign * mark
    if low >= mark:
        return 1.0
    if high <= mark:
        return 0.0
    return 0.5 if low == float("-inf") or high == float("inf") else (high - mark) / (high - low)


def _answer(
    row: "LimitRow | LimitLike", shown: Interval, past: float, warned: float, words: str, marked: float | None
) -> tuple[Verdict, tuple[Reason, ...]]:
    by = "" if marked is None else worded(", marked on the part")
    reasons = [Reason(f"{row.quantity}: {shown_words(shown, row.unit)}; {words}{by}.", row.id, row.source)]
    if past >= 0.5:
        return row.at_limit, tuple(reasons)
    if past >= SAFETY_CHANCE and row.safety:
        reasons.append(
            Reason(
                worded("Allowing for measuring error it may be past the limit, and it matters for safety.")
            )
        )
        return milder(row.at_limit, Verdict.BEFORE_IT_LEAVES), tuple(reasons)
    if past >= SAFETY_CHANCE:
        reasons.append(Reason(worded("It may be past the limit already: measure it again.")))
    return (Verdict.WATCH if warned >= 0.5 else Verdict.SOUND), tuple(reasons)


def _mark(row: "LimitRow | LimitLike", name: str) -> float:
    value = getattr(row, name, None)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else float("nan")
