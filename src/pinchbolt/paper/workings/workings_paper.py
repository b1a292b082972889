"""What the workings say: each finding with its wear rule and reasons, each line's price, and why each joint is set as it is."""

from datetime import datetime

from pinchbolt.paper.job_card.job_card_paper import joint_facts
from pinchbolt.paper.paper_facts import finding_facts, head, wrapped
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.stays.note_finding import findings_of
from pinchbolt.workshop.stays.price import estimate, line_words
from pinchbolt.workshop.torque.torque_sheet import sheet_with_order


def workings_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the workings."""
    found = job_by_id(job)
    priced, told = estimate(found, local_day(now)), sheet_with_order(found, local_day(now))
    return {
        **head(worded("How it was worked out"), job, now, []),
        "findings": [finding_facts(seen) for seen in findings_of(found) if seen.rank > Verdict.SOUND.rank],
        "lines": [
            {
                "words": wrapped(line_words(line)),
                "reasons": [
                    wrapped(words)
                    for words in dict.fromkeys(
                        (*(reason.words for reason in line.money.reasons), *line.waiting_reasons)
                    )
                ],
            }
            for line in priced.lines
        ],
        "whole": [reason.words for reason in priced.priced.reasons],
        "joints": [facts for joint in told.joints if (facts := joint_facts(joint))["reasons"]],
        # What is closed by hand has no setting, and no order that spares one.
        "order": [reason.words for reason in told.order.reasons] if told.order.settings else [],
    }
