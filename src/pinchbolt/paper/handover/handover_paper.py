"""What the handover sheet says: done by whom and when, found, declined, next, and on its back what to check at home."""

from collections.abc import Iterable
from datetime import datetime

from pinchbolt.paper.job_card.job_card_paper import torque_text
from pinchbolt.paper.paper_facts import day_text, head, money, time_text, verdict_facts, wrapped
from pinchbolt.values import Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id, terms
from pinchbolt.workshop.acts.shop_words import shop_words
from pinchbolt.workshop.bikes.cautions import cautions
from pinchbolt.workshop.leaving.before_it_leaves import is_read_out
from pinchbolt.workshop.leaving.bill import TakenOff, standing_bill, taken_off
from pinchbolt.workshop.leaving.hand_over import HandedOver, handed_over
from pinchbolt.workshop.leaving.handover_sheet import Done, HandoverView, handover_sheet
from pinchbolt.workshop.stays.note_finding import FindingView
from pinchbolt.workshop.stays.price import LineView, line_words
from pinchbolt.workshop.stays.what_next import what_next
from pinchbolt.workshop.torque.torque_sheet import JointView

# More than these, and the front is no longer one page: fewer where many lines were done.
_MOST_FINDINGS, _MOST_BESIDE_MANY, _MANY = 6, 4, 12
_NOT_KNOWN = (
    worded("Readings and torques are of the day printed here. What loosens or cracks later is not on it."),
    worded("Nobody can see inside a frame, fork or motor, or under paint and tape."),
    worded(
        "A mechanic judged this bike; the software only reminds. Markings on parts and their "
        "makers come first."
    ),
)

MOST_LEFT = 5
"""Looks not taken that the sheet names, the dearest first; the rest is counted."""


