"""Replay the invented year of the demo day by day: what the marks of the bins would have had there, beside a flat two of each.

`make score-stock`. Every part that work asked for on a day is asked of the shelf of that morning; what was short is bought and
fitted later. Marks are set anew each evening by what was counted until then and by the forecasts that were on record that evening:
nothing of a later day is looked at. The workshop, its people and its bikes are invented: what is shown is what the method reaches on
a year of that shape.
"""

import argparse
import os
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from ratios.stock_year import year

FILL, STOCK = 0.95, 0.8
# Days until an order comes: between those of the two suppliers of the demo.
LEAD = 2
missed: list[str] = []


def say(text: str) -> None:
    """One line, at once."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def held(what: str, shown: str, bar: str, good: bool) -> None:
    """One figure beside its bar."""
    say(f"  {what:<58} {shown:<22} {bar:<18} {'held' if good else 'MISSED'}")
    if not good:
        missed.append(what)


@dataclass(frozen=True, slots=True)
class Asked:
    """So many of a part that work asked for on a day, on which bike and part of it."""

    day: date
    name: str
    count: int
    part: int | None


@dataclass
class Shelf:
    """One part: how many lie there, what is on its way, and what was counted."""

    here: int
    price: float
    level: int = 0
    coming: list[tuple[date, int]] = field(default_factory=list)
    asked: int = 0
    served: int = 0
    stocked: float = 0.0

    def morning(self, today: date) -> None:
        """What was ordered comes."""
        self.here += sum(count for day, count in self.coming if day <= today)
        self.coming = [(day, count) for day, count in self.coming if day > today]

    def ask(self, count: int) -> None:
        """Work asks: what is short is bought besides and comes to the work, not to the shelf."""
        got = min(self.here, count)
        self.here, self.asked, self.served = self.here - got, self.asked + count, self.served + got

    def evening(self, today: date) -> None:
        """Ordered up to the level; what lies there tonight is counted."""
        lacking = self.level - self.here - sum(count for _, count in self.coming)
        if lacking > 0:
            self.coming.append((today + timedelta(days=LEAD), lacking))
        self.stocked += self.here


Forecasts = Mapping[str, Sequence[tuple[date, date, object, int, int]]]
Visits = Mapping[int, Sequence[date]]


def replay(
    asked: Sequence[Asked], days: Sequence[date], prices: Mapping[str, float], ahead: Forecasts, came: Visits
) -> tuple[float, float]:
    """Share that was there, and how many lay there on an average evening, by the engine's levels."""
    from pinchbolt.engines.stock import of_known_bikes, of_walk_ins, order_up_to, together
    from pinchbolt.engines.wear import chance_by
    from pinchbolt.workshop.acts.lookups import terms
    from pinchbolt.workshop.ordering._known_bikes import chance_of_coming
    from pinchbolt.workshop.ordering.order_list import HOLDING, REVIEW_DAYS, SHORT_HOURS

    short, ahead_days = SHORT_HOURS * float(terms().labour_an_hour), LEAD + REVIEW_DAYS
    shelves = {name: Shelf(0, price) for name, price in prices.items()}
    seen: dict[str, int] = dict.fromkeys(prices, 0)
    by_day: dict[date, list[Asked]] = {}
    for one in asked:
        by_day.setdefault(one.day, []).append(one)
    first = days[0]
    for today in (first - timedelta(days=LEAD), *days):
        known = max(0, (today - first).days)
        for name, shelf in shelves.items():
            shelf.morning(today)
            for one in by_day.get(today, ()):
                if one.name == name:
                    shelf.ask(one.count)
                    # Lines of a finding are a known bike's: its forecast spoke of them.
                    seen[name] += one.count if one.part is None else 0
            chances: dict[int, float] = {}
            for said, until, forecast, bike, part in ahead.get(name, ()):
                if said <= today < until:
                    visits = sum(1 for on in came.get(bike, ()) if on <= today)
                    comes = chance_of_coming(visits, known, ahead_days)
                    past = chance_by(forecast, [(today - said).days + ahead_days])[0]  # type: ignore[arg-type]
                    # A part with two limits is asked for once, by the one that comes first.
                    chances[part] = max(chances.get(part, 0.0), comes * past)
            demand = together(
                of_known_bikes(list(chances.values())), of_walk_ins(seen[name], known, ahead_days)
            )
            shelf.level = order_up_to(demand, short, shelf.price * HOLDING * REVIEW_DAYS / 365)
            shelf.evening(today)
    return _sums(shelves, len(days))


def two_of_each(
    asked: Sequence[Asked], days: Sequence[date], prices: Mapping[str, float]
) -> tuple[float, float]:
    """The same with two of each, filled up every evening."""
    shelves = {name: Shelf(2, price, 2) for name, price in prices.items()}
    for today in days:
        for name, shelf in shelves.items():
            shelf.morning(today)
            for one in asked:
                if (one.day, one.name) == (today, name):
                    shelf.ask(one.count)
            shelf.evening(today)
    return _sums(shelves, len(days))


