"""What people call the inputs of a rule and their values: phrases that count whole, and words that only hint."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import sqrt

from pinchbolt.engines.fit._fit_words import is_number
from pinchbolt.engines.fit._inputs import RuleInput, asked
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, text_of
from pinchbolt.engines.fit._tokens import texts_of

# Fields of rows whose figure is what people say: 142 of a hub, 110 of a crank, 24 of a spindle.
_FIGURES = ("spacing", "diameter", "circle", "bore")
# Words of an input's name that tell nothing of the part.
_NO_NOUN = frozenset(
    "kind size whether diameter number width made figure marked allow greatest least give own sold up end taken mount".split()
)


@dataclass(frozen=True, slots=True)
class SaidValue:
    """One value of an input, with the phrases that mean it (all their words must be said) and the words that hint at it.

    `only`: it is meant only where one of these phrases is said, as nobody means the Italian cassette by "a cassette".
    """

    value: object
    phrases: tuple[frozenset[str], ...]
    hints: frozenset[str]
    only: tuple[frozenset[str], ...] = ()


@dataclass(frozen=True, slots=True)
class RuleSayings:
    """A rule as it is spoken of: each input's values, its nouns with their weight and the first of them, and words of the rule.

    `meant_by`: for each word, the places in `values` of those that it may mean or hint at.
    """

    wants: Mapping[str, RuleInput]
    needs: tuple[str, ...]
    values: Mapping[str, tuple[SaidValue, ...]]
    meant_by: Mapping[str, Mapping[str, tuple[int, ...]]]
    nouns: Mapping[str, Mapping[str, float]]
    first_nouns: Mapping[str, frozenset[str]]
    topic: frozenset[str]
    asked: tuple[frozenset[str], ...]


def sayings_of(rule: object, view: FitTables) -> RuleSayings:
    """How a rule's inputs and values are spoken of."""
    key = ("sayings", text_of(rule, "id"))
    kept = view.kept.get(key)
    if kept is None:
        kept = view.kept[key] = _of_rule(rule, view)
    return kept  # type: ignore[return-value]


def vocabulary(view: FitTables) -> frozenset[str]:
    """Every word that some rule knows."""
    key = ("sayings", "")
    kept = view.kept.get(key)
    if kept is None:
        kept = view.kept[key] = frozenset(
            word for rule in view.rules() for word in words_known(sayings_of(rule, view))
        )
    return kept  # type: ignore[return-value]


def words_known(one: RuleSayings) -> Iterator[str]:
    """Every word that a rule knows, some more than once."""
    yield from one.topic
    for nouns in one.nouns.values():
        yield from nouns
    for sayings in one.values.values():
        for saying in sayings:
            yield from saying.hints
            for phrase in saying.phrases:
                yield from phrase


def _of_rule(rule: object, view: FitTables) -> RuleSayings:
    wants = asked(rule, view)
    told = field_of(rule, "inputs")
    rows = told if isinstance(told, Mapping) else {}
    called = {name: field_of(rows.get(name), "called") for name in wants}
    names = {
        name: _words([want.name]) - _NO_NOUN
        if called[name] is None
        else _words(map(str, items_of(called[name])))
        for name, want in wants.items()
    }
    needs = [str(name) for name in items_of(field_of(rule, "needs"))]
    nouns = {
        name: {
            word: 1.0 / sqrt(sum(word in names[other] for other in {*needs, name})) for word in names[name]
        }
        for name in wants
    }
    every = frozenset(word for own in nouns.values() for word in own)
    phrases = [text_of(rule, "name"), *(str(one) for one in items_of(field_of(rule, "asked")))]
    topic = _words(phrases)
    # A word that names an input hints at no value of another one.
    values = {
        name: tuple(replace(one, hints=one.hints - every) for one in values_said(want, view))
        for name, want in wants.items()
    }
    return RuleSayings(
        wants,
        tuple(needs),
        values,
        {name: _meant_by(sayings) for name, sayings in values.items()},
        nouns,
        {name: _words(map(str, items_of(told_nouns)[:1])) for name, told_nouns in called.items()},
        topic,
        tuple(frozenset(texts_of(one)) for one in phrases),
    )