def handover_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the handover sheet."""
    found = job_by_id(job)
    seen = handover_sheet(found, now)
    open_findings = [
        one for one in seen.findings if one.rank > Verdict.SOUND.rank and one.id not in seen.answered
    ]
    lines = {line.id: line for line in seen.priced.lines}
    bill, to_pay = standing_bill(found), seen.priced.to_pay
    most = _MOST_FINDINGS if len(seen.work) <= _MANY else _MOST_BESIDE_MANY
    shown, more = open_findings[:most], len(open_findings[most:])
    return {
        **head(
            "Handover",
            job,
            now,
            [("signed off", _who(seen.signed)), ("left", _who(seen.left)), *_taken_by(handed_over(found))],
        ),
        "unsafe": [wrapped(words) for words in seen.unsafe],
        "not_signed": seen.signed is None,
        "work": [_work(done, lines[done.line]) for done in seen.work],
        "off": [_off(one) for one in taken_off(seen.priced)],
        "to_pay": money(to_pay.total),
        "tax": worded("{money} tax included", money=money(to_pay.tax)) if to_pay.taxes else "",
        "bill": bill.number if bill is not None else "",
        "not_done": [f"{wrapped(line_words(line))}: {wrapped(line.reason)}" for line in seen.not_done],
        "joints": [_joint(joint) for joint in seen.joints if joint.critical == "A"],
        "listed": _listed(seen),
        "findings": [_finding(one) for one in shown],
        "more_findings": more,
        "sound": ", ".join(
            sorted({one.part_words for one in seen.findings if one.rank == Verdict.SOUND.rank})
        ),
        "declined_safety": [
            _declined(line) for line in seen.declined if is_read_out(line.safety, line.verdict)
        ],
        "declined": [
            _left(line, seen.findings) for line in seen.declined if not is_read_out(line.safety, line.verdict)
        ],
        "next": {"day": day_text(seen.next_due.day), "reason": seen.next_due.reason}
        if seen.next_due
        else None,
        "home": [
            {"n": row.number, "words": row.words, "stop": row.stop, "every": row.every}
            for row in seen.home_checks
        ],
        "cautions": list(cautions(found.bike)[1:]),
        "not_known": list(_NOT_KNOWN),
        "not_read": "; ".join(seen.not_read),
        "complaints": [wrapped(one.sentence) for one in seen.complaints],
        "looked": seen.looked.sentence,
        "not_looked_at": "; ".join(seen.looked.left[:MOST_LEFT]),
        "more_left": max(len(seen.looked.left) - MOST_LEFT, 0),
        "left_unseen": [wrapped(words) for words in seen.left_unseen],
        "not_seen": " ".join(one.sentence for one in seen.not_seen if not one.safety),
        "left_with": wrapped(found.left_with),
        "ring": terms().name,
        "shop_words": wrapped(" ".join(filter(None, (shop_words("warranty"), shop_words("storage"))))),
    }


def _work(done: Done, line: LineView) -> dict[str, object]:
    return {
        "words": wrapped(done.words),
        "by": f"{done.by}, {time_text(done.at)}",
        "price": money(line.money.price),
    }


def _off(one: TakenOff) -> dict[str, object]:
    return {"words": wrapped(one.words), "amount": money(-one.amount)}


def _joint(joint: JointView) -> str:
    if joint.done is None:
        return worded("{name} not done", name=joint.name)
    done = worded("by hand") if joint.done.done is None else torque_text(joint.done.done)
    return f"{joint.name} {done}{('' if joint.done.inside else worded(' (outside)'))}"


def _finding(one: FindingView) -> dict[str, object]:
    """One sentence, and by when it is wanted."""
    wanted = what_next(one)
    words = f"{one.title}. {one.words}" if one.title not in one.words else one.words
    by_when = f" {wanted.words[:1].upper()}{wanted.words[1:]}." if wanted.day else ""
    return {"title": one.title, "verdict": verdict_facts(one.verdict), "words": wrapped(f"{words}{by_when}")}


def _listed(seen: HandoverView) -> str:
    """The safety list in one sentence: how much of it, by whom, and who looked again."""
    met = [item for item in seen.items if item.met_by]
    if not met:
        return ""
    first = ", ".join(sorted({item.met_by for item in met}))
    words = [
        worded(
            "{met} of the {items} items of this bike's safety list checked by {first}",
            met=len(met),
            items=len(seen.items),
            first=first,
        )
    ]
    by_other = [item for item in met if item.second_by and not item.alone]
    if by_other:
        second = ", ".join(sorted({item.second_by for item in by_other}))
        words.append(
            worded("a second look at {by_other} of them by {second}", by_other=len(by_other), second=second)
        )
    alone = sum(item.alone for item in met)
    if alone:
        words.append(
            worded(
                "{alone} checked again by the same person after a break: nobody else looked at them",
                alone=alone,
            )
        )
    return f"{'; '.join(words)}."


def _taken_by(ended: HandedOver | None) -> list[tuple[str, str]]:
    """Who took the bike, where it was not the owner."""
    if ended is None or not ended.taken_by:
        return []
    return [(worded("taken by"), ", ".join(filter(None, (ended.taken_by, ended.how_known))))]


def _who(done: Done | None) -> str:
    return f"{done.by}, {time_text(done.at)}" if done else ""


def _left(line: LineView, findings: Iterable[FindingView]) -> str:
    """A line left for later, its price, and the day by which what was found asks for it."""
    found = next((one for one in findings if one.id == line.finding), None)
    wanted = what_next(found) if found is not None else None
    by_when = f": {wanted.words}" if wanted is not None and wanted.day is not None else ""
    return f"{wrapped(line_words(line))}, {money(line.money.price)}{by_when}"


def _declined(line: LineView) -> dict[str, object]:
    return {
        "words": wrapped(line_words(line)),
        "finding": wrapped(line.finding_words or line.verdict),
        "how": ", ".join(filter(None, (line.answered_how, line.said_by, time_text(line.answered_at)))),
        "price": money(line.money.price),
    }
