"""How well it goes: promises against their odds, minutes against what work took, forecasts against what came in, lines sold by finding."""

import csv
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from io import StringIO
from itertools import pairwise
from math import exp, sqrt
from statistics import median

from pinchbolt.engines.day import StandMinutes
from pinchbolt.records.models import Event, Finding, Line
from pinchbolt.values.normal import Z80
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.acts.state import that_stand
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.day._taught import done_jobs, learned
from pinchbolt.workshop.settings.row_fields import row_name
from pinchbolt.workshop.wear.kept_forecast import kept_forecast

_BACK = timedelta(days=400)
_BANDS = (0.0, 0.6, 0.8, 0.9, 0.95, 1.0001)
_FEW = 5
# What makes a bike ready, and what ends that.
_READY = ("signed off", "reopened", "battery swollen")
# Minutes x 1.5 are the trade's interruptions: a suggestion for the menu leaves them out.
_INTERRUPTIONS = 1.5


@dataclass(frozen=True, slots=True)
class BandView:
    """Promises told at odds from `low` to `high`: how many, their mean odds, the share kept, and between what it lies.

    Eight cases in ten lie from `least` to `most`.
    """

    low: float
    high: float
    count: int
    told: float
    kept: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class WorkView:
    """Jobs whose main work was an operation: minutes by the estimate, minutes on the stand in the middle, and what the menu could say.

    `suggested` are low, usual, high for the menu; None with too few jobs or where it is right as it is.
    """

    operation: str
    name: str
    jobs: int
    estimated: float
    took: float
    menu: tuple[int, int, int]
    suggested: tuple[int, int, int] | None


@dataclass(frozen=True, slots=True)
class ForecastCheck:
    """Forecasts of a limit that a later reading answered: `as_said` where it came in the told time, else sooner or later than said."""

    limit: str
    checked: int
    as_said: int
    sooner: int
    later: int


@dataclass(frozen=True, slots=True)
class SoldView:
    """Lines put on for findings of a limit or by eye: how many the owner was asked about, agreed to and declined."""

    words: str
    asked: int
    agreed: int
    declined: int


@dataclass(frozen=True, slots=True)
class HowWell:
    """All of it, of the last 400 days. `kept`, `promises`: every promise, with odds or without."""

    promises: int
    kept: int
    without_odds: int
    bands: tuple[BandView, ...]
    work: tuple[WorkView, ...]
    forecasts: tuple[ForecastCheck, ...]
    sold: tuple[SoldView, ...]


@once_a_look
def how_well(now: datetime) -> HowWell:
    """Return how well it goes."""
    told = _promises(now)
    odds = [(odds, kept) for odds, kept in told if odds is not None]
    return HowWell(
        len(told),
        sum(kept for _, kept in told),
        len(told) - len(odds),
        tuple(_bands(odds)),
        tuple(_work(now)),
        tuple(_forecasts(now)),
        tuple(_sold(now)),
    )


def how_well_csv(now: datetime) -> str:
    """Return the same as CSV: one row a figure, the unit in the column's name."""
    seen, out = how_well(now), StringIO()
    rows = csv.writer(out)
    rows.writerow(["what", "name", "count", "told", "came", "low", "high"])
    for band in seen.bands:
        name = worded("odds {low:g} to {high:g}", low=band.low, high=min(band.high, 1))
        rows.writerow(
            [
                worded("promises kept (share)"),
                name,
                band.count,
                *(f"{one:.3f}" for one in (band.told, band.kept, band.least, band.most)),
            ]
        )
    for work in seen.work:
        rows.writerow(
            [
                worded("minutes of a job"),
                work.operation,
                work.jobs,
                f"{work.estimated:.0f}",
                f"{work.took:.0f}",
                "",
                "",
            ]
        )
    for one in seen.forecasts:
        rows.writerow(
            [
                worded("forecasts of a limit"),
                one.limit,
                one.checked,
                one.checked,
                one.as_said,
                one.sooner,
                one.later,
            ]
        )
    for sold in seen.sold:
        rows.writerow(
            [
                worded("lines sold by finding"),
                _plain(sold.words),
                sold.asked,
                sold.asked,
                sold.agreed,
                sold.declined,
                "",
            ]
        )
    return out.getvalue()


def _plain(words: str) -> str:
    """A cell that a spreadsheet does not take for a formula."""
    return f"'{words}" if words[:1] in "=+-@\t\r" else words


def _promises(now: datetime) -> list[tuple[float | None, bool]]:
    """Every promise of jobs that were signed off or whose day went by: its odds, and whether the bike was ready by then."""
    kinds = ("checked in", "promised", *_READY, "called off", "undone")
    rows = (
        Event.objects.filter(kind__in=kinds, at__gte=now - _BACK, job__isnull=False)
        .select_related("job")
        .order_by("pk")
    )
    jobs: dict[int, list[Event]] = defaultdict(list)
    for row in rows:
        jobs[row.job_id or 0].append(row)
    found = []
    for events in jobs.values():
        stand = that_stand(events)
        if any(event.kind == "called off" for event in stand):
            continue
        for at, odds, moved in _of_job(stand):
            # One that was moved before its day counts as not kept: the owner was told it.
            if at is not None and (at <= now or moved or _was_ready(stand, now)):
                found.append((odds, not moved and _was_ready(stand, min(at, now))))
    return found


def _was_ready(events: Sequence[Event], at: datetime) -> bool:
    """Whether a job was signed off at a moment; one that was opened again before it was not, one opened after it was."""
    newest = next((event.kind for event in reversed(events) if event.kind in _READY and event.at <= at), "")
    return newest == "signed off"


