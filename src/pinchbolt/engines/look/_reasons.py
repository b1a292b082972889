"""Why a look is in: the factor without which it would be worth least, in one plain line."""

from typing import TYPE_CHECKING

from pinchbolt.engines.look.look_types import Look, LookFault
from pinchbolt.values.ahead import chance_words, often_words
from pinchbolt.values.wording import worded

if TYPE_CHECKING:
    from pinchbolt.engines.look._belief import Chances, LookBelief

_CAUSE_LEAST, _RISEN, _OWN_LEAST = 0.05, 1.5, 1.3
_SAFETY = 8.0  # harm from which a bike is unsafe to ride


def reason_of(belief: "LookBelief", now: "Chances", look: Look, rule: str) -> str:
    """The one line of a look: its main fault, how likely, and what speaks for it."""
    sheet = belief.sheet
    names = sorted(look.sees, key=lambda name: -_weight(belief, now, look, name))
    fault = sheet.faults[sheet.fault_at[names[0]]]
    number = sheet.fault_at[fault.id]
    chance = float(now.fault[number])
    cause = sum(float(now.cause[sheet.fault_at[name]]) * seen for name, seen in look.sees.items())
    start = float(belief.at_start[number]) if belief.at_start is not None else chance
    if fault.id in belief.found:
        return worded("{words}: found already; this settles how far", words=fault.words)
    if cause >= _CAUSE_LEAST and (rule == "complaint" or cause > chance / 2):
        told = worded(" and ").join(one.words for one in sheet.complaints)
        return f"{told}: {chance_words(cause, worded('the cause'))}"
    if chance > _RISEN * start and belief.found:
        since = _because(belief, fault)
        return worded("{words}: likelier now{since}", words=fault.words, since=since)
    if fault.forecast is not None:
        past = fault.of_forecast or worded("past its limit")
        return f"{fault.words}: {chance_words(chance, past) or worded('hardly {past}', past=past)}"
    if start > _OWN_LEAST * fault.chance and sheet.past.said:
        return worded(
            "{words}: {said}, {chance} on such bikes",
            words=fault.words,
            said=sheet.past.said,
            chance=often_words(chance),
        )
    if rule == "core":
        return worded("always looked at; {words}: {chance}", words=fault.words, chance=often_words(chance))
    if fault.harm >= _SAFETY:
        return worded("{words}: {chance}, but unsafe to ride", words=fault.words, chance=often_words(chance))
    return worded("{words}: {chance} on such bikes", words=fault.words, chance=often_words(chance))


def _weight(belief: "LookBelief", now: "Chances", look: Look, name: str) -> float:
    number = belief.sheet.fault_at[name]
    return float(now.fault[number]) * look.sees[name] * belief.sheet.faults[number].worth


def _because(belief: "LookBelief", fault: LookFault) -> str:
    parent = belief.sheet.fault_at.get(fault.goes_with)
    if parent is not None and fault.goes_with in belief.found:
        return worded(", since {words}", words=belief.sheet.faults[parent].words)
    return worded(", since more was found on this bike")
