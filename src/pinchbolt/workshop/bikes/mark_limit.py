"""A wear limit that is marked on a part: it wins over every table from then on, for this part alone."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.engines.build import limits_on
from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Marking
from pinchbolt.reference.rows.measure import LimitRow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import part_by_id
from pinchbolt.workshop.bikes.build_sheet import build_of
from pinchbolt.workshop.bikes.change_build import bike_of
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.common.usual import usual_range


@dataclass(frozen=True, slots=True)
class MarkLimitRequest:
    """What is marked on a part, such as "min. th. 1.5" on a rotor: the row of the limits that it is for, in its unit."""

    part: int
    limit: str
    value: float


@dataclass(frozen=True, slots=True)
class LimitMarked:
    """What governs now, and what the table has, in the row's unit."""

    limit: str
    value: float
    table: float | None
    unit: str


def mark_limit(request: MarkLimitRequest, *, by: int, key: str, now: datetime) -> LimitMarked:
    """Write down a limit that is marked on a part; the newest marking of the part counts.

    Raises:
        InputRefused: A row that is not read on this part or that no marking can tell, or a figure out of sense.
        NotPossibleNow: The part is on no bike.
    """
    with act("limit marked", by=by, key=key, now=now, request=request) as this:
        part = part_by_id(request.part)
        bike = bike_of(part)
        if bike is None:
            raise NotPossibleNow(
                worded("This {part} is on no bike now: its marking is read where it is fitted.", part=part)
            )
        build = build_of(bike)
        on = build.part(part.pk)
        rows = {one.row.id: one.row for one in limits_on(build, on)} if on is not None else {}
        can = [row.id for row in rows.values() if can_be_marked(row)]
        row = rows.get(request.limit)
        if row is None or row.id not in can:
            sentence = worded(
                '"{limit}" is not marked on a {part}: {can}. Choose one.',
                limit=request.limit[:60],
                part=part,
                can=", ".join(can) or worded("nothing is"),
            )
            raise InputRefused(sentence, {"limit": sentence})
        least, greatest = usual_range(row)
        named = worded("The {quantity} marked on the {part}", quantity=row.quantity, part=part)
        # No part is marked as good for nothing: the least figure that can be read is the least that can be marked.
        value = number(request.value, "value", named, max(least, 0.01), greatest, row.unit)
        _must_lie_beyond_new(row, value, str(part))
        table = row.limit if isinstance(row.limit, int | float) else None
        if this.repeated:
            return LimitMarked(row.id, value, table, row.unit)
        old = Marking.objects.filter(on_part=part, limit=row.id, event__corrected_by__isnull=True).first()
        this.said = {"part": part.pk, "limit": row.id, "value": value, "unit": row.unit, "words": str(part)}
        Marking.objects.create(
            event=this.write(bike=bike, corrects=old.event if old else None),
            bike=bike,
            limit=row.id,
            part=str(part)[:60],
            on_part=part,
            least=value if row.direction == "down" else None,
            greatest=value if row.direction == "up" else None,
        )
        return LimitMarked(row.id, value, table, row.unit)


def _must_lie_beyond_new(row: LimitRow, value: float, part: str) -> None:
    """A part is not worn out when it is new: such a marking says that another row of the table is its own."""
    if row.new is None or (value < row.new if row.direction == "down" else value > row.new):
        return
    sentence = worded(
        "Marked {value:g} {unit} for {quantity}, and this {part} stands on the build sheet "
        "as one that has {new:g} {unit} when new: one of the two is wrong. Describe the part "
        "first, then mark its limit.",
        value=value,
        unit=row.unit,
        quantity=row.quantity,
        part=part,
        new=row.new,
    )
    raise InputRefused(sentence, {"value": sentence})


def can_be_marked(row: LimitRow) -> bool:
    """Return whether a part or its maker may state this limit as one figure."""
    return row.marking_wins and row.direction in ("up", "down")
