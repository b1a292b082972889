"""What one fit rule says, and the answers of the fit rules as plain values; opens no record."""

from pinchbolt.engines.fit import BuildVerdict, FitVerdict, run_rule
from pinchbolt.values import Json
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import fit_tables


def fit_rule(rule: str, given: Json) -> FitVerdict:
    """Return what one fit rule says about the parts in *given*.

    Raises:
        NotFound: No rule of that id.
        InputRefused: A value out of any sense, or an input that the rule does not ask for.
    """
    return run_rule(rule, given, fit_tables())


def rule_json(found: FitVerdict) -> Json:
    """Return a rule's answer as plain values, under the names that every door uses."""
    return {
        "rule": found.rule,
        "name": found.name,
        "place": found.place,
        "verdict": found.verdict.value,
        "with": list(found.with_items),
        "because": found.because,
        "value": as_json(found.value),
        "missing": list(found.missing),
        "ask": list(found.ask),
        "reasons": as_json(found.reasons),
    }


def build_json(found: BuildVerdict) -> Json:
    """Return a whole build's answer as plain values, every check as `rule_json` says it."""
    count = len(found.cannot_tell)
    return {
        "verdict": found.verdict.value,
        # A misfit leads, and what nobody has looked at stays out of its way.
        "known_verdict": found.known.value,
        "not_known": worded(
            "{count} {facts} of other parts {are} not known.",
            count=count,
            facts=worded("fact") if count == 1 else worded("facts"),
            are=worded("is") if count == 1 else worded("are"),
        )
        if count
        else "",
        "as_before": _as_before(found),
        "checks": [rule_json(check) for check in found.checks],
        "cannot_tell": list(found.cannot_tell),
        "shopping": list(found.shopping),
    }


def _as_before(found: BuildVerdict) -> str:
    """One line on the doubts that a swap did not bring."""
    told = [f"{check.name} ({check.place})" if check.place else check.name for check in found.as_before]
    return (
        worded("As it was before, and not known then either: {told}.", told=", ".join(told)) if told else ""
    )
