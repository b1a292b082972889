"""The cheapest set of changes that ends in a bike on which nothing does not fit."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Literal

from pinchbolt.engines.fit._build import check_build
from pinchbolt.engines.fit._field import Chosen, Field
from pinchbolt.engines.fit._search import CostOf, NotProved, Rows, best, smallest_clash
from pinchbolt.engines.fit._tables import Tables
from pinchbolt.engines.fit.types import ItemPrice, Offer, SwapAnswer, SwapPlan
from pinchbolt.errors import InputRefused

Rank = Literal["price", "labour", "changes"]
MOST_OFFERS = 400
MOST_PLANS = 5
_PENCE = 100


def plan_swap(
    build: Mapping[str, object],
    goal: Mapping[str, object] | Sequence[str],
    catalogue: Sequence[Offer],
    tables: object,
    *,
    items: Sequence[ItemPrice] = (),
    labour_an_hour: Decimal = Decimal(0),
    rank: Rank = "price",
    most: int = MOST_PLANS,
    without_doubt: bool = False,
) -> SwapAnswer:
    """Return up to five ways from this build to the goal, best first, each ending with nothing that does not fit.

    Least ``sum(price + labour)`` over offers and over what the rules ask for besides (spacers, adapters), where of each
    slot at most one offer is fitted; or the least labour, or the fewest changes. No answer holds another answer whole.

    Args:
        build: What is known of the bike, as for `check_build`. [as there]
        goal: Facts that shall hold at the end (a list of values: any of them), or conditions on facts such as
            ``sprocket_big >= 42``. [as there]
        catalogue: What may be fitted: from the bins, to order, adapters. [-]
        tables: As for `check_build`. [-]
        items: Prices of what rules ask for besides. [-]
        labour_an_hour: What an hour of the stand costs. [workshop's currency]
        rank: Which is best: the least cost, the least labour, or the fewest changes. [-]
        most: How many answers, 1 to 5. [-]
        without_doubt: Whether a change that leaves a doubt counts as no answer. [-]

    Returns:
        The plans, or the smallest set of rules that clash. [-]

    Raises:
        InputRefused: A goal, offer or price that makes no sense, or more than 400 offers.

    Valid for: Facts and rules as in the tables. Doubts are not hidden: each plan carries its own check.

    Example:
        >>> shim = ItemPrice("shim", Decimal("6.00"))
        >>> post = Offer("p", "post 27.2", "seat post", {"seat_post": 27.2}, Decimal("30.00"), 10)
        >>> answer = plan_swap({"seat_tube": 31.6}, {"seat_post": 27.2}, [post], tables, items=[shim])
        >>> answer.plans[0].price, answer.plans[0].items
        (Decimal('36.00'), ('shim 27.2 to 31.6',))

    Source: Rules as in the tables; the search is exact (a linear program over yes and no, rules added as they break).
    """
    view = tables if isinstance(tables, Tables) else Tables(tables)
    _refuse(build, catalogue, items, labour_an_hour, rank, most)
    ground = Field(build, _conditions(goal), catalogue, view, without_doubt)
    rows = Rows(len(catalogue))
    for one, two in ground.at_odds():
        rows.at_least({one: -1.0, two: -1.0}, -1)
    bare = rows.copied()
    prices = _Prices(catalogue, items, labour_an_hour)
    factors = range(len(ground.factors))
    plans: list[SwapPlan] = []
    proved = True
    try:
        while len(plans) < most:
            chosen = _next(ground, rows, prices, rank, factors)
            if chosen is None:
                break
            plans.append(_plan(ground, chosen, prices))
            if not chosen:
                break
            rows.at_least(dict.fromkeys(chosen, -1.0), 1 - len(chosen))
    except NotProved:
        proved = False
    if plans or not proved:
        return SwapAnswer(tuple(plans), proved, (), _told(plans, proved))
    return _no_way(ground, bare)


class _Prices:
    """Costs in whole pence, and minutes, of offers and items."""

    def __init__(self, offers: Sequence[Offer], items: Sequence[ItemPrice], labour_an_hour: Decimal) -> None:
        self.offers, self.items, self.labour = offers, items, labour_an_hour

    def item(self, text: str) -> ItemPrice | None:
        """The price given for an item, if any."""
        low = text.lower()
        return next((item for item in self.items if item.words.lower() in low), None)

    def pence(self, price: Decimal, minutes: int) -> int:
        """Price and labour together, in whole pence."""
        return round((price + self.labour * minutes / 60) * _PENCE)

    def costs(self, rank: Rank, second: bool) -> CostOf:
        """The cost of each column: first by *rank*, or what decides between equals."""

        def of(price: Decimal, minutes: int, known: bool) -> float:
            pence, unknown = self.pence(price, minutes), 0 if known else 1
            first = {"price": pence, "labour": minutes, "changes": 1}[rank]
            rest = {
                "price": 100_000 * unknown + 1000 + minutes,
                "labour": pence + 1,
                "changes": pence + 1,
            }[rank]
            return float(rest if second else first)

        def column_costs(rows: Rows) -> dict[int, float]:
            costs = {n: of(offer.price, offer.minutes, True) for n, offer in enumerate(self.offers)}
            for text, column in rows.items():
                item = self.item(text)
                costs[column] = of(item.price, item.minutes, True) if item else of(Decimal(0), 0, False)
            return costs

        return column_costs


def _next(ground: Field, rows: Rows, prices: _Prices, rank: Rank, factors: range) -> Chosen | None:
    """The next best choice: the least first cost, and among those the least of what decides between equals."""
    first = prices.costs(rank, second=False)
    found = best(ground, rows, first, factors)
    if found is None:
        return None
    among = best(ground, rows, prices.costs(rank, second=True), factors, cap=(first, found[1]))
    return found[0] if among is None else among[0]


def _plan(ground: Field, chosen: Chosen, prices: _Prices) -> SwapPlan:
    offers = tuple(sorted((prices.offers[n] for n in chosen), key=lambda offer: (offer.slot, offer.id)))
    needed = sorted(
        {item for number in range(len(ground.factors)) for item in ground.said(number, chosen).items}
    )
    found = [(text, prices.item(text)) for text in needed]
    price = sum((offer.price for offer in offers), Decimal(0)) + sum(
        (i.price for _, i in found if i), Decimal(0)
    )
    minutes = sum(offer.minutes for offer in offers) + sum(i.minutes for _, i in found if i)
    build = ground.built(chosen)
    changed = {name for offer in offers for name in offer.sets}
    return SwapPlan(
        offers=offers,
        items=tuple(needed),
        unpriced=tuple(text for text, item in found if item is None),
        price=price,
        minutes=minutes,
        cost=(price + prices.labour * minutes / 60).quantize(Decimal("0.01")),
        build=build,
        verdict=check_build(build, ground.view, changed if changed else None),
    )


def _no_way(ground: Field, bare: Rows) -> SwapAnswer:
    goals = [number for number, factor in enumerate(ground.factors) if factor.place is None]
    rules = [number for number, factor in enumerate(ground.factors) if factor.place is not None]
    try:
        found = smallest_clash(ground, bare, goals, rules)
    except NotProved:
        return SwapAnswer(
            (),
            False,
            (),
            "No way was found, and none was ruled out: too many combinations. Narrow the offers.",
        )
    if not found:
        wanted = "; ".join(goal.text for goal in ground.goals)
        return SwapAnswer(
            (), True, (), f"Nothing in bins or catalogue reaches the goal {wanted}. Add an offer that does."
        )
    clash = tuple(ground.clash_of(number, chosen) for number, chosen in found)
    names = " and ".join(one.name for one in clash)
    together = "cannot hold together" if len(clash) > 1 else "cannot hold"
    return SwapAnswer(
        (), True, clash, f"No way: {names} {together} with these offers. Add an offer, or change the goal."
    )


def _told(plans: Sequence[SwapPlan], proved: bool) -> str:
    if not plans:
        return "No way was found, and none was ruled out: too many combinations. Narrow the offers."
    if not plans[0].offers:
        return "Nothing need be changed: the build is at the goal."
    best_is = "the first is the best there is" if proved else "better ones may exist: the search was stopped"
    return f"{len(plans)} {'way' if len(plans) == 1 else 'ways'}; {best_is}."


def _conditions(goal: Mapping[str, object] | Sequence[str]) -> list[str]:
    """The goal as conditions of the rules' own language."""
    if isinstance(goal, Mapping):
        texts = []
        for name, value in goal.items():
            if not isinstance(name, str) or not name.isidentifier():
                raise InputRefused(
                    f'the goal names "{str(name)[:40]}": the name of a fact such as cassette. Write it again.'
                )
            values = list(value) if isinstance(value, list | tuple | set | frozenset) else [value]
            if not values or not all(isinstance(one, str | int | float) for one in values):
                raise InputRefused(
                    f'the goal for "{name}" is no value: a word, a figure, or a list of them. Write it again.'
                )
            texts.append(" or ".join(f"{name} == {one!r}" for one in values))
        return texts
    if (
        isinstance(goal, str)
        or not isinstance(goal, Sequence)
        or not all(isinstance(text, str) for text in goal)
    ):
        raise InputRefused(
            "the goal is a set of facts, or a list of conditions such as sprocket_big >= 42. Write it again."
        )
    return list(goal)


def _refuse(
    build: object,
    catalogue: Sequence[Offer],
    items: Sequence[ItemPrice],
    labour: object,
    rank: object,
    most: object,
) -> None:
    if not isinstance(build, Mapping):
        raise InputRefused(
            "the build is no set of named facts: give each fact by its name, such as cassette. Name each."
        )
    if len(catalogue) > MOST_OFFERS:
        raise InputRefused(
            f"{len(catalogue)} offers: at most {MOST_OFFERS}. Narrow them to the parts in question."
        )
    if (
        rank not in ("price", "labour", "changes")
        or isinstance(most, bool)
        or most not in range(1, MOST_PLANS + 1)
    ):
        raise InputRefused(
            f"rank is {rank!r} and most {most!r}: price, labour or changes, and 1 to {MOST_PLANS}. Pick one."
        )
    seen: set[str] = set()
    priced: list[Offer | ItemPrice] = [*catalogue, *items]
    for offer in priced:
        name = offer.id if isinstance(offer, Offer) else offer.words
        sound = isinstance(offer.price, Decimal) and offer.price.is_finite() and offer.price >= 0
        if (
            not sound
            or isinstance(offer.minutes, bool)
            or not isinstance(offer.minutes, int)
            or not 0 <= offer.minutes < 10_000
        ):
            raise InputRefused(
                f'"{name}" costs {offer.price} and {offer.minutes} min: neither is below 0. Correct the offer.'
            )
        if isinstance(offer, Offer):
            if name in seen or not offer.sets:
                raise InputRefused(
                    f'offer "{name}" is there twice or brings no fact: each once, with its facts. Correct it.'
                )
            seen.add(name)
    if not isinstance(labour, Decimal) or not labour.is_finite() or labour < 0:
        raise InputRefused(f"labour is {labour!r} an hour: a price, not below 0. Correct it.")
