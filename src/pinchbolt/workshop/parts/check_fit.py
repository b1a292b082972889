"""Does it fit: one rule with what is known, or the whole build of a bike."""

from collections.abc import Collection

from pinchbolt.engines.fit import BuildVerdict, FitVerdict, check_build, run_rule
from pinchbolt.values import Json
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.bikes.build_sheet import facts_of_bike
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables


def fit_rule(rule: str, given: Json) -> FitVerdict:
    """Return what one fit rule says about the parts in *given*.

    Raises:
        NotFound: No rule of that id.
        InputRefused: A value out of any sense, or an input that the rule does not ask for.
    """
    return run_rule(rule, given, tables())


def fit_bike(tag: str, changes: Json | None = None) -> BuildVerdict:
    """Return what the fit rules say about a bike as it is, or with *changes* to its facts.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: A value out of any sense.
    """
    build = {**facts_of_bike(bike_by_tag(tag)), **(changes or {})}
    changed: Collection[str] | None = list(changes) if changes else None
    return check_build(build, tables(), changed)


def rule_json(found: FitVerdict) -> Json:
    """Return a rule's answer as plain values, under the names that every door uses."""
    return {
        "rule": found.rule,
        "name": found.name,
        "place": found.place,
        "verdict": found.verdict.value,
        "with": list(found.with_items),
        "because": found.because or found.reasons[0].words,
        "value": as_json(found.value),
        "missing": list(found.missing),
        "ask": list(found.ask),
        "reasons": as_json(found.reasons),
    }


def build_json(found: BuildVerdict) -> Json:
    """Return a whole build's answer as plain values, every check as `rule_json` says it."""
    return {
        "verdict": found.verdict.value,
        "checks": [rule_json(check) for check in found.checks],
        "cannot_tell": list(found.cannot_tell),
        "shopping": list(found.shopping),
    }
