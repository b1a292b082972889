"""What a choice of offers does to every rule, asked once and kept: the ground that the planner stands on."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations, product
from math import prod

from pinchbolt.engines.fit._build import Place, checked_at, places_of
from pinchbolt.engines.fit._fit_words import Looking
from pinchbolt.engines.fit._inputs import is_unknown
from pinchbolt.engines.fit._language import Expression, Missing, RuleWrong, expression, truth
from pinchbolt.engines.fit._tables import FitTables, same_words, text_of
from pinchbolt.engines.fit.fit_types import Clash, FitNeed, FitWord, Offer
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

Chosen = frozenset[int]


@dataclass(frozen=True, slots=True)
class Saying:
    """What one rule says of one choice: forbidden or not, what it needs besides, and why."""

    forbidden: bool
    items: frozenset[FitNeed]
    because: str


# Offers of one slot that say the same to a rule: the slot, and what they say.
Group = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Case:
    """A choice of groups that a rule allows, and what it then asks for besides."""

    groups: frozenset[Group]
    items: frozenset[FitNeed]


@dataclass(frozen=True, slots=True)
class Factor:
    """A rule at a place, or a condition of the goal, with the offers that touch its facts."""

    place: Place | None
    goal: Expression | None
    offers: frozenset[int]

    @property
    def key(self) -> str:
        """Its name among the rules."""
        return f"{text_of(self.place.rule, 'id')}/{self.place.number}" if self.place else "goal"


class Field:
    """Offers, rules and goal over one build."""

    def __init__(
        self, build: Mapping[str, object], moved: Mapping[str, object], goal: Sequence[str], offers: Sequence[Offer],
        view: FitTables, without_doubt: bool, together: frozenset[str] = frozenset(),
    ) -> None:  # fmt: skip
        self.before = dict(build)
        self.together = together
        self.moved = frozenset(moved)
        self.build = {name: value for name, value in {**build, **moved}.items() if not is_unknown(value)}
        self.offers = tuple(offers)
        self.view = view
        self.without_doubt = without_doubt
        self._bring: dict[str, set[int]] = {}
        for number, offer in enumerate(self.offers):
            for name in offer.sets:
                self._bring.setdefault(name, set()).add(number)
        self.goals = tuple(_condition(text) for text in goal)
        self.factors = tuple(self._all_factors())
        self._groups: dict[int, dict[Group, frozenset[int]]] = {}
        self._said: dict[tuple[int, Chosen], Saying] = {}
        self._asked: dict[tuple[object, ...], Saying] = {}
        self._already = {number: self._items_already(factor) for number, factor in enumerate(self.factors)}

    def narrowed(self, offers: Sequence[Offer]) -> "Field":
        """The same ground with some of its offers; what was asked before is not asked again."""
        if len(offers) == len(self.offers):
            return self
        goals = [goal.text for goal in self.goals]
        moved = {name: self.build.get(name) for name in self.moved}
        found = Field(self.before, moved, goals, offers, self.view, self.without_doubt, self.together)
        found._asked = self._asked
        return found

    def _all_factors(self) -> Iterator[Factor]:
        for goal in self.goals:
            yield Factor(None, goal, self._touching(goal.names))
        for place in places_of(self.view):
            yield Factor(place, None, self._touching(place.facts))

    def _touching(self, facts: frozenset[str]) -> frozenset[int]:
        return frozenset().union(*(self._bring.get(name, ()) for name in facts))

    def _items_already(self, factor: Factor) -> frozenset[FitNeed]:
        """What the bike has there already, or what is moved in brings along, is not bought again."""
        if factor.place is None:
            return frozenset()
        # A rule that looks at nothing of the old bike is met by what comes along: the spacer behind its own cassette.
        own = factor.place.facts & self.build.keys() <= self.moved
        found = checked_at(factor.place, self.build if own else self.before, self.view)
        return frozenset(found.needs) if found else frozenset()

    def built(self, chosen: Chosen) -> dict[str, object]:
        """The facts of the bike with these offers fitted; what an offer says is not known is known no longer."""
        facts = dict(self.build)
        for number in sorted(chosen):
            for name, value in self.offers[number].sets.items():
                if is_unknown(value):
                    facts.pop(name, None)
                else:
                    facts[name] = value
        return facts

    def said(self, number: int, chosen: Chosen) -> Saying:
        """What a factor says of a choice; asked once for each choice among the offers that touch it."""
        factor = self.factors[number]
        own = chosen & factor.offers
        found = self._said.get((number, own))
        if found is None:
            found = self._said[number, own] = self._ask(number, factor, own)
        return found

    def groups(self, number: int) -> dict[Group, frozenset[int]]:
        """The offers that touch a factor, those of one slot that say the same to it taken together."""
        found = self._groups.get(number)
        if found is None:
            factor = self.factors[number]
            facts = factor.place.facts if factor.place else factor.goal.names if factor.goal else frozenset()
            held: dict[Group, set[int]] = {}
            for one in sorted(factor.offers):
                offer = self.offers[one]
                said = repr(sorted((name, repr(offer.sets[name])) for name in offer.sets.keys() & facts))
                held.setdefault((offer.slot, said), set()).add(one)
            found = self._groups[number] = {group: frozenset(members) for group, members in held.items()}
        return found

    def cases(self, number: int, most: int) -> tuple[Case, ...] | None:
        """Every choice of groups that a factor allows; None where there are more than *most* to ask about."""
        by_slot: dict[str, list[Group | None]] = {}
        for group in self.groups(number):
            by_slot.setdefault(group[0], [None]).append(group)
        if prod(len(ways) for ways in by_slot.values()) > most:
            return None
        found = []
        for ways in product(*by_slot.values()):
            picked = [group for group in ways if group is not None]
            chosen = frozenset(min(self.groups(number)[group]) for group in picked)
            said = self.said(number, chosen)
            if not said.forbidden:
                found.append(Case(frozenset(picked), said.items))
        return tuple(found)

    def _ask(self, number: int, factor: Factor, own: Chosen) -> Saying:
        facts = self.built(own)
        looked_at = sorted(factor.place.facts if factor.place else factor.goal.names if factor.goal else ())
        mark = (number, bool(own), *((type(facts.get(name)), repr(facts.get(name))) for name in looked_at))
        found = self._asked.get(mark)
        if found is None:
            found = self._asked[mark] = self._asked_anew(number, factor, facts, bool(own))
        return found

    def _asked_anew(self, number: int, factor: Factor, facts: dict[str, object], changed: bool) -> Saying:
        if factor.goal is not None:
            return Saying(
                not _holds(factor.goal, facts, self.view),
                frozenset(),
                worded("the goal {text}", text=factor.goal.text),
            )
        assert factor.place is not None
        check = checked_at(factor.place, facts, self.view)
        if check is None:
            return Saying(False, frozenset(), "")
        doubt = self.without_doubt and changed and check.verdict is FitWord.CANNOT_TELL
        items = frozenset(check.needs) - self._already[number]
        # What is to be chosen here is not asked for besides: a choice that wants another cassette has the wrong one.
        wanted = tuple(need.words for need in sorted(items) if need.words in check.parts)
        forbidden = check.verdict is FitWord.DOES_NOT_FIT or doubt or bool(wanted)
        because = "; ".join(
            filter(None, (check.because, *(worded("{words} is wanted", words=words) for words in wanted)))
        )
        return Saying(forbidden, items, because)

    def clash_of(self, number: int, chosen: Chosen) -> Clash:
        """The rule as it is named where it clashes."""
        factor = self.factors[number]
        if factor.place is None:
            return Clash("goal", worded("the goal"), "", self.said(number, chosen).because)
        rule = factor.place.rule
        because = self.said(number, chosen).because
        return Clash(text_of(rule, "id"), text_of(rule, "name"), factor.place.place, because)

    def at_odds(self) -> Iterator[frozenset[int]]:
        """Sets of offers of which at most one can be fitted: those of a slot, and those that say different things of a fact."""
        slots: dict[str, set[int]] = {}
        said: dict[str, dict[str, dict[object, set[int]]]] = {}
        for number, offer in enumerate(self.offers):
            slots.setdefault(offer.slot, set()).add(number)
            for name, value in offer.sets.items():
                said.setdefault(name, {}).setdefault(offer.slot, {}).setdefault(_one_value(value), set()).add(
                    number
                )
        yield from (frozenset(members) for members in slots.values() if len(members) > 1)
        for by_slot in said.values():
            for one, two in permutations(by_slot, 2):
                for value, members in by_slot[one].items():
                    others = {n for other, them in by_slot[two].items() if other != value for n in them}
                    if others:
                        yield frozenset(members | others)


def _one_value(value: object) -> object:
    """What tells two values of a fact apart: 160 and 160.0 are one, HG-11 and hg 11 are, yes is not 1."""
    if isinstance(value, str):
        return same_words(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return repr(value)
    return round(float(value), 9)


def _condition(text: str) -> Expression:
    try:
        return expression(text)
    except RuleWrong as wrong:
        sentence = worded(
            'the goal "{text}" {wrong}: a condition on facts such as sprocket_big >= 42. Write it again.',
            text=text[:60],
            wrong=wrong,
        )
        raise InputRefused(sentence, {"goal": sentence}) from None


def _holds(goal: Expression, facts: Mapping[str, object], view: FitTables) -> bool:
    try:
        value = truth(goal.run(Looking(view, dict(facts))))
    except RuleWrong as wrong:
        sentence = worded(
            'the goal "{text}" {wrong}: a condition on facts such as sprocket_big >= 42. Write it again.',
            text=goal.text[:60],
            wrong=wrong,
        )
        raise InputRefused(sentence, {"goal": sentence}) from None
    # A goal on a fact that is not known is not reached.
    return value is True and not isinstance(value, Missing)
