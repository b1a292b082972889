"""Tension meters: each one's own table for each kind of spoke, and what a known weight says of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from math import hypot
from typing import cast

from pinchbolt.engines.wheels import GaugeTable, check_gauge, tension_by_gauge
from pinchbolt.errors import InputRefused, NotPossibleNow, Unknown
from pinchbolt.records.models import MeterCheck, MeterTable, Tool
from pinchbolt.reference.rows.wheels import Spoke
from pinchbolt.values import Interval
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import tool_by_id
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.common.checks import local_day, not_in_future, number
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.tool_board import tools_in_use

MEASURES = "measure-tension"  # what a row of the tools covers that is such a meter
MOST_POINTS = 40
# How far out a meter may be that nobody has tried on a weight, as a share, one sd. Common practice, no source.
UNTRIED = 0.05
# Further out than that no meter is: somebody typed another mass or mark. Own choice.
SLIP = 0.5


@dataclass(frozen=True, slots=True)
class MeterPoint:
    """One line of a meter's table: what it shows, and the tension that goes with it. [-], [N]"""

    shows: float
    tension_n: float


@dataclass(frozen=True, slots=True)
class MeterTableRequest:
    """A meter's table for one kind of spoke, from its own sheet or from weights hung here."""

    tool: int
    spoke_kind: str
    points: tuple[MeterPoint, ...]


@dataclass(frozen=True, slots=True)
class MeterTriedRequest:
    """A meter on a loose spoke with a known mass hung from it. [kg], [-]"""

    tool: int
    spoke_kind: str
    mass_kg: float
    shown: float
    day: date | None = None


@dataclass(frozen=True, slots=True)
class MeterTried:
    """What a known weight said of a meter: its words, how far out it is as a share, and whether it may be read from."""

    words: str
    out: float
    good: bool


@dataclass(frozen=True, slots=True)
class MeterTableView:
    """A table of a meter: the kind of spoke, its points, and what the last weight said ("" where it was never tried)."""

    spoke_kind: str
    name: str
    points: tuple[MeterPoint, ...]
    tried: str
    good: bool


@dataclass(frozen=True, slots=True)
class MeterView:
    """A tension meter on the board, with a table for each kind of spoke that it has one for."""

    id: int
    name: str
    tables: tuple[MeterTableView, ...]


@dataclass(frozen=True, slots=True)
class MeterReads:
    """What a meter's marks stand for, spoke by spoke (None: not read), their sd, and doubts. [N]"""

    tensions: tuple[Interval | None, ...]
    middles: tuple[float | None, ...]
    sd: float
    doubts: tuple[str, ...]


def spoke_kinds() -> Mapping[str, Spoke]:
    """Return the kinds of spoke in the tables, by their rows."""
    return {row.id: row for row in cast(Sequence[Spoke], tables().interfaces["spoke"])}


def spoke_kind_of(kind: str) -> Spoke:
    """Return a kind of spoke.

    Raises:
        InputRefused: The tables have none of that name.
    """
    row = spoke_kinds().get(kind)
    if row is None:
        sentence = worded(
            'The kind of spoke is "{kind}": {spoke_kinds}. Choose one.',
            kind=kind[:40],
            spoke_kinds=", ".join(spoke_kinds()),
        )
        raise InputRefused(sentence, {"spoke_kind": sentence})
    return row


@once_a_look
def meters() -> tuple[MeterView, ...]:
    """Return the tension meters on the board, each with its tables."""
    here = [one for one in tools_in_use() if _is_meter(one)]
    rows = MeterTable.objects.filter(tool__in=here, event__corrected_by__isnull=True).order_by("pk")
    found: dict[int, dict[str, MeterTable]] = {one.pk: {} for one in here}
    for row in rows:
        found[row.tool_id][row.spoke_kind] = row
    return tuple(
        MeterView(one.pk, one.name, tuple(_table_seen(row) for row in found[one.pk].values())) for one in here
    )


