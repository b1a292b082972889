"""What is wanted, in words, as conditions on facts: a 10-44 cassette, a 203 front rotor, rims 25 wide inside."""

import re
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from math import log

from pinchbolt.engines.fit._check import questions
from pinchbolt.engines.fit._facts_said import asked_of_fact, value_of_fact
from pinchbolt.engines.fit._sayings import values_said
from pinchbolt.engines.fit._spoken import SMALL, is_figure, pieces_of
from pinchbolt.engines.fit._tables import FitTables, view_of
from pinchbolt.engines.fit._tokens import texts_of
from pinchbolt.engines.fit.fit_types import Question
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

_RANGE = re.compile(r"\b(\d{1,2})\s*(?:[-\u2010-\u2015]|to)\s*(\d{1,2})\s*(?:t|teeth|tooth)?\b")
_RINGS = re.compile(r"\b(\d{2})\s*/\s*(\d{2})\b")
_CLAUSES = re.compile(r"\s+(?:and|with|plus)\s+|[,;]\s*")
_TYRE = re.compile(r"\b(\d{2,3})\s*[-x]\s*(\d{3})\b")
_ROAD_TYRE = re.compile(r"\b700\s*x\s*(\d{2})c?\b")
_MORE, _LESS = ("least", "min", "minimum", "more", "bigger"), ("most", "max", "maximum", "less", "smaller")
_ENDS = ("front", "rear")
# What figures count, and the 700 of a road tyre: said of what was understood.
_UNITS = ("t", "c", "mm", "teeth", "tooth", "speed", "700")
MOST_FACTS = 4
# Facts that rules take apart, a figure and perhaps a word: asked about by the figure.
_TAKEN_APART = {
    fact: Question(fact, name, "", "mm", "number", (20, 50), ())
    for fact, name in (
        ("seat_post", worded("the seat post")),
        ("bar", worded("the handlebar")),
        ("stem", worded("the stem")),
    )
}
# What only a part's move tells is nothing to be wanted.
_OF_A_MOVE = ("stood_", "wheel_gears", "bike_gears", "speeds_bike", "caliper_set_for", "made_for_seat")


@dataclass(frozen=True, slots=True)
class Wanted:
    """One thing that is wanted: the condition for the planner, and what was understood in words."""

    condition: str
    words: str


def wants_in_words(words: str, tables: object) -> tuple[Wanted, ...]:
    """Return what is wanted as conditions on facts.

    Args:
        words: As it is said, several wants divided by commas or "and". [-]
        tables: As for `run_rule`. [-]

    Returns:
        A condition for each fact that was meant. [-]

    Raises:
        InputRefused: A want in which no fact, or no value of it, is understood; it is named.

    Valid for: Facts that the fit rules ask for, of any kind of part; a want of "at least" or "at most" says so.

    Example:
        >>> [one.condition for one in wants_in_words("a 10-44 cassette", tables)]
        ['sprocket_small == 10', 'sprocket_big == 44']

    Source: The rules' own inputs.
    """
    view = view_of(tables)
    asked = _wantable(view)
    found: list[Wanted] = []
    clauses = [piece.strip() for piece in _CLAUSES.split(words.lower()) if piece.strip()]
    # A part that is named alone says of what the other clauses are: wheels with tubeless ready rims.
    nouns = {piece for one in asked.values() for piece in pieces_of(one.name)} | SMALL
    for clause in clauses:
        wanted = list(_clause(clause, asked, view))
        if not wanted and not (set(pieces_of(clause)) <= nouns and len(clauses) > 1):
            raise _not_understood(clause)
        found += wanted
    if not found:
        raise _not_understood(words)
    return tuple(found)


def _not_understood(words: str) -> InputRefused:
    sentence = worded(
        '"{words}" is not understood: name the part and its figure or kind, such as a 10-44 '
        "cassette, 203 front rotor, 25 mm rim inside, 11 speed chain. Say it another way.",
        words=words[:60],
    )
    return InputRefused(sentence, {"want": sentence})


def not_heard(words: str, tables: object) -> tuple[str, ...]:
    """Return the words of a want that went into no condition: they must be said back, not passed over.

    Args:
        words: As for `wants_in_words`. [-]
        tables: As for `run_rule`. [-]

    Returns:
        Each of them once, as they were said; words for parts, ends and small talk are none. [-]

    Raises:
        InputRefused: As `wants_in_words`.

    Example:
        >>> not_heard("a red 10-44 cassette", tables)
        ('red',)

    Source: The rules' own inputs.
    """
    view = view_of(tables)
    asked = _wantable(view)
    told = {*SMALL, *_MORE, *_LESS, *_ENDS, *_UNITS, "x", "hookless", "hooked", "and", "with", "plus"}
    told |= {piece for one in asked.values() for piece in pieces_of(one.name)}
    inputs = asked_of_fact(view)
    for one in wants_in_words(words, view):
        told |= {*pieces_of(one.condition.replace("_", " ")), *pieces_of(one.words)}
        fact, _, value = one.condition.partition(" == ")
        if fact in inputs:
            want, nouns = inputs[fact]
            meant = [said for said in values_said(want, view) if str(said.value) == value.strip('"')]
            told |= nouns | {
                word for said in meant for word in (*said.hints, *frozenset().union(*said.phrases))
            }
    said = re.findall(r"[^\s,;]+", words.lower())

    def is_heard(word: str) -> bool:
        return set(pieces_of(word)) <= told or set(texts_of(word)) <= told or set(word.split("/")) <= told

    return tuple(dict.fromkeys(one for one in said if not is_heard(one)))


