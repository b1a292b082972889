"""Why a look is in: the factor without which it would be worth least, in one plain line."""

from typing import TYPE_CHECKING

from pinchbolt.engines.look.look_types import Look, LookFault

if TYPE_CHECKING:
    from pinchbolt.engines.look._belief import Chances, LookBelief

_IN_TEN, _ONE_IN = 0.15, 0.045
_CAUSE_LEAST, _RISEN, _OWN_LEAST = 0.05, 1.5, 1.3
_SAFETY = 8.0  # harm from which a bike is unsafe to ride


def chance_words(chance: float) -> str:
    """Return a chance as a mechanic says it: never a percentage.

    Args:
        chance: The chance. [-]

    Returns:
        Words: "3 in 10", "1 in 12", "seldom, 1 in 90". [-]

    Source: common practice, no source.

    Example:
        >>> chance_words(0.31), chance_words(0.08), chance_words(0.011)
        ('3 in 10', '1 in 12', 'seldom, 1 in 90')
    """
    if chance >= _IN_TEN:
        tenths = round(10 * chance)
        return f"{tenths} in 10" if tenths < 10 else "nearly sure"
    if chance >= _ONE_IN:
        return f"1 in {round(1 / chance)}"
    times = 1 / max(chance, 1e-4)
    step = 10 if times < 200 else 100
    return f"seldom, 1 in {step * max(round(times / step), 1):,}"


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
        return f"{fault.words}: found already; this settles how far"
    if cause >= _CAUSE_LEAST and (rule == "complaint" or cause > chance / 2):
        told = " and ".join(one.words for one in sheet.complaints)
        return f"{told}: the cause here in {chance_words(cause)}"
    if chance > _RISEN * start and belief.found:
        since = _because(belief, fault)
        return f"{fault.words}: now {chance_words(chance)}, before {chance_words(start)}{since}"
    if fault.forecast is not None:
        return f"{fault.words}: {chance_words(chance)} {fault.of_forecast or 'by its own readings'}"
    if start > _OWN_LEAST * fault.chance and sheet.past.said:
        return f"{fault.words}: {sheet.past.said}, {chance_words(chance)} of such bikes"
    if rule == "core":
        return f"always on such a bike; {fault.words}: {chance_words(chance)}"
    if fault.harm >= _SAFETY:
        return f"{fault.words}: {chance_words(chance)}, but unsafe to ride"
    return f"{fault.words}: {chance_words(chance)} of such bikes"


def _weight(belief: "LookBelief", now: "Chances", look: Look, name: str) -> float:
    number = belief.sheet.fault_at[name]
    return float(now.fault[number]) * look.sees[name] * belief.sheet.faults[number].worth


def _because(belief: "LookBelief", fault: LookFault) -> str:
    parent = belief.sheet.fault_at.get(fault.goes_with)
    if parent is not None and fault.goes_with in belief.found:
        return f", since {belief.sheet.faults[parent].words}"
    return ", since more was found on this bike"
