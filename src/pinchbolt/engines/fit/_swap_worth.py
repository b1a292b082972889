"""Which offers of a large catalogue can be in an answer at all.

Two kinds are left out, and neither can be in one. An offer that no chain of rules links to the goal, or to something that
does not fit as it is: a choice that holds it and reaches the goal does so without it at no more cost, and no answer holds
another whole. And an offer of which there are as many others as answers are asked for, in the same slot, bringing the same
facts, none of them dearer: put each of those in its place and the choice is as good or better, so the answers are full
before it is reached.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pinchbolt.engines.fit._field import Field
from pinchbolt.engines.fit.fit_types import Offer

# A market larger than FEW is first searched with the cheapest A_SLOT of each slot, to learn what an answer costs at most.
FEW, A_SLOT = 150, 12
_PENNY = 0.5


@dataclass(frozen=True, slots=True)
class Market:
    """Offers, the cost of each by rank, and from which answer on each may be in one (0 is the best answer)."""

    offers: tuple[Offer, ...]
    costs: tuple[float, ...]
    from_answer: tuple[int, ...]

    def __len__(self) -> int:
        """How many offers there are."""
        return len(self.offers)

    def _only(self, kept: Sequence[int]) -> "Market":
        return Market(*(tuple(held[n] for n in kept) for held in (self.offers, self.costs, self.from_answer)))  # type: ignore[arg-type]

    def cheapest_of_each_slot(self, most: int) -> "Market":
        """The cheapest *most* of each slot: some of the ways, so its answers cost no less than those of the whole."""
        slots: dict[str, list[int]] = {}
        for number in sorted(range(len(self)), key=lambda n: self.costs[n]):
            slots.setdefault(self.offers[number].slot, []).append(number)
        return self._only(sorted(number for members in slots.values() for number in members[:most]))

    def affordable(self, limit: float, least: Sequence[float] | None = None) -> "Market":
        """Those that cost no more than *limit*, the cost of the last answer of a part of the market.

        *least* says of each what a choice that holds it costs at least; without it, what it costs alone.

        That part holds as many answers at or below the limit as are asked for, and they are answers of the whole market
        too (what would be held by one whole is made of offers of that part). So no answer of the whole costs more, and
        none holds an offer with which every choice costs more.
        """
        return self._only([n for n, cost in enumerate(least or self.costs) if cost <= limit + _PENNY])


def worth_asking(ground: Field, most: int, cost: Callable[[Offer], tuple[float, float]]) -> Market:
    """The offers that may be in one of the *most* best answers, in their order."""
    alike: dict[tuple[str, str], list[tuple[tuple[float, float], int]]] = {}
    for number in sorted(_linked(ground)):
        offer = ground.offers[number]
        said = repr(sorted((name, repr(value)) for name, value in offer.sets.items()))
        alike.setdefault((offer.slot, said), []).append((cost(offer), number))
    kept = sorted(
        (number, costs[0], place)
        for members in alike.values()
        for place, (costs, number) in enumerate(sorted(members)[:most])
    )
    return Market(
        tuple(ground.offers[number] for number, _, _ in kept),
        tuple(first for _, first, _ in kept),
        tuple(place for _, _, place in kept),
    )


def _linked(ground: Field) -> set[int]:
    """Offers that touch the goal, a rule that is broken, or a rule that one of these touches, and so on."""
    nothing: frozenset[int] = frozenset()
    open_rules = {number for number, factor in enumerate(ground.factors) if factor.place is None}
    open_rules |= {number for number in range(len(ground.factors)) if ground.said(number, nothing).items}
    open_rules |= {number for number in range(len(ground.factors)) if ground.said(number, nothing).forbidden}
    rules_of: dict[int, list[int]] = {}
    for number, factor in enumerate(ground.factors):
        for offer in factor.offers:
            rules_of.setdefault(offer, []).append(number)
    found: set[int] = set()
    asked: set[int] = set()
    while open_rules:
        number = open_rules.pop()
        asked.add(number)
        fresh = ground.factors[number].offers - found
        found |= fresh
        open_rules |= {rule for offer in fresh for rule in rules_of[offer]} - asked
    return found