def _wantable(view: FitTables) -> dict[str, Question]:
    """The facts that can be wanted, by name; where a fact is told of each end, it is wanted of an end."""
    found = {
        one.fact: one
        for one in (*questions(view), *_TAKEN_APART.values())
        if not one.fact.startswith(_OF_A_MOVE)
    }
    return {fact: one for fact, one in found.items() if f"{fact}_front" not in found}


def _clause(clause: str, asked: Mapping[str, Question], view: FitTables) -> Iterator[Wanted]:
    pieces = pieces_of(clause)
    if (ends := _RANGE.search(clause)) and {"cassette", "sprocket", "freewheel"} & set(pieces):
        for fact, figure in zip(
            ("sprocket_small", "sprocket_big"), sorted(map(int, ends.groups())), strict=True
        ):
            yield Wanted(f"{fact} == {figure}", f"{asked[fact].name} {figure}")
        return
    if rings := _RINGS.search(clause):
        for fact, figure in zip(("ring_small", "ring_big"), sorted(map(int, rings.groups())), strict=True):
            yield Wanted(f"{fact} == {figure}", f"{asked[fact].name} {figure}")
        return
    ends_said = [end for end in _ENDS if end in pieces] or list(_ENDS)
    clause = _ROAD_TYRE.sub(r"\1-622", clause)
    if (marking := _TYRE.search(clause)) and "tyre" in pieces:
        for end in ends_said:
            yield Wanted(
                f'tyre_{end} == "{marking[1]}-{marking[2]}"',
                worded("the tyre {end} {width}-{seat}", end=end, width=marking[1], seat=marking[2]),
            )
        pieces = tuple(one for one in pieces if one not in marking.groups())
        if not set(pieces) - {*SMALL, *_ENDS, "x", "tyre"}:
            return
    if hooks := {"hookless", "hooked"} & set(pieces):
        flag = "false" if "hookless" in hooks else "true"
        yield from (
            Wanted(f"hook_{end} == {flag}", worded("a {end} rim that is {hooks}", end=end, hooks=max(hooks)))
            for end in ends_said
        )
        pieces = tuple(one for one in pieces if one not in hooks)
        if not any(map(is_figure, pieces)):
            return
    for question in _each_meant(
        [one for one in pieces if one not in (*SMALL, *_MORE, *_LESS, "x")], asked, view
    ):
        end = next(
            (
                one
                for one in _ENDS
                if question.fact.endswith(f"_{one}") or question.fact.startswith(f"{one}_")
            ),
            "",
        )
        if end and end not in ends_said:
            continue
        value = value_of_fact(question, pieces, view)
        fact = f"number({question.fact})" if question.fact in _TAKEN_APART else question.fact
        yield Wanted(
            f"{fact} {_sign(pieces, question)} {value}", f"{question.name} {end} {value}".replace("  ", " ")
        )


def _each_meant(pieces: Sequence[str], asked: Mapping[str, Question], view: FitTables) -> list[Question]:
    """What was meant best, and then what the words that are left speak of: tubeless ready rims, and 25 wide."""
    found: list[Question] = []
    left = {piece for piece in pieces if not is_figure(piece)}
    others = dict(asked)
    while left:
        meant = _meant(pieces, others, view)
        found += meant
        heard_of = {
            piece
            for question in meant
            for piece in (*pieces_of(question.name), *pieces_of(value_of_fact(question, pieces, view)))
        } & left
        left -= heard_of
        others = {
            fact: question
            for fact, question in asked.items()
            if question not in found and left & set(pieces_of(question.name))
        }
        if not meant or not heard_of:
            break
    return found


def _meant(pieces: Sequence[str], asked: Mapping[str, Question], view: FitTables) -> list[Question]:
    """The facts that were named best and of which a value was said; both ends of one fact together."""
    # A fact is named by its own name, or by the nouns by which people speak of it; the better of the two counts.
    called = {
        fact: (
            {one for one in pieces_of(question.name) if not is_figure(one) and one not in SMALL},
            asked_of_fact(view)[fact][1] if fact in asked_of_fact(view) else frozenset(),
        )
        for fact, question in asked.items()
    }
    every = [own for both in called.values() for own in both]
    count = {piece: sum(piece in own for own in every) for own in every for piece in own}
    rare = {piece: log(1 + len(every) / times) for piece, times in count.items()}
    said = set(pieces)

    def heard_of(own: AbstractSet[str]) -> tuple[float, float]:
        """How much was said, and what share of the name that is: a rotor is not the rotor that posts take without adapter."""
        told, whole = sum(rare[piece] for piece in own & said), sum(rare[piece] for piece in own)
        share = told / whole if whole else 0.0
        return told * share, share

    weigh = {}
    for fact, both in called.items():
        flag = asked[fact].kind == "flag"
        # Yes or no is meant where the thing itself is named, not where the part is that has it.
        weight, share = heard_of(both[0]) if flag else max(map(heard_of, both))
        if weight > 0 and (not flag or share > 0.5) and value_of_fact(asked[fact], pieces, view):
            weigh[fact] = weight
    best = max(weigh.values(), default=0.0)
    return [asked[fact] for fact, weight in weigh.items() if weight > 0.95 * best][:MOST_FACTS]


def _sign(pieces: Sequence[str], question: Question) -> str:
    if question.kind not in ("number", "whole"):
        return "=="
    return ">=" if set(_MORE) & set(pieces) else "<=" if set(_LESS) & set(pieces) else "=="
