"""Facts of a build as people speak of them: the nouns of each, and the value that was said."""

from collections.abc import Mapping, Sequence

from pinchbolt.engines.fit._build import places_of
from pinchbolt.engines.fit._inputs import RuleInput
from pinchbolt.engines.fit._sayings import sayings_of, values_said, vocabulary
from pinchbolt.engines.fit._segments import figure_said
from pinchbolt.engines.fit._spoken import is_figure
from pinchbolt.engines.fit._tables import FitTables
from pinchbolt.engines.fit._tokens import tokens_of
from pinchbolt.engines.fit.fit_types import Question


def value_of_fact(question: Question, pieces: Sequence[str], view: FitTables) -> str:
    """The value that was said, as the planner's language writes it; empty where none was."""
    want, _ = asked_of_fact(view).get(question.fact, (None, frozenset()))
    if question.kind == "flag":
        return "false" if {"no", "not", "without", "hookless"} & set(pieces) else "true"
    if want is None:
        low, high = (float(str(end)) for end in question.allowed)
        return next((piece for piece in pieces if is_figure(piece) and low <= float(piece) <= high), "")
    tokens = tokens_of(" ".join(pieces), vocabulary(view))
    said = frozenset(token.text for token in tokens)
    covered = {
        one.value: len(frozenset().union(*(phrase for phrase in one.phrases if phrase <= said)))
        for one in values_said(want, view)
        if not one.only or any(phrase <= said for phrase in one.only)
    }
    best = max(covered.values(), default=0)
    if best:
        value = next(value for value, count in covered.items() if count == best)
        return f'"{value}"' if isinstance(value, str) else f"{value:g}"
    figures = [figure_said(token, want) for token in tokens if token.figure is not None]
    return next((f"{figure:g}" for figure in figures if isinstance(figure, int | float)), "")


def asked_of_fact(view: FitTables) -> Mapping[str, tuple[RuleInput, frozenset[str]]]:
    """For each fact of a build the input by which it is asked first, and the nouns by which people speak of that."""
    key = ("wants", "")
    kept = view.kept.get(key)
    if kept is None:
        found: dict[str, tuple[RuleInput, frozenset[str]]] = {}
        for place in places_of(view):
            spoken = sayings_of(place.rule, view)
            for name, ways in place.inputs.items():
                for way in ways:
                    if name in spoken.wants:
                        found.setdefault(
                            way.text.strip(), (spoken.wants[name], frozenset(spoken.nouns[name]))
                        )
        kept = view.kept[key] = found
    return kept  # type: ignore[return-value]
