"""What the not-safe sheet says: one sentence to be read from two metres away, and why."""

from datetime import datetime

from pinchbolt.errors import NotPossibleNow
from pinchbolt.paper.paper_facts import head
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet


def not_safe_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the not-safe sheet.

    Raises:
        NotPossibleNow: Nothing says that this bike is not to be ridden.
    """
    found = job_by_id(job)
    seen = handover_sheet(found, now)
    if not seen.unsafe:
        raise NotPossibleNow(
            f"Nothing found on {found.bike.tag} is unsafe to ride: this sheet is for a bike that must not be ridden. "
            "Write the finding down first."
        )
    return {
        **head("Not safe to ride", job, now, []),
        "unsafe": list(seen.unsafe),
        "declined": [f"{line.words} ({line.answered_how})" for line in seen.declined if line.safety],
    }
