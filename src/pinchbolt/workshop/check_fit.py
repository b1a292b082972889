"""Does it fit: one rule with what is known, or the whole build of a bike."""

from collections.abc import Collection, Mapping

from pinchbolt.engines.fit import BuildVerdict, FitVerdict, check_build, run_rule
from pinchbolt.workshop.looking_up import bike_by_tag, tables


def fit_rule(rule: str, given: Mapping[str, object]) -> FitVerdict:
    """Return what one fit rule says about the parts in *given*.

    Raises:
        NotFound: No rule of that id.
        InputRefused: A value out of any sense, or an input that the rule does not ask for.
    """
    return run_rule(rule, given, tables())


def fit_bike(tag: str, changes: Mapping[str, object] | None = None) -> BuildVerdict:
    """Return what the fit rules say about a bike as it is, or with *changes* to its facts.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: A value out of any sense.
    """
    build = {**bike_by_tag(tag).facts, **(changes or {})}
    changed: Collection[str] | None = list(changes) if changes else None
    return check_build(build, tables(), changed)
