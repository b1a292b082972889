"""What the handover sheet says: done by whom and when, found, declined, next, and on its back what to check at home."""

from datetime import datetime

from pinchbolt.paper.job_card.job_card_paper import joint_facts
from pinchbolt.paper.paper_facts import day_text, finding_facts, head, money, time_text, verdict_facts
from pinchbolt.values import Verdict
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.leaving.handover_sheet import Done, HandoverView, handover_sheet
from pinchbolt.workshop.stays.price import LineView

_NOT_KNOWN = (
    "Readings and torques are those of the day printed here; what loosens or cracks afterwards is not on it.",
    "No eye and no gauge reaches inside a frame, a fork or a motor, or under paint and tape.",
    "Forecasts speak of parts like these and of riding as told; another road, winter or rider moves them.",
    "The software works out and reminds; the mechanic named here judged, and the parts' markings and makers win.",
)


def handover_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the handover sheet."""
    found = job_by_id(job)
    seen = handover_sheet(found, now)
    open_findings = [
        one for one in seen.findings if one.rank > Verdict.SOUND.rank and one.id not in seen.answered
    ]
    return {
        **head("Handover", job, now, [("signed off", _who(seen.signed)), ("left", _who(seen.left))]),
        "unsafe": list(seen.unsafe),
        "not_signed": seen.signed is None,
        "work": [{"words": done.words, "by": done.by, "at": time_text(done.at)} for done in seen.work],
        "agreed": money(seen.priced.agreed.total) if seen.work else "",
        "tax": money(seen.priced.agreed.tax),
        "joints": [joint_facts(joint) for joint in seen.joints],
        "items": [
            {"words": item.words, "by": item.met_by, "second": item.second_by}
            for item in seen.items
            if item.met_by
        ],
        "listed": _listed(seen),
        "findings": [finding_facts(one) for one in open_findings],
        "sound": sorted({one.part_words for one in seen.findings if one.rank == Verdict.SOUND.rank}),
        "sound_mark": verdict_facts(Verdict.SOUND)["mark"],
        "declined_safety": [_declined(line) for line in seen.declined if line.safety],
        "declined": [_declined(line) for line in seen.declined if not line.safety],
        "next": {"day": day_text(seen.next_due.day), "reason": seen.next_due.reason}
        if seen.next_due
        else None,
        "home": [
            {"n": row.number, "words": row.words, "stop": row.stop, "every": row.every}
            for row in seen.home_checks
        ],
        "cautions": list(cautions(found.bike)[1:]),
        "not_known": list(_NOT_KNOWN),
        "not_read": list(seen.not_read),
        "left_with": found.left_with,
        "ring": terms().name,
    }


def _listed(seen: HandoverView) -> str:
    """The safety list in one sentence: how much of it, by whom, and who looked again."""
    met = [item for item in seen.items if item.met_by]
    again = [item for item in met if item.second_by]
    if not met:
        return ""
    first = ", ".join(sorted({item.met_by for item in met}))
    second = ", ".join(sorted({item.second_by for item in again}))
    words = f"{len(met)} of the {len(seen.items)} items of this bike's safety list met, seen by {first}"
    return f"{words}; a second look at {len(again)} of them by {second}." if again else f"{words}."


def _who(done: Done | None) -> str:
    return f"{done.by}, {time_text(done.at)}" if done else ""


def _declined(line: LineView) -> dict[str, object]:
    return {
        "words": line.words,
        "finding": line.finding_words or line.verdict,
        "verdict": verdict_facts(line.verdict),
        "how": line.answered_how,
        "price": money(line.money.total),
    }