def _of_job(events: Sequence[Event]) -> list[tuple[datetime | None, float | None, bool]]:
    """Promises of a job in order: when for, its odds, and whether it was moved by the shop (an owner's wish is none of ours)."""
    found: list[tuple[datetime | None, float | None, bool]] = []
    for event in events:
        if event.kind == "checked in" and event.job is not None:
            found.append((event.job.promise, _odds(event.said.get("promise_odds")), False))
        elif event.kind == "promised":
            if found and event.said.get("why") == "owner's wish":
                found.pop()
            elif found:
                found[-1] = (found[-1][0], found[-1][1], True)
            at = event.said.get("promise")
            found.append((datetime.fromisoformat(at) if at else None, _odds(event.said.get("odds")), False))
    return found


def _odds(told: object) -> float | None:
    return float(told) if isinstance(told, int | float) else None


def _bands(odds: Sequence[tuple[float, bool]]) -> list[BandView]:
    found = []
    for low, high in pairwise(_BANDS):
        inside = [(told, kept) for told, kept in odds if low <= told < high]
        if inside:
            count, kept = len(inside), sum(kept for _, kept in inside)
            least, most = share_between(kept, count)
            found.append(
                BandView(
                    low,
                    min(high, 1.0),
                    count,
                    sum(one for one, _ in inside) / count,
                    kept / count,
                    least,
                    most,
                )
            )
    return found


def share_between(kept: int, count: int) -> tuple[float, float]:
    """Return between what a share lies in eight cases of ten (Wilson's interval)."""
    share, square = kept / count, Z80**2
    middle = (share + square / (2 * count)) / (1 + square / count)
    half = Z80 / (1 + square / count) * sqrt(share * (1 - share) / count + square / (4 * count**2))
    return max(0.0, middle - half), min(1.0, middle + half)


def _work(now: datetime) -> list[WorkView]:
    by_kind: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for one, _ in done_jobs(now):
        if one.kind:
            by_kind[one.kind].append((one.usual, one.took))
    known, found = learned(now).minutes, []
    for kind, rows in by_kind.items():
        row = tables().operations.get(kind)
        if row is not None:
            usual, took = (median(one[n] for one in rows) for n in (0, 1))
            suggested = suggested_minutes(row.minutes, kind, known) if len(rows) >= _FEW else None
            found.append(WorkView(kind, row.name, len(rows), usual, took, row.minutes, suggested))
    return sorted(found, key=lambda one: -one.jobs)


def suggested_minutes(
    menu: tuple[int, int, int], kind: str, known: StandMinutes
) -> tuple[int, int, int] | None:
    """Return what the menu could say of an operation by what it took here, interruptions left out; None where it is right within a tenth.

    Usual: the menu's minutes times what such work takes here over the trade's 1.5. Low and high: 10 and 90 of 100 by its spread.
    """
    times = exp(known.middle(kind)) / _INTERRUPTIONS
    if abs(times - 1) < 0.1:
        return None
    usual, spread = menu[1] * times, exp(Z80 * known.spread)
    low, middle, high = (max(1, round(one)) for one in (usual / spread, usual, usual * spread))
    return low, middle, high


def _forecasts(now: datetime) -> list[ForecastCheck]:
    """Each forecast against the next reading of the same part and limit that can answer it."""
    rows = Finding.objects.filter(
        event__at__gte=now - 2 * _BACK,
        event__corrected_by__isnull=True,
        forecast__isnull=False,
        part__isnull=False,
    ).order_by("part", "limit", "pk")
    tally: dict[str, list[str]] = defaultdict(list)
    before: Finding | None = None
    for row in rows.only("part_id", "limit", "forecast", "event_id"):
        if before is not None and (before.part_id, before.limit) == (row.part_id, row.limit):
            said = answered(before.forecast, row.forecast)
            if said:
                tally[row.limit].append(said)
        before = row
    return [
        ForecastCheck(
            _limit_words(limit), len(said), said.count("as said"), said.count("sooner"), said.count("later")
        )
        for limit, said in sorted(tally.items())
    ]


def answered(before: object, after: object) -> str:
    """Return how a later reading answers an earlier forecast: as said, sooner or later than its eight cases in ten; "" where it can't."""
    try:
        first, second = kept_forecast(before), kept_forecast(after)
    except ValueError:
        return ""
    if first is None or second is None or first.is_past or second.day <= first.day:
        return ""
    early, late = first.day_at_limit.wide
    if second.is_past:
        return "sooner" if early is not None and second.day < early else worded("as said")
    return "later" if late is not None and second.day > late else worded("as said")


def _limit_words(limit: str) -> str:
    row = tables().limits.get(limit)
    return limit if row is None else row_name("limit", row)


def _sold(now: datetime) -> list[SoldView]:
    rows = Line.objects.filter(
        event__at__gte=now - _BACK, event__corrected_by__isnull=True, finding__isnull=False
    )
    tally: dict[str, list[bool | None]] = defaultdict(list)
    for line in rows.select_related("finding").prefetch_related("answers__event__corrected_by__corrected_by"):
        said = [
            one
            for one in line.answers.all()
            if not any(not c.corrected_by.all() for c in one.event.corrected_by.all())
        ]
        words = (
            _limit_words(line.finding.limit)
            if line.finding and line.finding.limit
            else worded("found by eye")
        )
        tally[words].append(said[-1].agreed if said else None)
    return [
        SoldView(words, len(said), said.count(True), said.count(False))
        for words, said in sorted(tally.items(), key=lambda one: -len(one[1]))
    ]


def since(now: datetime) -> str:
    """Return from when on it counts, in words."""
    day = local_day(now - _BACK)
    return f"{day.day} {day:%B %Y}"
