"""How far the part was used from one reading to the next, with its doubt, where some distances are missing."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, expm1

from pinchbolt.engines.wear.wear_types import GaugeReading, RateOfUse, WearLaw
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded

UNKNOWN_SHARE = 0.35  # relative doubt of a distance shared out by days between two known ones. Assumption.
WORD_SHARE = 0.15  # relative doubt of a distance by the owner's word. Common practice, no source.


@dataclass(frozen=True, slots=True)
class Steps:
    """Use before each reading and from the last one to now, with variances; `known` False: the start is unknown too."""

    use: tuple[float, ...]
    var: tuple[float, ...]
    at: tuple[float, ...]
    start_known: bool
    doubts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Stop:
    day: date | None
    exposure: float | None
    share: float


def steps(
    law: WearLaw,
    readings: Sequence[GaugeReading],
    use: RateOfUse,
    today: date,
    exposure_now: float | None,
    fitted_on: date | None,
) -> Steps:
    """Return the stretches of use from fitting over each reading to today.

    A missing distance between two known ones is shared out by days; after the last known one it is days times the use
    a day with its spread; before the first known one it is reckoned back from it.
    """
    stops = [_Stop(fitted_on, 0.0, 0.0)]
    stops += [_Stop(r.day, r.exposure, r.exposure_share) for r in readings]
    share_now = readings[-1].exposure_share if readings else (0.0 if law.driver == "days" else WORD_SHARE)
    stops.append(_Stop(today, exposure_now, share_now))
    doubts: list[str] = []
    start_known = True
    uses, variances = [], []
    at, reached = [], 0.0
    for i in range(1, len(stops)):
        dx, var, known = _stretch(law, stops, i, use, doubts, reached)
        start_known = start_known and known
        uses.append(dx)
        variances.append(var)
        reached = reached + dx
        at.append(reached)
    return Steps(tuple(uses), tuple(variances), tuple(at), start_known, tuple(dict.fromkeys(doubts)))


def _stretch(
    law: WearLaw, stops: list[_Stop], i: int, use: RateOfUse, doubts: list[str], reached: float
) -> tuple[float, float, bool]:
    here, before = stops[i], stops[i - 1]
    if here.exposure is not None and before.exposure is not None:
        return _stated(law, here, before, doubts)
    later = next((s for s in stops[i:] if s.exposure is not None), None)
    earlier = next(s for s in reversed(stops[:i]) if s.exposure is not None)
    if later is not None and later.exposure is not None and earlier.exposure is not None:
        if earlier.day is not None:
            return _shared_out(here, before, earlier, later, reached)
        back = _by_days(use, here.day, later.day)[0]
        dx = max(later.exposure - back - reached, 0.0)
        return dx, (UNKNOWN_SHARE * dx) ** 2, True
    if before.day is None:
        doubts.append(
            worded(
                "No distance is known for this {called}: how far it was used before the first "
                "reading is a guess. Ask the owner or connect ride records.",
                called=law.called,
            )
        )
        return 0.0, 0.0, False
    mean, var = _by_days(use, before.day, here.day)
    if mean > 0 and use.log_sd > 0:
        doubts.append(
            worded(
                "The distance since the last one on record is not known: it is taken as days times "
                "the usual use a week."
            )
        )
    return mean, var, True


def _stated(law: WearLaw, here: _Stop, before: _Stop, doubts: list[str]) -> tuple[float, float, bool]:
    reached, passed = here.exposure or 0.0, before.exposure or 0.0
    dx = reached - passed
    if dx < 0:
        doubts.append(
            worded(
                "The use goes down from {passed} to {reached} {unit}: it can only grow. It "
                "was taken as unchanged; check the distances.",
                passed=figure_text(passed, 0),
                reached=figure_text(reached, 0),
                unit=law.driver,
            )
        )
        return 0.0, 0.0, True
    return dx, (here.share * dx) ** 2, True


def _shared_out(
    here: _Stop, before: _Stop, earlier: _Stop, later: _Stop, reached: float
) -> tuple[float, float, bool]:
    total = max((later.exposure or 0.0) - (earlier.exposure or 0.0), 0.0)
    days = _days(earlier.day, later.day)
    part = _days(before.day, here.day) / days if days > 0 else 0.0
    dx = total * part if here is not later else max((later.exposure or 0.0) - reached, 0.0)
    return dx, (UNKNOWN_SHARE * dx) ** 2, True


def _by_days(use: RateOfUse, start: date | None, end: date | None) -> tuple[float, float]:
    mean = _days(start, end) / 7 * use.median_a_week * exp(use.log_sd**2 / 2)
    return mean, mean**2 * expm1(use.log_sd**2)


def _days(start: date | None, end: date | None) -> float:
    return float((end - start).days) if start is not None and end is not None else 0.0
