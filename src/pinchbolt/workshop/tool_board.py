"""The tools and instruments that hang here, as the engines take them."""

from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from pinchbolt.engines.torque import ToolAsked
from pinchbolt.records.models import Instrument, Tool, ToolCheck
from pinchbolt.reference.rows.tools import TorqueClass
from pinchbolt.workshop.looking_up import tables


@dataclass(frozen=True, slots=True)
class ToolSeen:
    """A tool on the board; torque figures in N·m, None for a tool that does not show torque."""

    id: int
    name: str
    table_id: str
    hangs: str
    in_use: bool
    least: float | None
    greatest: float | None
    deviation: float | None
    due: date | None
    is_due: bool


@dataclass(frozen=True, slots=True)
class InstrumentSeen:
    """An instrument on the board: its known error and its last check."""

    id: int
    name: str
    table_id: str
    in_use: bool
    reads: str
    unit: str
    bias: float | None
    checked: date | None
    check: str


def torque_tools() -> list[ToolAsked]:
    """Return the torque tools in use, as the engine takes them; the engine's tool id is the record's id."""
    rows = Tool.objects.filter(in_use=True, table_id__in=list(tables().torque_tools)).order_by("pk")
    checks = {check.tool_id: check for check in _standing_checks().filter(tool__in=rows)}
    return [asked for tool in rows if (asked := _asked(tool, checks.get(tool.pk))) is not None]


def torque_tool(tool: Tool) -> ToolAsked | None:
    """Return one tool as the torque engine takes it, or None if it shows no torque."""
    return _asked(tool, _standing_checks().filter(tool=tool).last())


def _standing_checks() -> QuerySet[ToolCheck]:
    """Checks that no later event corrects, oldest first."""
    return ToolCheck.objects.filter(event__corrected_by__isnull=True).order_by("day", "pk")


def _asked(tool: Tool, check: ToolCheck | None) -> ToolAsked | None:
    row = tables().torque_tools.get(tool.table_id)
    if row is None:
        return None
    of_class = _class_deviation(tables().torque_classes[row.class_], row.range[1])
    return ToolAsked(
        id=str(tool.pk),
        name=tool.name,
        least=row.range[0],
        greatest=row.range[1],
        # A certificate may be better than the class at its points; between them and with age the class is what is promised.
        deviation=max(of_class, check.deviation or 0.0) if check else of_class,
        step=row.step or 0.1,
        steps=row.steps,
        due=check.due if check else None,
    )


def _class_deviation(row: TorqueClass, greatest: float) -> float:
    if row.deviation is not None:
        return row.deviation
    found = row.deviation_to_10 if greatest <= 10 else row.deviation_over_10
    assert found is not None  # the table loader holds one of the three
    return found


def tool_board(today: date) -> tuple[tuple[ToolSeen, ...], tuple[InstrumentSeen, ...]]:
    """Return all tools and all instruments."""
    return (
        tuple(_tool_seen(tool, today) for tool in Tool.objects.order_by("pk")),
        tuple(_instrument_seen(one) for one in Instrument.objects.order_by("pk")),
    )


def _tool_seen(tool: Tool, today: date) -> ToolSeen:
    asked = torque_tool(tool)
    return ToolSeen(
        id=tool.pk,
        name=tool.name,
        table_id=tool.table_id,
        hangs=tool.hangs,
        in_use=tool.in_use,
        least=asked.least if asked else None,
        greatest=asked.greatest if asked else None,
        deviation=asked.deviation if asked else None,
        due=asked.due if asked else None,
        is_due=bool(asked and asked.due and asked.due <= today),
    )


def _instrument_seen(one: Instrument) -> InstrumentSeen:
    row = tables().instruments.get(one.table_id)
    check = one.checks.filter(event__corrected_by__isnull=True).order_by("-day", "-pk").first()
    return InstrumentSeen(
        id=one.pk,
        name=one.name,
        table_id=one.table_id,
        in_use=one.in_use,
        reads=row.reads if row else "",
        unit=(row.unit or "percent") if row else "",
        bias=check.bias if check and check.bias is not None else (row.bias if row else None),
        checked=check.day if check else None,
        check=row.check if row else "",
    )
