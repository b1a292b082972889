"""The question turned round: which part fits here, with the least to buy besides."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from pinchbolt.engines.fit._ask import FitReading, likely_rules
from pinchbolt.engines.fit._build import Place, bare_facts, check_build, places_of, what_is_known
from pinchbolt.engines.fit._decide import GOOD, WORST_LAST
from pinchbolt.engines.fit._fit_words import Looking
from pinchbolt.engines.fit._heard import MeantInput
from pinchbolt.engines.fit._inputs import RuleInput, asked, in_words
from pinchbolt.engines.fit._language import truth
from pinchbolt.engines.fit._rule import run_rule
from pinchbolt.engines.fit._sayings import sayings_of
from pinchbolt.engines.fit._sold import sold
from pinchbolt.engines.fit._spoken import heard, pieces_of, said_pieces
from pinchbolt.engines.fit._tables import FitTables, field_of, items_of, text_of, view_of
from pinchbolt.errors import InputRefused

MOST_TRIED, MOST_TOLD, MOST_PLACES = 6000, 12, 4
# What goes between two parts, and is sought as what their rule asks for.
SMALL_PARTS = frozenset(
    {"spacer", "adapter", "shim", "cap", "plate", "kit", "washer", "carrier", "grommet", "extender"}
)


@dataclass(frozen=True, slots=True)
class WhichFits:
    """What fits at one place by one rule: what was sought, what is known there, the answers best first, and what else decides."""

    rule: str
    name: str
    place: str
    sought: tuple[str, ...]
    known: tuple[MeantInput, ...]
    answers: tuple[FitReading, ...]
    lacking: tuple[str, ...]


def which_fits(words: str, build: Mapping[str, object], tables: object) -> tuple[WhichFits, ...]:
    """Return which part fits a build, for the part that is named.

    Every value that the tables sell for the part that is sought is asked of its rule, with the rest as the build has it.

    Args:
        words: The part: headset, bottom bracket, seat post, spacer, hanger, adapter ... [-]
        build: What is known of the bike, as for `check_build`. [as there]
        tables: As for `check_build`. [-]

    Returns:
        For each place, at most a dozen answers: what fits as it is first, then what needs least besides. [-]

    Raises:
        InputRefused: Nothing was named, or no rule knows it.

    Valid for: Parts by the name of their standard; which make it is, its maker's list says.

    Example:
        >>> found = which_fits("seat post", {"seat_tube": 31.6}, tables)[0]
        >>> found.answers[0].meant[0].value, found.answers[0].verdict.verdict.value
        (31.6, 'fits')

    Source: The rules' own rows.
    """
    view = view_of(tables)
    facts = bare_facts(build)
    small = next((piece for piece in said_pieces(words) if piece in SMALL_PARTS), "")
    if small:
        return _small_parts(small, words, facts, view)
    first: list[WhichFits] = []
    others: list[WhichFits] = []
    for number, rule in enumerate(likely_rules(words, view)):
        for place in places_of(view):
            if place.rule is rule and _applies(place, facts, view):
                (others if number else first).extend(_at(place, words, facts, view))
    answered = [one for one in first if one.answers]
    # Of the rule that is meant what decides is said also where it cannot answer; of others only answers help.
    return tuple((answered or first[:1]) + [one for one in others if one.answers])[:MOST_PLACES]


def what_it_brings(found: WhichFits, part: Mapping[str, object], tables: object) -> Mapping[str, object]:
    """Return what a part, by its own facts, would be to the rule where it is sought: the rule's inputs that it tells.

    Args:
        found: A place at which something is sought. [-]
        part: The facts of the part, by the names of the build. [as for `check_build`]
        tables: As for `check_build`. [-]

    Returns:
        The values of the inputs, as the rule takes them; empty where the rule looks at none of the facts. [-]

    Raises:
        InputRefused: The part is no set of named facts.

    Source: The rules' own rows.
    """
    view = view_of(tables)
    facts = bare_facts(part)
    for place in places_of(view):
        if (text_of(place.rule, "id"), place.place) == (
            found.rule,
            found.place,
        ) and place.facts & facts.keys():
            return what_is_known(place, facts, view)
    return {}


def _applies(place: Place, facts: dict[str, object], view: FitTables) -> bool:
    """Whether the rule may speak at this place."""
    return place.only is None or truth(place.only.run(Looking(view, facts, place.rule))) is not False


def _small_parts(small: str, words: str, facts: dict[str, object], view: FitTables) -> tuple[WhichFits, ...]:
    """Spacer, shim, adapter: what the rules ask for besides, where something is known."""
    rules = {text_of(rule, "id") for rule in _said_rules(small, words, view)}
    return tuple(
        WhichFits(check.rule, check.name, check.place, (small,), (), (FitReading((), check),), ())
        for check in check_build(facts, view).checks
        if any(small in pieces_of(item) for item in check.with_items) and (not rules or check.rule in rules)
    )[:MOST_PLACES]


def _said_rules(small: str, words: str, view: FitTables) -> list[object]:
    """The rules that the other words name; none where nothing else was said."""
    others = " ".join(piece for piece in said_pieces(words) if piece != small)
    try:
        return likely_rules(others, view) if others else []
    except InputRefused:
        return []


def _at(place: Place, words: str, facts: dict[str, object], view: FitTables) -> Iterator[WhichFits]:
    wants = asked(place.rule, view)
    needs = [str(name) for name in items_of(field_of(place.rule, "needs"))]
    known = what_is_known(place, facts, view)
    sought = _sought(words, place.rule, needs, known, view)
    given = {name: value for name, value in known.items() if name not in sought}
    if not sought:
        return
    told = tuple(
        MeantInput(name, wants[name].name, value, in_words(wants[name], value, view))
        for name, value in given.items()
    )
    to_be_had = {name: sold(wants[name], view) or _as_known(wants[name], given) for name in sought}
    tried = (
        [dict(zip(to_be_had, values, strict=True)) for values in _some(list(to_be_had.values()))]
        if given
        else []
    )
    answers = sorted(
        _answers(place, tried, given, wants, view), key=lambda one: (_rank(one), len(one.verdict.with_items))
    )
    lacking = tuple(
        wants[name].name.removeprefix("the ") for name in needs if name not in given and name not in sought
    )
    names = tuple(wants[name].name.removeprefix("the ") for name in sought)
    rule = place.rule
    yield WhichFits(
        text_of(rule, "id"),
        text_of(rule, "name"),
        place.place,
        names,
        told,
        tuple(answers[:MOST_TOLD]),
        lacking,
    )


def _as_known(want: RuleInput, given: Mapping[str, object]) -> tuple[object, ...]:
    """Where no sizes are listed: the figures of the other side, as an axle is sought by the thread and length of its frame."""
    if want.kind not in ("number", "whole"):
        return ()
    low, high = (float(str(end)) for end in want.allowed)
    figures = [
        value for value in given.values() if isinstance(value, int | float) and not isinstance(value, bool)
    ]
    return tuple(dict.fromkeys(value for value in figures if low <= value <= high))


def _some(sold: Sequence[tuple[object, ...]]) -> Iterator[tuple[object, ...]]:
    for count, values in enumerate(product(*sold)):
        if count >= MOST_TRIED:
            return
        yield values


def _answers(
    place: Place, tried: Sequence[dict[str, object]], given: Mapping[str, object], wants: Mapping[str, RuleInput],
    view: FitTables,
) -> Iterator[FitReading]:  # fmt: skip
    for values in tried:
        try:
            verdict = run_rule(text_of(place.rule, "id"), {**given, **values}, view)
        except InputRefused:
            continue
        if verdict.verdict in GOOD or (not values and verdict.because):
            meant = tuple(
                MeantInput(name, wants[name].name, value, in_words(wants[name], value, view))
                for name, value in values.items()
            )
            yield FitReading(meant, verdict)


def _rank(one: FitReading) -> int:
    return WORST_LAST.index(one.verdict.verdict)


def _sought(
    words: str, rule: object, needs: Sequence[str], known: Mapping[str, object], view: FitTables
) -> list[str]:
    """The inputs that are sought: those that are named; where none is, what the rule needs and nobody knows."""
    wants = asked(rule, view)
    spoken = said_pieces(words)
    own = sayings_of(rule, view).nouns
    bought = [name for name in needs if not wants[name].fixed and wants[name].kind != "flag"]
    told = {name: heard(spoken, own[name]) for name in bought}
    best = max(told.values(), default=0.0)
    named = [name for name in bought if told[name] == best > 0]
    # The widths that a part is made for are of the part that is sought.
    widths = [name for name in bought if wants[name].kind == "numbers" and name not in (*known, *named)]
    return [*named, *widths] if named else [name for name in bought if name not in known]
