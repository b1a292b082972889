"""What a changed row would change: how many bikes have such a part, which newest readings read otherwise, which lines cost otherwise."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from pinchbolt.records.models import Event, Fitting, Line, Marking, Reading
from pinchbolt.reference.rows.joints import JointRow
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.reference.rows.work import Operation, ShelfPrice
from pinchbolt.values.about import unit_words
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import money_of_shop
from pinchbolt.workshop.acts.money_terms import labour_on_day
from pinchbolt.workshop.acts.state import jobs_here
from pinchbolt.workshop.common.trade_tables import tables_in_use
from pinchbolt.workshop.settings.change_rows import RowRequest, try_row
from pinchbolt.workshop.settings.row_fields import row_in

NAMED_AT_MOST = 10


@dataclass(frozen=True, slots=True)
class EffectsView:
    """What would follow, in sentences; `bikes` have such a part; `named` are the first ten of what reads otherwise, `more` the rest."""

    name: str
    softer: tuple[str, ...]
    says: tuple[str, ...]
    named: tuple[str, ...]
    more: int


def effects_of(request: RowRequest, today: date) -> EffectsView:
    """Return what a changed row would change, without writing anything.

    Raises:
        InputRefused: The row is not sound; each sentence stands at its field.
    """
    tried = try_row(request)
    before = row_in(tables_in_use().tables, request.table, request.id)
    after = row_in(tried.tables, request.table, request.id)
    says: list[str] = []
    named: list[str] = []
    if isinstance(before, LimitRow) and isinstance(after, LimitRow):
        says.append(_bikes(before.on, worded("such a part")))
        named = list(_readings(before, after))
        says += [] if named else [worded("no newest reading reads otherwise")]
    elif isinstance(before, JointRow) and isinstance(after, JointRow):
        says.append(_bikes(before.on, worded("such a joint")))
        says += _capped(after)
    elif isinstance(before, Operation) and isinstance(after, Operation):
        says += _priced(before, after, today)
    elif isinstance(before, ShelfPrice) and isinstance(after, ShelfPrice):
        says += _shelf(before, after)
    return EffectsView(
        tried.name,
        tried.softer,
        tuple(says),
        tuple(named[:NAMED_AT_MOST]),
        max(len(named) - NAMED_AT_MOST, 0),
    )


def standing_by(row: LimitRow, low: float | None, high: float | None) -> str:
    """Return where a reading stands by the figures of a row alone: its worse end against what is not ridden, the limit, and the watch.

    Args:
        row: A limit of figures.
        low: The reading's low end, None where it is open.
        high: Its high end.
    """
    if row.direction == "flag" or (low is None and high is None):
        return ""
    most, least = high if high is not None else low, low if low is not None else high
    assert most is not None and least is not None
    ends = (
        ("danger", worded("not to be ridden")),
        ("limit", worded("past its limit")),
        ("warn", worded("to be watched")),
    )
    for name, words in ends:
        if any(_past(row, name, least, most)):
            return words
    return "sound"


def _past(row: LimitRow, name: str, least: float, most: float) -> Iterator[bool]:
    value, new = getattr(row, name), row.new or 0.0
    low, high = getattr(row, f"{name}_low"), getattr(row, f"{name}_high")
    if isinstance(value, int | float) and not isinstance(value, bool):
        if row.direction == "up":
            yield most >= value
        elif row.direction == "down":
            yield least <= value
        elif name != "danger":
            yield max(abs(least - new), abs(most - new)) >= value
    if low is not None:
        yield least <= low
    if high is not None:
        yield most >= high


def _bikes(kinds: tuple[str, ...], what: str) -> str:
    """Bikes with such a part now, on the bike itself or on a wheel of it."""
    rows = Fitting.objects.filter(part__kind__in=kinds, end__isnull=True)
    direct = set(rows.filter(bike__isnull=False).values_list("bike", flat=True))
    on_wheels = rows.filter(wheel__fittings__end__isnull=True, wheel__fittings__bike__isnull=False)
    found = direct | set(on_wheels.values_list("wheel__fittings__bike", flat=True))
    return _counted(len(found), worded("bike has"), worded("bikes have"), what)


def _counted(many: int, one: str, more: str, what: str) -> str:
    return f"{figure_text(many)} {(one if many == 1 else more)} {what}"


def _readings(before: LimitRow, after: LimitRow) -> Iterator[str]:
    """Newest readings of parts that are on a bike which stand elsewhere by the changed row."""
    rows = Reading.objects.filter(limit=before.id, event__corrected_by__isnull=True, job__isnull=False)
    there = rows.filter(part__fittings__end__isnull=True).order_by("pk").distinct()
    told = there.values_list("part_id", "low", "high", "job__bike__tag")
    newest = {part: (low, high, tag) for part, low, high, tag in told}
    for low, high, tag in newest.values():
        was, now = standing_by(before, low, high), standing_by(after, low, high)
        if was != now:
            shown = f"{low:g}" if low == high and low is not None else _interval(low, high)
            yield worded(
                "{tag}, {shown} {unit}: {was} becomes {now}",
                tag=tag,
                shown=shown,
                unit=unit_words(before.unit),
                was=was,
                now=now,
            )


def _interval(low: float | None, high: float | None) -> str:
    ends = [
        "" if low is None else worded("over {low:g}", low=low),
        "" if high is None else worded("under {high:g}", high=high),
    ]
    return worded(" and ").join(one for one in ends if one)


def _capped(after: JointRow) -> list[str]:
    """A figure of the workshop never lifts a marking."""
    caps = Marking.objects.filter(joint=after.id, greatest__lt=after.high, event__corrected_by__isnull=True)
    lowest = caps.order_by("greatest").values_list("greatest", flat=True).first()
    many = caps.values("bike").distinct().count()
    marked = worded(
        "{counted}: the lowest marking still caps it",
        counted=_counted(
            many,
            worded("bike has"),
            worded("bikes have"),
            worded("a marking down to {lowest:g} N·m", lowest=lowest),
        ),
    )
    return [worded("the marking on a part wins over this figure")] if lowest is None else [marked]


def _priced(before: Operation, after: Operation, today: date) -> list[str]:
    hour = labour_on_day(today)
    was, now = (_labour(row, hour) for row in (before, after))
    says = (
        [worded("by itself {now}, was {was}", now=money_of_shop(now), was=money_of_shop(was))]
        if was != now
        else []
    )
    if before.offered and not after.offered:
        says.append(
            worded("it leaves the menu; what was found and asks for it says that it is not offered here")
        )
    asked = _open_lines(before.id)
    return [*says, _asked(asked)] if asked else says


def _labour(row: Operation, hour: Decimal) -> Decimal:
    return row.fixed_price if row.fixed_price is not None else hour * row.minutes[1] / 60


def _shelf(before: ShelfPrice, after: ShelfPrice) -> list[str]:
    rows = tables_in_use().tables.operations.values()
    many = sum(1 for row in rows if any(part.partition(" x ")[0] == before.part for part in row.parts))
    was, now = money_of_shop(before.price), money_of_shop(after.price)
    says = [worded("{now} each, was {was}", now=now, was=was)] if before.price != after.price else []
    return [
        *says,
        _counted(many, worded("operation brings"), worded("operations bring"), worded("such a part")),
    ]


def _open_lines(operation: str) -> int:
    asked = set(Event.objects.filter(kind="priced").values_list("job", flat=True))
    rows = Line.objects.filter(operation=operation, event__corrected_by__isnull=True, answers__isnull=True)
    here = rows.filter(job__in=jobs_here())
    return sum(1 for job in here.values_list("job", flat=True) if job in asked)


def _asked(many: int) -> str:
    return _counted(
        many, worded("line is"), worded("lines are"), worded("asked at the old price and keep it")
    )
