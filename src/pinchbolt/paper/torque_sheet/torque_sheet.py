"""What the torque sheet says: every joint in working order, with its cautions and why."""

from datetime import datetime
from typing import Any

from pinchbolt.paper.facts import head, time_text
from pinchbolt.paper.job_card.job_card import cautions_shown, joint_shown
from pinchbolt.workshop.cautions import cautions
from pinchbolt.workshop.checks import local_day
from pinchbolt.workshop.looking_up import job_by_id
from pinchbolt.workshop.torque_sheet import torque_sheet


def torque_sheet_values(job: int, now: datetime) -> dict[str, Any]:
    """Return the values of the torque sheet."""
    found = job_by_id(job)
    joints = torque_sheet(found, local_day(now))
    return {
        **head("Torque sheet", job, now, [("promised", time_text(found.promise))]),
        "joints": [joint_shown(joint) for joint in joints],
        "cautions": cautions_shown(cautions(found.bike), joints),
    }
