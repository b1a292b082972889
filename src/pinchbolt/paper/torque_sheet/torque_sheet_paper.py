"""What the torque sheet says: every joint in working order, with its cautions and why."""

from datetime import datetime

from pinchbolt.paper.job_card.job_card_paper import asked_once, caution_facts, joint_facts
from pinchbolt.paper.paper_facts import head, time_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.stays.promise import promise_of
from pinchbolt.workshop.torque.torque_sheet import sheet_with_order


def torque_sheet_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the torque sheet."""
    found = job_by_id(job)
    told = sheet_with_order(found, local_day(now))
    joints = told.joints
    return {
        **head(worded("Torque sheet"), job, now, [("promised", time_text(promise_of(found).at))]),
        "joints": [joint_facts(joint) for joint in joints],
        "open": asked_once(told.open),
        "order": [reason.words for reason in told.order.reasons],
        "cautions": caution_facts(cautions(found.bike), joints),
    }
