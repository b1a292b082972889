"""The arm of a torque tool, and how far a crow-foot or another adapter reaches: measured once, and kept with what hangs here."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import tool_by_id
from pinchbolt.workshop.common.checks import number
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.tools.tool_board import ADAPTER


@dataclass(frozen=True, slots=True)
class ArmRequest:
    """A torque tool measured from its drive to its grip mark, or an adapter from its drive to the middle of the nut. [mm]"""

    tool: int
    arm_mm: float


@dataclass(frozen=True, slots=True)
class ArmView:
    """What hangs here with its arm, and what the sheet does with it from now on. [mm]"""

    tool: int
    name: str
    arm_mm: float
    words: str


def measure_arm(request: ArmRequest, *, by: int, key: str, now: datetime) -> ArmView:
    """Write the arm of what hangs on the board down; the newest counts.

    Raises:
        InputRefused: No such tool, one that has no arm, or a length that no such tool has.
    """
    with act("arm measured", by=by, key=key, now=now, request=request) as this:
        tool = tool_by_id(request.tool)
        arm = arm_of(tool.table_id, request.arm_mm)
        if not this.repeated:
            this.write()
            tool.arm_mm = arm
            tool.save(update_fields=["arm_mm"])
        return ArmView(tool.pk, tool.name, arm, _words(tool.name, tool.table_id, arm))


def arm_of(table_id: str, arm_mm: float) -> float:
    """Return an arm that a row of the tools table can have. [mm]

    Raises:
        InputRefused: Nothing is measured on such a tool, or the length is none of it.
    """
    if table_id in tables().torque_tools:
        return number(arm_mm, "arm_mm", worded("The arm from drive to grip mark"), 50, 1500, "mm")
    if table_id.startswith(ADAPTER):
        return number(arm_mm, "arm_mm", worded("The reach from drive to nut"), 5, 150, "mm")
    row = tables().tools.get(table_id) or tables().instruments.get(table_id)
    sentence = worded(
        "{name} has no arm that a setting hangs on: torque tools and crow-feet have.",
        name=row.name if row else table_id,
    )
    raise InputRefused(sentence, {"arm_mm": sentence})


def _words(name: str, table_id: str, arm: float) -> str:
    if table_id.startswith(ADAPTER):
        return worded(
            "{name} reaches {arm:g} mm: where it stands in line with a measured wrench, the "
            "sheet says what to set.",
            name=name,
            arm=arm,
        )
    return worded(
        "{name} has an arm of {arm:g} mm: with a measured crow-foot in line, the sheet says what to set.",
        name=name,
        arm=arm,
    )