def _meant_by(sayings: Iterable[SaidValue]) -> dict[str, tuple[int, ...]]:
    found: dict[str, dict[int, None]] = {}
    for place, saying in enumerate(sayings):
        for word in saying.hints.union(*saying.phrases):
            found.setdefault(word, {})[place] = None
    return {word: tuple(places) for word, places in found.items()}


def _words(texts: Iterable[str]) -> frozenset[str]:
    return frozenset(word for text in texts for word in texts_of(text))


def values_said(want: RuleInput, view: FitTables) -> tuple[SaidValue, ...]:
    """What each value of an input is called."""
    spoken = _spoken(view)
    if want.kind == "flag":
        return tuple(
            SaidValue(value, tuple(spoken.get((want.input, word), ())), frozenset())
            for value, word in ((True, "yes"), (False, "no"))
        )
    if want.kind in ("number", "whole"):
        return (
            tuple(_of_row(field_of(row, want.field), row, want, view) for row in view.rows(want.table))
            if want.table
            else ()
        )
    if want.kind not in ("of", "one_of"):
        return ()
    rows: dict[object, object] = {}
    for row in view.rows(want.table) if want.table else ():
        rows.setdefault(field_of(row, want.field), row)
    named = {text_of(row, "id"): row for row in view.rows(want.named)} if want.named else {}
    return tuple(_of_row(value, named.get(str(value), rows.get(value)), want, view) for value in want.allowed)


def _spoken(view: FitTables, field: str = "said") -> Mapping[tuple[str, str], tuple[frozenset[str], ...]]:
    key = ("sayings of", field)
    kept = view.kept.get(key)
    if kept is None:
        kept = view.kept[key] = {
            (text_of(row, "of"), text_of(row, "code")): tuple(
                frozenset(texts_of(str(one))) for one in items_of(field_of(row, field))
            )
            for row in view.rows("spoken")
        }
    return kept  # type: ignore[return-value]


def _of_row(value: object, row: object, want: RuleInput, view: FitTables) -> SaidValue:
    spoken, only = _spoken(view), _spoken(view, "only")
    code = f"{value:g}" if is_number(value) else str(value)
    own = [
        frozenset(texts_of(one))
        for one in (
            code,
            text_of(row, "id"),
            text_of(row, "hold"),
            *_parts(text_of(row, "trade_name")),
            *_names(row),
        )
    ]
    own += [frozenset((figure,)) for figure in _figures(row)]
    for of in filter(None, (want.table, want.input, want.named)):
        own += spoken.get((of, code), ())
        own += spoken.get((of, text_of(row, "id")), ())
    phrases = tuple(dict.fromkeys(phrase for phrase in own if phrase))
    hints = _words([text_of(row, "plain")]) if row is not None else frozenset()
    return SaidValue(value, phrases, hints, only.get((want.table, code), ()))


def _parts(text: str) -> list[str]:
    return [piece for piece in text.replace("(", ",").replace(")", ",").split(",") if piece.strip()]


def _names(row: object) -> Iterator[str]:
    for told in items_of(field_of(row, "names")):
        yield from _parts(str(told))


def _figures(row: object) -> Iterator[str]:
    if row is None:
        return
    for name in _FIGURES:
        if is_number(figure := field_of(row, name)):
            yield f"{figure:g}"
    if is_number(arms := field_of(row, "arms")):
        yield f"{arms:g}arm"
    counts = field_of(row, "speeds")
    spans = field_of(row, "drives")
    for count in (*items_of(counts), *(spans if isinstance(spans, Mapping) else ())):
        yield f"{count}speed"
    spacing, diameter = field_of(row, "spacing"), field_of(row, "diameter")
    if is_number(spacing) and is_number(diameter):
        yield from (f"{spacing:g}x{diameter:g}", f"{diameter:g}x{spacing:g}")
