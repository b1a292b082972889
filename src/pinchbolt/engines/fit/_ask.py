"""A question in words: which rule it is about, which rows and figures were meant, and what the rule says of each reading."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice, product
from math import log

from pinchbolt.engines.fit._heard import Heard, MeantInput, row_said
from pinchbolt.engines.fit._inputs import RuleInput, asked
from pinchbolt.engines.fit._rule import run_rule
from pinchbolt.engines.fit._spoken import Spoken, heard, is_figure, parse_spoken, pieces_of
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, text_of
from pinchbolt.engines.fit.fit_types import FitVerdict, FitWord
from pinchbolt.errors import InputRefused

MOST_RULES, MOST_READINGS, MOST_TRIED = 5, 8, 48
# How much is read from where: what it is called counts most, the long explanation least.
_BY_NAME, _BY_INPUT, _BY_WORDS = 3.0, 1.5, 0.5


@dataclass(frozen=True, slots=True)
class FitReading:
    """One way to understand the question, and what the rule says of it."""

    meant: tuple[MeantInput, ...]
    verdict: FitVerdict


@dataclass(frozen=True, slots=True)
class RuleAsked:
    """A rule that the question may be about: its readings, in words what it still needs, and the share of that it was told."""

    rule: str
    name: str
    words: str
    readings: tuple[FitReading, ...]
    needs: tuple[str, ...]
    told: float = 0.0


def ask_in_words(words: str, tables: object) -> tuple[RuleAsked, ...]:
    """Return the rules that a question in words may be about, likeliest first, each with what it says.

    Rules are weighed by the words of their names, inputs and rows, rare words most; the codes of the tables are found by
    their plain words and trade names. What several rows may be is answered for each.

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
    view = tables if isinstance(tables, FitTables) else FitTables(tables)
    spoken = parse_spoken(words if isinstance(words, str) else "")
    likely = _likely(words, spoken, view)
    found = [(weight, _asked(rule, spoken, view)) for weight, rule in likely]
    # Of rules that are named alike the one that was told all it needs is meant: a width, not a seat.
    found.sort(key=lambda one: -one[0] * (0.5 + one[1].told))
    return tuple(one for _, one in found)


def likely_rules(words: str, view: FitTables) -> list[object]:
    """The rules that words may be about, likeliest first.

    Raises:
        InputRefused: Nothing was said, or no rule knows a word of it.
    """
    return [rule for _, rule in _likely(words, parse_spoken(words), view)]


def _likely(words: str, spoken: Spoken, view: FitTables) -> list[tuple[float, object]]:
    if not spoken.pieces:
        raise InputRefused(
            "Nothing was asked: name two parts, such as 11 speed cassette on 10 speed body. Type it again.",
            {"words": "two parts, such as 11 speed cassette on 10 speed body"},
        )
    index = _index(view)
    weighed = sorted(
        (
            (_weight(spoken, index[text_of(rule, "id")]), place, rule)
            for place, rule in enumerate(view.rules())
        ),
        key=lambda one: (-one[0], one[1]),
    )
    best = weighed[0][0] if weighed else 0.0
    if best <= 0:
        sentence = (
            f'No fit rule knows a word of "{words[:60]}". Name two parts, or look at the list: pinchbolt fit.'
        )
        raise InputRefused(sentence, {"words": sentence})
    return [(weight, rule) for weight, _, rule in weighed if weight > 0.45 * best][:MOST_RULES]


def _index(view: FitTables) -> Mapping[str, Mapping[str, float]]:
    """For each rule its pieces with their weight: how much they tell, and how rare they are among the rules."""
    key = ("spoken", "rules")
    kept = view.kept.get(key)
    if kept is None:
        told: dict[str, dict[str, float]] = {}
        for rule in view.rules():
            told[text_of(rule, "id")] = _told(rule, view)
        count = {piece: sum(piece in one for one in told.values()) for one in told.values() for piece in one}
        kept = view.kept[key] = {
            name: {piece: weight * log(1 + len(told) / count[piece]) for piece, weight in one.items()}
            for name, one in told.items()
        }
    return kept  # type: ignore[return-value]


def _told(rule: object, view: FitTables) -> dict[str, float]:
    wants = asked(rule, view).values()
    texts = [
        *((text, _BY_NAME) for text in (text_of(rule, "name"), *map(str, items_of(field_of(rule, "asked"))))),
        *((want.name, _BY_INPUT) for want in wants),
        *((str(word), _BY_INPUT) for want in wants if want.kind in ("of", "one_of") for word in want.allowed),
        *((text, _BY_WORDS) for want in wants for row in view.rows(want.table) for text in _row_words(row)),
        (text_of(rule, "words"), _BY_WORDS),
    ]
    found: dict[str, float] = {}
    for text, weight in texts:
        for piece in pieces_of(text):
            if not is_figure(piece):
                found[piece] = max(found.get(piece, 0.0), weight)
    return found


def _row_words(row: object) -> Iterator[str]:
    yield text_of(row, "plain")
    yield text_of(row, "trade_name")


def _weight(spoken: Spoken, told: Mapping[str, float]) -> float:
    return heard(spoken.pieces, told)


def _asked(rule: object, spoken: Spoken, view: FitTables) -> RuleAsked:
    wants = asked(rule, view)
    needs = [str(name) for name in items_of(field_of(rule, "needs"))]
    meant = Heard(wants, needs, spoken, view).meant()
    readings = []
    for values in islice(_agreeing(list(product(*meant.values())), wants, view), MOST_TRIED):
        given = {one.input: one.value for one in values}
        try:
            readings.append(FitReading(values, run_rule(text_of(rule, "id"), given, view)))
        except InputRefused:
            continue
    readings.sort(key=lambda one: one.verdict.verdict is FitWord.CANNOT_TELL)
    lacking = tuple(wants[name].name.removeprefix("the ") for name in needs if name not in meant)
    return RuleAsked(
        text_of(rule, "id"),
        text_of(rule, "name"),
        text_of(rule, "words"),
        tuple(readings[:MOST_READINGS]),
        lacking,
        1 - len(lacking) / len(needs) if needs else 1.0,
    )


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
    view = tables if isinstance(tables, FitTables) else FitTables(tables)
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