def set_meter_table(request: MeterTableRequest, *, by: int, key: str, now: datetime) -> MeterTableView:
    """Write down a meter's table for one kind of spoke; the newest counts.

    Raises:
        InputRefused: Fewer than two points, one twice, or a table that turns back.
        NotPossibleNow: The tool is no tension meter.
    """
    with act("meter table set", by=by, key=key, now=now, request=request) as this:
        tool = _meter(request.tool)
        kind = spoke_kind_of(request.spoke_kind)
        if this.repeated:
            return _table_seen(MeterTable.objects.get(event=this.done_before))
        if len(request.points) > MOST_POINTS:
            sentence = worded(
                "The table has {points} points: {most_points} at most. Leave every second one out.",
                points=len(request.points),
                most_points=MOST_POINTS,
            )
            raise InputRefused(sentence, {"points": sentence})
        for one in request.points:
            number(one.tension_n, "points", worded("A tension of the table"), 1, 4000, "N")
            number(one.shows, "points", worded("A mark of the table"), -1000, 10000, "marks")
        points = [(one.shows, one.tension_n) for one in request.points]
        if points:
            # Refused by the engine where it can't be read from; the first point is inside any sound table.
            tension_by_gauge(_as_table(kind.plain, points), points[0][0])
        else:
            tension_by_gauge(_as_table(kind.plain, points), 0.0)
        row = MeterTable.objects.create(event=this.write(), tool=tool, spoke_kind=kind.id, points=points)
        return _table_seen(row)


def try_meter(request: MeterTriedRequest, *, by: int, key: str, now: datetime) -> MeterTried:
    """Write down what a meter showed on a known weight; one that is too far out goes off the board.

    Raises:
        InputRefused: A mass or a mark out of any sense.
        Unknown: A mark outside of its table.
        NotPossibleNow: No tension meter, or it has no table for this kind of spoke.
    """
    with act("meter tried", by=by, key=key, now=now, request=request) as this:
        tool = _meter(request.tool)
        if this.repeated:
            row = MeterCheck.objects.get(event=this.done_before)
            return MeterTried(row.words, row.out, row.good)
        table = _table_of(tool, request.spoke_kind)
        found = check_gauge(table, request.shown, request.mass_kg)
        if abs(found.out) > SLIP:
            sentence = worded(
                "{partition}: mass, mark or table is another. Nothing is written; weigh and read again.",
                partition=found.words.partition(":")[0],
            )
            raise InputRefused(sentence, {"mass_kg": sentence})
        MeterCheck.objects.create(
            event=this.write(),
            tool=tool,
            spoke_kind=request.spoke_kind,
            mass_kg=request.mass_kg,
            shown=request.shown,
            out=found.out,
            good=found.usable,
            words=found.words[:200],
            day=not_in_future(request.day or local_day(now), now, "day", worded("The day of the check")),
        )
        if not found.usable:
            tool.in_use = False
            tool.save(update_fields=["in_use"])
        return MeterTried(found.words, found.out, found.usable)


def read_by_meter(tool: int, spoke_kind: str, shown: Sequence[float | None]) -> MeterReads:
    """Return what a meter's marks stand for.

    Args:
        tool: The meter's number. [-]
        spoke_kind: Row of the spokes. [-]
        shown: What it showed at each spoke from spoke 1 on; None where it was not read. [marks]

    Raises:
        NotPossibleNow: No tension meter, none with a table for this kind, or one that a weight said to be too far out.
        Unknown: A mark outside of its table; the sentence names the spoke.
    """
    meter = _meter(tool)
    table, check = _table_of(meter, spoke_kind), _last_check(meter, spoke_kind)
    if check is not None and not check.good:
        raise NotPossibleNow(
            worded("{name}: {words}. Read with another meter, or by ear.", name=meter.name, words=check.words)
        )
    if not meter.in_use:
        raise NotPossibleNow(
            worded(
                "{name} is off the board (failed its check). Use another, or read by ear.", name=meter.name
            )
        )
    row = tables().tools.get(meter.table_id)
    found = [None if one is None else _at(table, spoke, one) for spoke, one in enumerate(shown, 1)]
    middles = [None if one is None else (one.low + one.high) / 2 for one in found]
    read = [one for one in middles if one is not None]
    mean = sum(read) / len(read) if read else 0.0
    doubts: tuple[str, ...] = ()
    if check is None:
        doubts = (_never_tried(meter),)
    out = UNTRIED if check is None else abs(check.out)
    return MeterReads(
        tuple(found),
        tuple(None if one is None else round(one, 1) for one in middles),
        round(hypot((row.sd if row and row.sd else 40.0), out * mean), 1),
        doubts,
    )


