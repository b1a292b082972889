"""What the job card says: work with steps, tools and parts to pull, the torque sheet, the list before the bike leaves."""

from collections.abc import Iterable
from datetime import datetime

from pinchbolt.drawing import bolt_order, torque_window
from pinchbolt.paper.paper_facts import day_text, head, time_text, verdict_facts, wrapped
from pinchbolt.values.tool_words import any_of
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import Where
from pinchbolt.workshop.bikes.cautions import cautions, marking_wins
from pinchbolt.workshop.bikes.opened_joints import JointQuestion
from pinchbolt.workshop.came_up.come_back import followed_by
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.leaving.shop_day import job_view
from pinchbolt.workshop.leaving.sign_off import ItemView, sign_off_list
from pinchbolt.workshop.parts.wanted import ORDERED, WANTED, WRONG, WantedView, wanted_of
from pinchbolt.workshop.stays.hand_on import hands_of
from pinchbolt.workshop.stays.job_card import CardLine, CardPart, job_card
from pinchbolt.workshop.stays.promise import promises_before
from pinchbolt.workshop.torque.done_view import DoneView
from pinchbolt.workshop.torque.torque_sheet import JointView, sheet_with_order

_WINDOW_WIDTH_PT = 150.0
_WINDOW_SIZE_PT = 7.4
# Wide enough that the figures of its bolts are read: four on the small ring, more on the large one.
_RING_PT, _LARGE_RING_PT, _RING_SIZE_PT = 40.0, 54.0, 7.0


def job_card_values(job: int, now: datetime) -> dict[str, object]:
    """Return the values of the job card."""
    found = job_by_id(job)
    seen, card = job_view(found, now), job_card(found)
    told = sheet_with_order(found, local_day(now))
    joints = told.joints
    return {
        **head(
            worded("Job card: CALLED OFF") if seen.state.where is Where.CALLED_OFF else worded("Job card"),
            job,
            now,
            [("promised", time_text(seen.promise)), ("where", seen.state.words), *_before(job)],
        ),
        "promised": time_text(seen.promise) or worded("no day yet"),
        "told": wrapped(found.owner_words),
        "seen": wrapped(" ".join(filter(None, (found.seen_words, found.left_with)))),
        "waits": seen.waits_words,
        "lines": [_line(line) for line in card.lines],
        "minutes": sum(line.minutes for line in card.lines),
        "tools": list(card.tools),
        "parts": [_part(part) for part in card.parts],
        "joints": [joint_facts(joint) for joint in joints],
        "open": asked_once(told.open),
        "order": [reason.words for reason in told.order.reasons],
        "items": [_item(item) for item in sign_off_list(found, now).items],
        "cautions": caution_facts(cautions(found.bike), joints),
    }


def caution_facts(of_bike: Iterable[str], joints: Iterable[JointView]) -> list[str]:
    """Return the cautions of a bike and of its joints, each once; the marking's stands at the foot of every page."""
    at_joints = (words for joint in joints for words in joint.cautions)
    return [words for words in dict.fromkeys((*of_bike, *at_joints)) if words != marking_wins()]


def asked_once(questions: Iterable[JointQuestion]) -> list[str]:
    """Return what is not known, in one sentence for both ends: the paper has no buttons, and room is short."""
    found: dict[str, list[str]] = {}
    for one in questions:
        found.setdefault(one.words.replace(f"({one.part_words})", "({})", 1), []).append(one.part_words)
    return [words.replace("({})", f"({', '.join(parts)})", 1) for words, parts in found.items()]


def _before(job: int) -> list[tuple[str, str]]:
    """Older promises and in whose hands the job was: for the bench alone."""
    found = job_by_id(job)
    promises = "; ".join(time_text(one.at) for one in promises_before(found))
    hands = "; ".join(
        worded("{sender} to {to}, {at}", sender=one.sender, to=one.to, at=time_text(one.at))
        for one in hands_of(found)
    )
    parts = "; ".join(_to_come(one) for one in wanted_of(found) if one.state in (WANTED, ORDERED, WRONG))
    return [
        (worded("promised before"), promises),
        ("handed on", hands),
        (worded("came back"), followed_by(found)),
        (worded("waits for"), wrapped(parts)),
    ]


def _to_come(part: WantedView) -> str:
    """A part that is not here, and the day on which it should be."""
    if part.state == WRONG:
        return (
            worded("{words}: wrong, {said}", words=part.words, said=part.said)
            if part.said
            else worded("{words}: wrong", words=part.words)
        )
    if part.state == WANTED:
        return worded("{words}: to order", words=part.words)
    return (
        worded("{words}: due {due}", words=part.words, due=day_text(part.due))
        if part.due
        else worded("{words}: on order, no day known", words=part.words)
    )