def _sums(shelves: Mapping[str, Shelf], days: int) -> tuple[float, float]:
    asked = sum(one.asked for one in shelves.values())
    served = sum(one.served for one in shelves.values())
    return served / max(asked, 1), sum(one.stocked for one in shelves.values()) / days


def of_the_records() -> tuple[
    list[Asked],
    list[date],
    dict[str, float],
    dict[str, list[tuple[date, date, object, int, int]]],
    dict[int, list[date]],
]:
    """What the year asked for, by the lines that were done; prices; and the forecasts with the days on which they were said."""
    from pinchbolt.records.models import Event, Finding, Job, Line
    from pinchbolt.workshop.acts.lookups import bike_by_tag
    from pinchbolt.workshop.bikes.build_sheet import build_of
    from pinchbolt.workshop.common.checks import local_day
    from pinchbolt.workshop.stays.line_parts import priced_parts
    from pinchbolt.workshop.wear.kept_forecast import kept_forecast

    done = Event.objects.filter(kind="line done", corrected_by__isnull=True).order_by("pk")
    asked, prices = [], {}
    for event in done:
        line = Line.objects.select_related("finding").get(pk=event.said["line"])
        for part in line.parts:
            name = str(part["name"])
            asked.append(
                Asked(
                    local_day(event.at),
                    name,
                    int(part["count"]),
                    line.finding.part_id if line.finding else None,
                )
            )
            prices[name] = float(part["each"]) / 1.2 * 0.6
    ahead: dict[str, list[tuple[date, date, object, int, int]]] = {}
    rows = Finding.objects.filter(
        forecast__isnull=False, part__isnull=False, event__corrected_by__isnull=True
    )
    newest: dict[tuple[int, str], list[Finding]] = {}
    for row in rows.select_related("part", "job__bike", "event").order_by("pk"):
        newest.setdefault((row.part_id or 0, row.limit), []).append(row)
    for found in newest.values():
        for row, later in zip(found, [*found[1:], None], strict=True):
            forecast = kept_forecast(row.forecast)
            build = build_of(bike_by_tag(row.job.bike.tag))
            on = build.part(row.part_id) if row.part_id else None
            until = local_day(later.event.at) if later is not None else date.max
            for name in {one.name for one in priced_parts((row.part.kind,), build, on)} if row.part else ():
                if forecast is not None and name in prices:
                    ahead.setdefault(name, []).append(
                        (local_day(row.event.at), until, forecast, row.job.bike_id, row.part_id or 0)
                    )
    first, last = min(one.day for one in asked), max(one.day for one in asked)
    came: dict[int, list[date]] = {}
    for job in Job.objects.order_by("pk"):
        came.setdefault(job.bike_id, []).append(local_day(job.opened_at))
    return asked, list(_days(first, last)), prices, ahead, came


def _days(first: date, last: date) -> Iterator[date]:
    for n in range((last - first).days + 1):
        yield first + timedelta(days=n)


def open_demo(home: str) -> None:
    """Open the demo in a home folder; made first where there is none."""
    os.environ["PINCHBOLT_HOME"] = home
    from pinchbolt.serving.home import into_the_demo

    into_the_demo()
    from pinchbolt.cli.starting import load

    load()
    from pinchbolt.serving.making_demo import make_the_demo
    from pinchbolt.serving.migrating import migrate

    migrate()
    from pinchbolt.workshop.acts.lookups import has_workshop

    if not has_workshop():
        make_the_demo()


def main(arguments: Sequence[str]) -> int:
    """Print each figure beside its bar; 1 where one was missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--home", default="", help="a home folder whose demo is used; else one is made, in two minutes"
    )
    parser.add_argument("--seeds", type=int, nargs="*", default=(1, 2, 3), help="drawn years besides")
    told = parser.parse_args(arguments)
    open_demo(told.home or tempfile.mkdtemp(prefix="pinchbolt-score-"))
    say("the demo's year, on which two constants of the method were chosen")
    _scored(*of_the_records())
    for seed in told.seeds:
        say(f"year {seed}, drawn; nothing was chosen on it")
        lines, days, prices, ahead, came = year(seed)
        _scored([Asked(*one) for one in lines], days, prices, ahead, came)
    return 1 if missed else 0


def _scored(
    asked: Sequence[Asked], days: Sequence[date], prices: Mapping[str, float], ahead: Forecasts, came: Visits
) -> None:
    """One year, each figure beside its bar."""
    say(
        f"{sum(one.count for one in asked)} pieces of {len(prices)} parts in {len(days)} days, {sum(map(len, ahead.values()))} forecasts"
    )
    fill, stock = replay(asked, days, prices, ahead, came)
    flat_fill, flat = two_of_each(asked, days, prices)
    say(f"  two of each: {flat_fill:.1%} there, {flat:.1f} pieces on an average evening")
    held("by the levels of the engine: share that was there", f"{fill:.1%}", f">= {FILL:.0%}", fill >= FILL)
    held(
        "pieces on an average evening against two of each",
        f"{stock:.1f}, {stock / flat:.2f}",
        f"<= {STOCK}",
        stock <= STOCK * flat,
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
