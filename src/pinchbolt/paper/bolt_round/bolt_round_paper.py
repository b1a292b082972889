"""What the bolt round says on paper: joints in working order with driver, tool and setting, and boxes to tick."""

from datetime import datetime

from pinchbolt.paper.job_card.job_card_paper import caution_facts, hand_text, torque_text
from pinchbolt.paper.paper_facts import bike_head, day_text, time_text
from pinchbolt.values.tool_words import any_of
from pinchbolt.values.wording import worded
from pinchbolt.workshop.torque.bolt_round import ROUNDS, RoundJoint, RoundView, TickView, bolt_round


def bolt_round_values(tag: str, which: str, now: datetime) -> dict[str, object]:
    """Return the values of a bike's bolt round."""
    seen: RoundView = bolt_round(tag, which, now)
    return {
        **bike_head(worded("Bolt round"), seen.tag, now, [("joints", ROUNDS[seen.which])]),
        "joints": [_joint(one) for one in seen.joints],
        "warnings": list(seen.warnings),
        "open": [one.words for one in seen.open],
        "cautions": caution_facts(seen.cautions, [one.joint for one in seen.joints]),
    }


def _joint(one: RoundJoint) -> dict[str, object]:
    seen = one.joint
    return {
        "name": seen.name,
        "count": seen.count,
        "drive": any_of(seen.drive),
        "hand": hand_text(seen.hand),
        "critical": seen.critical == "A",
        "set": torque_text(seen.setting.set) if seen.setting else "",
        "tool": seen.tool_name,
        "by_hand": seen.by_hand,
        "refused": "" if seen.setting or seen.by_hand else seen.refused,
        "warnings": list(one.warnings),
        "term": _term(one),
        "last": worded("last {last}", last=day_text(one.last)) if one.last else worded("not checked yet"),
        "due": one.is_due,
        "tick": _tick(one.tick),
    }


def _term(one: RoundJoint) -> str:
    months = (
        worded("every {recheck_months} months", recheck_months=one.recheck_months)
        if one.recheck_months > 1
        else worded("every month")
    )
    return (
        worded("{months}, first after {first_km} km", months=months, first_km=one.first_km)
        if one.first_km
        else months
    )


def _tick(tick: TickView | None) -> dict[str, object] | None:
    if tick is None:
        return None
    return {
        "held": tick.held,
        "done": "" if tick.done is None else torque_text(tick.done),
        "inside": tick.inside,
        "who": f"{tick.by}, {time_text(tick.at)}",
    }