@once_a_look
def meter_doubts(tool: Tool, spoke_kind: str, reading: int) -> tuple[str, bool]:
    """Return what is to be doubted of a meter's reading ("" for nothing), and whether it was found out since.

    The first weight after a reading (an event) speaks of it: one that was too far out then may have been so before.
    """
    after = (
        MeterCheck.objects.filter(tool=tool, event__corrected_by__isnull=True, pk__gt=reading)
        .order_by("pk")
        .first()
    )
    if after is not None and not after.good:
        return (
            worded(
                "{name} was found out since on a known weight ({words}): what it read may be as far "
                "out. Read every spoke again with another meter, or by ear.",
                name=tool.name,
                words=after.words,
            ),
            True,
        )
    return ("" if _last_check(tool, spoke_kind) is not None else _never_tried(tool)), False


def _never_tried(meter: Tool) -> str:
    return worded(
        "{name} was never tried on a known weight for this kind of spoke: 5 % of doubt is taken.",
        name=meter.name,
    )


def _at(table: GaugeTable, spoke: int, shown: float) -> Interval:
    try:
        return tension_by_gauge(table, shown)
    except Unknown as refusal:
        raise Unknown(
            worded("Spoke {spoke}: {sentence}", spoke=spoke, sentence=refusal.sentence)
        ) from refusal


def _is_meter(tool: Tool) -> bool:
    row = tables().tools.get(tool.table_id)
    return row is not None and MEASURES in row.covers


def _meter(tool: int) -> Tool:
    found = tool_by_id(tool)
    if not _is_meter(found):
        raise NotPossibleNow(
            worded(
                "{name} shows no spoke's tension: choose a tension meter, or hang one on the board.",
                name=found.name,
            )
        )
    return found


def _table_of(tool: Tool, spoke_kind: str) -> GaugeTable:
    kind = spoke_kind_of(spoke_kind)
    rows = MeterTable.objects.filter(tool=tool, spoke_kind=kind.id, event__corrected_by__isnull=True)
    row = rows.order_by("pk").last()
    if row is None:
        raise NotPossibleNow(
            worded(
                "{name} has no table for {plain} spokes: type it in from its sheet on the tool "
                "board, under tension meters. By another kind's table the tension would be wrong.",
                name=tool.name,
                plain=kind.plain,
            )
        )
    return _as_table(kind.plain, row.points)


def _as_table(plain: str, points: Sequence[Sequence[float]]) -> GaugeTable:
    return GaugeTable(plain, tuple(one[0] for one in points), tuple(one[1] for one in points))


def _last_check(tool: Tool, spoke_kind: str) -> MeterCheck | None:
    rows = MeterCheck.objects.filter(tool=tool, spoke_kind=spoke_kind, event__corrected_by__isnull=True)
    return rows.order_by("day", "pk").last()


def _table_seen(row: MeterTable) -> MeterTableView:
    check = _last_check(row.tool, row.spoke_kind)
    kind = spoke_kinds().get(row.spoke_kind)
    return MeterTableView(
        row.spoke_kind,
        f"{kind.middle:g} mm, {kind.plain}" if kind else row.spoke_kind,
        tuple(MeterPoint(*one) for one in row.points),
        f"{check.words} ({check.day:%d %b %Y})" if check else "",
        check is None or check.good,
    )
