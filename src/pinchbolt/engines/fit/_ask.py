"""A question in words: which rule it is about, which rows and figures were meant, and what the rule says of each reading."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product

from pinchbolt.engines.fit._heard import MeantInput, row_said
from pinchbolt.engines.fit._inputs import RuleInput, asked, in_words
from pinchbolt.engines.fit._open import WouldFit, what_would_fit
from pinchbolt.engines.fit._rule import run_rule
from pinchbolt.engines.fit._sayings import RuleSayings, sayings_of, vocabulary, words_known
from pinchbolt.engines.fit._segments import Cut, best_cut
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, text_of, view_of
from pinchbolt.engines.fit._tokens import SaidWord, in_mm, tokens_of
from pinchbolt.engines.fit.fit_types import FitVerdict, FitWord
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

MOST_RULES, MOST_READINGS, MOST_TRIED = 5, 8, 48
# What being told two of the things that it needs is worth to a rule, and how near to the first the others must come.
_TOLD, _NEAR = 0.8, 1.2


@dataclass(frozen=True, slots=True)
class FitReading:
    """One way to understand the question, and what the rule says of it."""

    meant: tuple[MeantInput, ...]
    verdict: FitVerdict


@dataclass(frozen=True, slots=True)
class RuleAsked:
    """A rule that the question may be about: its readings, in words what it still needs, what would fit there, and
    the words that went into no answer."""

    rule: str
    name: str
    words: str
    readings: tuple[FitReading, ...]
    needs: tuple[str, ...]
    open: tuple[WouldFit, ...] = ()
    not_heard: tuple[str, ...] = ()


def ask_in_words(words: str, tables: object) -> tuple[RuleAsked, ...]:
    """Return the rules that a question in words may be about, likeliest first, each with what it says.

    The question is cut into pieces that speak of one input each; the rule whose cut leaves the least unexplained is meant.
    What several rows may be is answered for each; what was left open is answered with what would fit.

    Args:
        words: As it is asked: "11 speed cassette on 10 speed body". [-]
        tables: As for `run_rule`. [-]

    Returns:
        At most five rules; the readings of each, at most eight. [-]

    Raises:
        InputRefused: Nothing was asked, or no word of it stands in any rule.

    Valid for: English words of the trade. It guesses what was meant and says so; the rule itself guesses nothing.

    Example:
        >>> found = ask_in_words("27.2 seat post in a 31.6 frame", tables)[0]
        >>> (found.rule, found.readings[0].verdict.verdict.value)
        ('seat-post', 'fits with')

    Source: The rules' own rows.
    """
    view = view_of(tables)
    tokens = _tokens(words, view)
    return tuple(_asked(rule, cut, tokens, view) for _, rule, cut in _likely(words, tokens, view))


def likely_rules(words: str, view: FitTables) -> list[object]:
    """The rules that words may be about, likeliest first.

    Raises:
        InputRefused: Nothing was said, or no rule knows a word of it.
    """
    return [rule for _, rule, _ in _likely(words, _tokens(words, view), view)]


def _tokens(words: str, view: FitTables) -> tuple[SaidWord, ...]:
    tokens = tokens_of(words if isinstance(words, str) else "", vocabulary(view))
    if not tokens:
        raise InputRefused(
            worded(
                "Nothing was asked: name two parts, such as 11 speed cassette on 10 speed body. Type "
                "it again."
            ),
            {"words": worded("two parts, such as 11 speed cassette on 10 speed body")},
        )
    return tokens


def _likely(words: str, tokens: Sequence[SaidWord], view: FitTables) -> list[tuple[float, object, Cut]]:
    weighed = []
    said = {token.text for token in tokens}
    for rule in view.rules():
        if (must := items_of(field_of(rule, "must_say"))) and not said & set(map(str, must)):
            continue
        spoken = sayings_of(rule, view)
        cut = best_cut(tokens, spoken)
        told = sum(piece.input in spoken.needs and bool(piece.values) for piece in cut.pieces)
        share = _TOLD * min(2, told) / max(1, min(2, len(spoken.needs))) + 0.1 * told / max(
            1, len(spoken.needs)
        )
        if cut.worth > 0:
            weighed.append((cut.worth + share, rule, cut))
    if not weighed:
        sentence = worded(
            'No fit rule knows a word of "{words}". Name two parts, or look at the list: pinchbolt fit.',
            words=words[:60],
        )
        raise InputRefused(sentence, {"words": sentence})
    weighed.sort(key=lambda one: -one[0])
    return [one for one in weighed if one[0] > weighed[0][0] - _NEAR][:MOST_RULES]


def _asked(rule: object, cut: Cut, tokens: Sequence[SaidWord], view: FitTables) -> RuleAsked:
    wants = asked(rule, view)
    needs = [str(name) for name in items_of(field_of(rule, "needs"))]
    said = {piece.input: piece.values for piece in cut.pieces}
    meant = {
        name: tuple(MeantInput(name, want.name, value, in_words(want, value, view)) for value in said[name])
        for name, want in wants.items()
        if said.get(name)
    }
    readings = []
    for values in islice(_agreeing(list(product(*meant.values())), wants, view), MOST_TRIED):
        given = {one.input: one.value for one in values}
        try:
            readings.append(FitReading(values, run_rule(text_of(rule, "id"), given, view)))
        except InputRefused:
            continue
    readings.sort(key=lambda one: one.verdict.verdict is FitWord.CANNOT_TELL)
    lacking = tuple(wants[name].name.removeprefix("the ") for name in needs if name not in meant)
    named = [piece.input for piece in cut.pieces if not piece.values]
    return RuleAsked(
        text_of(rule, "id"),
        text_of(rule, "name"),
        text_of(rule, "words"),
        tuple(readings[:MOST_READINGS]),
        lacking,
        what_would_fit(rule, _alone(readings), named, view),
        _not_heard(tokens, cut, sayings_of(rule, view)),
    )


def _not_heard(tokens: Sequence[SaidWord], cut: Cut, spoken: RuleSayings) -> tuple[str, ...]:
    """What was said and went into no answer: it is said back, not passed over."""
    known = frozenset(words_known(spoken))
    values = {value for piece in cut.pieces for value in piece.values}

    def is_heard(token: SaidWord) -> bool:
        if token.beside or token.ends is not None or token.text in known:
            return True
        return token.figure is not None and (token.figure in values or in_mm(token) in values)

    return tuple(dict.fromkeys(token.text for token in tokens if not is_heard(token)))


def _alone(readings: Sequence[FitReading]) -> Mapping[str, object]:
    """What was said, where it can be read in one way."""
    return {one.input: one.value for one in readings[0].meant} if len(readings) == 1 else {}


def _agreeing(
    readings: Sequence[tuple[MeantInput, ...]], wants: Mapping[str, RuleInput], view: FitTables
) -> Iterator[tuple[MeantInput, ...]]:
    """Without readings that put a front part behind, where there are others."""

    def ends(values: tuple[MeantInput, ...]) -> set[object]:
        rows = (row_said(wants[one.input], one.value, view) for one in values)
        return {field_of(row, "end") for row in rows if row is not None} - {None}

    same = [values for values in readings if len(ends(values)) < 2]
    yield from same or readings


@dataclass(frozen=True, slots=True)
class RuleWords:
    """A rule in plain words: what it needs to be told, and how people ask for it."""

    rule: str
    name: str
    words: str
    needs: tuple[str, ...]
    asked: tuple[str, ...]


def rules_in_words(tables: object) -> tuple[RuleWords, ...]:
    """Return every rule in plain words.

    Args:
        tables: As for `run_rule`. [-]

    Returns:
        One entry a rule, in the order of the table. [-]

    Raises:
        InputRefused: A rule that cannot be read.

    Valid for: FitReading; `ask_in_words` finds one by words.

    Example:
        >>> next(one for one in rules_in_words(tables) if one.rule == "seat-post").needs
        ("seat post's diameter", "seat tube's inside diameter")

    Source: The rules' own rows.
    """
    view = view_of(tables)
    found = []
    for rule in view.rules():
        wants = asked(rule, view)
        needs = tuple(
            wants[str(name)].name.removeprefix("the ") for name in items_of(field_of(rule, "needs"))
        )
        names = tuple(str(words) for words in items_of(field_of(rule, "asked")))
        found.append(
            RuleWords(text_of(rule, "id"), text_of(rule, "name"), text_of(rule, "words"), needs, names)
        )
    return tuple(found)
