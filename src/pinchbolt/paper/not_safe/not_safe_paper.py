"""What the not-safe sheet says: one sentence to be read from two metres away, and why."""

from datetime import datetime

from pinchbolt.errors import NotPossibleNow
from pinchbolt.paper.paper_facts import head, wrapped
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.leaving.handover_sheet import handover_sheet
from pinchbolt.workshop.stays.price import line_words

# What one page holds, to be read from two metres away.
_MOST_REASONS, _MOST_DECLINED, _MOST_LETTERS = 4, 2, 150


def not_safe_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the not-safe sheet.

    Raises:
        NotPossibleNow: Nothing says that this bike is not to be ridden.
    """
    found = job_by_id(job)
    seen = handover_sheet(found, now)
    if not seen.unsafe:
        raise NotPossibleNow(
            worded(
                "Nothing found on {tag} is unsafe to ride: this sheet is for a bike that must not be "
                "ridden. Write the finding down first.",
                tag=found.bike.tag,
            )
        )
    declined = [f"{line_words(line)} ({line.answered_how})" for line in seen.declined if line.safety]
    left = len(seen.unsafe[_MOST_REASONS:]) + len(declined[_MOST_DECLINED:])
    return {
        **head(worded("Not safe to ride"), job, now, []),
        "unsafe": [wrapped(_cut(words)) for words in seen.unsafe[:_MOST_REASONS]],
        "declined": [wrapped(_cut(words)) for words in declined[:_MOST_DECLINED]],
        "more": worded("{left} more on the handover sheet.", left=left) if left else "",
    }


def _cut(words: str) -> str:
    """A reason that fits on the sheet; the whole of it stands on the handover sheet."""
    return words if len(words) <= _MOST_LETTERS else f"{words[:_MOST_LETTERS].rstrip()} …"
