"""A tool that nobody vouches for sets no joint that can throw the rider, unless a person says so by name."""

from datetime import date

from pinchbolt.engines.torque import counts_as_untested
from pinchbolt.errors import AsksSure
from pinchbolt.records.models import Tool
from pinchbolt.reference.rows.joints import JointRow
from pinchbolt.values.wording import worded
from pinchbolt.workshop.tools.tool_board import torque_tool


def said_of_untested(tool: Tool, row: JointRow, today: date, *, sure: bool) -> str:
    """Return what is kept with a done value of such a tool; '' where the tool is in date or the joint no safety joint.

    Raises:
        AsksSure: The tool was never calibrated or is past its date, the joint can throw the rider, and nobody said so.
    """
    spec = torque_tool(tool)
    if spec is None or row.critical != "A" or not counts_as_untested(spec, today):
        return ""
    why = (
        worded("was never calibrated here")
        if spec.due is None
        else worded("was due for calibration on {due:%d %b %Y}", due=spec.due)
    )
    if not sure:
        sentence = worded(
            "{name} {why}: it sets no joint that can throw the rider. Take a tool in date. Was "
            "it really so? Then save it again: your name is kept with it.",
            name=tool.name,
            why=why,
        )
        raise AsksSure(sentence, {"tool": sentence})
    return worded(" {name} {why}; used all the same, by name.", name=tool.name, why=why)