def _line(line: CardLine) -> dict[str, object]:
    return {
        "words": wrapped(_line_words(line)),
        "verdict": verdict_facts(line.verdict),
        "minutes": line.minutes,
        "steps": " ".join(f"{n} {step}." for n, step in enumerate((*line.needs, *line.steps), start=1)),
        "checks": "; ".join(line.checks),
        "caution": line.caution,
        "parts": ", ".join(_part(part) for part in line.parts),
        "done": worded("done by {done_by}, {done_at}", done_by=line.done_by, done_at=time_text(line.done_at))
        if line.done_by
        else "",
    }


def _line_words(line: CardLine) -> str:
    times = f"{line.count} × " if line.count > 1 else ""
    return f"{times}{line.words}{f', {line.place}' if line.place and line.place not in line.words else ''}"


def _part(part: CardPart) -> str:
    return wrapped(f"{part.count} × {part.name}")


def _item(item: ItemView) -> dict[str, object]:
    return {
        "words": item.words,
        "proof": item.proof,
        "second": item.needs_second,
        "met_by": item.met_by,
        "second_by": item.second_by,
    }


def torque_text(torque: float) -> str:
    """Return a torque with at most two decimals and no idle zeros. [N·m]"""
    return f"{torque:.2f}".rstrip("0").rstrip(".")


def hand_text(hand: str) -> str:
    """Return how a thread turns, where it is no plain right-hand thread."""
    if hand == "right":
        return ""
    return worded("left-hand thread") if hand == "left" else worded("thread: {hand}", hand=hand)


def turned_by(joint: JointView) -> str:
    """Return what turns a joint and what holds its other side."""
    head = any_of(joint.drive) + (worded(" (as read)") if joint.head_read else "")
    return (
        worded("{head}, held against by {counter}", head=head, counter=any_of(joint.counter))
        if joint.counter
        else head
    )


def joint_facts(joint: JointView) -> dict[str, object]:
    """Return one joint of the torque sheet, with its window drawn."""
    window, setting, then = joint.window, joint.setting, joint.set_then
    now = torque_text(setting.set) if setting else ""
    return {
        "name": joint.name,
        "count": joint.count,
        "drive": turned_by(joint),
        "hand": hand_text(joint.hand),
        "preparation": joint.preparation.replace("-", " "),
        "pattern": joint.pattern,
        "parts": " + ".join(joint.parts),
        "markings": list(joint.markings),
        "marked": bool(joint.markings),
        "critical": joint.critical == "A",
        "window": worded("{floor} to {cap}", floor=torque_text(window.floor), cap=torque_text(window.cap))
        if window
        else "",
        "drawn": _drawn(joint),
        "order": _order(joint),
        "set": now if then is None else torque_text(then),
        "range": worded(
            "{lowest} to {highest}", lowest=torque_text(setting.lowest), highest=torque_text(setting.highest)
        )
        if setting and then in (None, setting.set)
        else "",
        "gets": worded("{low:.2f} to {high:.2f}", low=setting.applies.low, high=setting.applies.high)
        if setting
        else "",
        "tool": joint.tool_name if then is None or joint.done is None else joint.done.tool,
        "refused": joint.refused,
        "by_hand": joint.by_hand,
        "caution": " ".join(words.rstrip(".") + "." for words in (joint.caution, joint.conflict) if words),
        "by_table": window is not None and window.cap_by.kind != "marking",
        "warnings": [*joint.warnings, *(joint.bolt.warnings if joint.bolt else ())],
        "reasons": [*(reason.words for reason in joint.reasons), *(joint.bolt.words if joint.bolt else ())],
        "done": done_facts(joint.done),
    }


def _order(joint: JointView) -> str:
    """The ring of bolts with their turns and passes; two by turns are said in words, which take less room."""
    if not joint.star:
        return ""
    return bolt_order(
        joint.count,
        passes=joint.passes,
        title=worded("{name}: order of its bolts", name=joint.name),
        width=_RING_PT if joint.count <= 4 else _LARGE_RING_PT,
        size=_RING_SIZE_PT,
        paper=True,
    )


def _drawn(joint: JointView) -> str:
    if joint.window is None:
        return ""
    setting = joint.setting
    return torque_window(
        floor=joint.window.floor,
        cap=joint.window.cap,
        title=joint.name,
        lowest=setting.lowest if setting else None,
        highest=setting.highest if setting else None,
        set_at=joint.set_then or (setting.set if setting else None),
        gets=(setting.applies.low, setting.applies.high) if setting else None,
        width=_WINDOW_WIDTH_PT,
        size=_WINDOW_SIZE_PT,
        paper=True,
        words=False,
    )


def done_facts(done: DoneView | None) -> dict[str, object] | None:
    """Return a done value with who, when and with what, or None."""
    if done is None:
        return None
    return {
        "value": worded("by hand") if done.done is None else torque_text(done.done),
        "by_hand": done.done is None,
        "inside": done.inside,
        "words": done.words,
        "doubt": done.doubt,
        "who": f"{done.by}, {time_text(done.at)}",
        "tool": done.tool,
    }
