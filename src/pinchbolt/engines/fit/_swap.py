"""The cheapest set of changes that ends in a bike on which nothing does not fit."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from pinchbolt.engines.fit._build import check_build
from pinchbolt.engines.fit._field import Chosen, Field
from pinchbolt.engines.fit._search import CostOf, NotProved, Rows, best, least_with, smallest_clash
from pinchbolt.engines.fit._swap_worth import A_SLOT, FEW, Market, worth_asking
from pinchbolt.engines.fit._tables import view_of
from pinchbolt.engines.fit.fit_types import FitNeed, FitWord, ItemPrice, Offer, SwapAnswer, SwapPlan
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded

Rank = Literal["price", "labour", "changes"]
MOST_OFFERS = 50_000
MOST_PLANS = 5
_PENCE = 100
_FREE = ItemPrice("", Decimal(0))


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
    moved: Mapping[str, object] | None = None,
    together: Collection[str] = (),
) -> SwapAnswer:
    """Return up to five ways from this build to the goal, best first, each ending with nothing that does not fit.

    Least ``sum(price + labour)`` over offers and over what the rules ask for besides (spacers, adapters; at each place by
    itself), where of each slot at most one offer is fitted; or the least labour, or the fewest changes. By cost, a way
    of which some price is not known comes after all whose prices are. No answer holds another answer whole.

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
        moved: Facts of a part that is moved in from elsewhere and stays; None for what is not known of it. [as there]
        together: Those of them that met before, as they came along with one part: doubts among them lead no plan. [-]

    Returns:
        The plans, or the smallest set of rules that clash. [-]

    Raises:
        InputRefused: A goal, offer or price that makes no sense, or more than 50,000 offers.

    Valid for: Facts and rules as in the tables. Doubts are not hidden: each plan carries its own check.

    Example:
        >>> shim = ItemPrice("shim", Decimal("6.00"))
        >>> post = Offer("p", "post 27.2", "seat post", {"seat_post": 27.2}, Decimal("30.00"), 10)
        >>> answer = plan_swap({"seat_tube": 31.6}, {"seat_post": 27.2}, [post], tables, items=[shim])
        >>> answer.plans[0].price, answer.plans[0].items
        (Decimal('36.00'), ('shim 27.2 to 31.6',))

    Source: Rules as in the tables; the search is exact (a linear program over yes and no, rules added as they break).
    """
    view = view_of(tables)
    _refuse(build, catalogue, items, labour_an_hour, rank, most)
    prices = _Prices(items, labour_an_hour)
    wanted = _conditions(goal)

    whole = Field(build, moved or {}, wanted, catalogue, view, without_doubt, frozenset(together))
    # Offers that cannot be in an answer are left out beforehand; the proofs stand beside `worth_asking` and `affordable`.
    market = worth_asking(whole, most, lambda offer: prices.ranked(offer, rank))
    if rank != "changes" and len(market) > FEW:
        tried = market.cheapest_of_each_slot(A_SLOT)
        some = _answers(whole.narrowed(tried.offers), tried, prices, rank, most)
        if len(some.plans) == most and not some.plans[-1].unpriced:
            market = market.affordable(some.costs[-1])
            dear = whole.narrowed(market.offers)
            costs = prices.costs(dear.offers, rank, second=False)
            least = least_with(dear, _bare_rows(dear, prices), costs, range(len(dear.factors)))
            market = market.affordable(some.costs[-1], least)
    ground = whole.narrowed(market.offers)
    answers = _answers(ground, market, prices, rank, most)
    if answers.plans or not answers.proved:
        return SwapAnswer(tuple(answers.plans), answers.proved, (), _told(answers.plans, answers.proved))
    return _no_way(ground, answers.bare)


@dataclass(slots=True)
class _Answers:
    """Plans with their costs by rank, best first; the rows before any rule was told; whether nothing was missed."""

    bare: Rows
    plans: list[SwapPlan] = field(default_factory=list)
    costs: list[float] = field(default_factory=list)
    proved: bool = True


def _answers(ground: Field, market: Market, prices: "_Prices", rank: Rank, most: int) -> _Answers:
    """The best ways over one market, one after another."""
    rows = _bare_rows(ground, prices)
    found = _Answers(rows.copied())
    rows.all_priced = rank == "price"
    factors = range(len(ground.factors))
    try:
        while len(found.plans) < most:
            # The second of like offers cannot be in the best answer, nor the third in the second.
            rows.shut = frozenset(n for n, first in enumerate(market.from_answer) if first > len(found.plans))
            best_one = _next(ground, rows, prices, rank, factors)
            if best_one is None and rows.all_priced:
                rows.all_priced = False
                continue
            if best_one is None:
                break
            chosen, cost = best_one
            found.plans.append(_plan(ground, chosen, prices))
            found.costs.append(cost)
            if not chosen and not _go_on(rows, found.plans[-1]):
                break
            if chosen:
                rows.at_least(dict.fromkeys(chosen, -1.0), 1 - len(chosen))
    except NotProved:
        found.proved = False
    return found


def _bare_rows(ground: Field, prices: "_Prices") -> Rows:
    """The rows before any rule is told: offers that cannot be fitted together."""
    rows = Rows(len(ground.offers), is_priced=prices.is_known)
    for rivals in ground.at_odds():
        rows.at_least(dict.fromkeys(rivals, -1.0), -1)
    return rows


def _go_on(rows: Rows, bare: SwapPlan) -> bool:
    """Whether ways to spare something of what a part moved in needs are still to be looked for; then that is told."""
    if not bare.needs:
        return False
    # At least one of the things needed must be spared, or the answer would be the bare one with a part too many.
    rows.at_least({rows.column(need): -1.0 for need in bare.needs}, 1 - len(bare.needs))
    return True


class _Prices:
    """Costs in whole pence, and minutes, of offers and items."""

    def __init__(self, items: Sequence[ItemPrice], labour_an_hour: Decimal) -> None:
        self.items, self.labour = items, labour_an_hour

    def item(self, need: FitNeed) -> ItemPrice | None:
        """The price given for a need, if any; what is only done or said costs nothing where none is given."""
        low = need.words.lower()
        free = _FREE if need.is_work else None
        return next((item for item in self.items if item.words.lower() in low), free)

    def is_known(self, need: FitNeed) -> bool:
        """Whether a price is known for a need."""
        return self.item(need) is not None

    def pence(self, price: Decimal, minutes: int) -> int:
        """Price and labour together, in whole pence."""
        return round((price + self.labour * minutes / 60) * _PENCE)

    def both(self, rank: Rank, price: Decimal, minutes: int, known: bool = True) -> tuple[float, float]:
        """The cost by *rank*, and what decides between equals."""
        pence, unknown = self.pence(price, minutes), 0 if known else 1
        if rank == "price":
            return float(pence), float(100_000 * unknown + 1000 + minutes)
        return float(minutes if rank == "labour" else 1), float(pence + 1)

    def ranked(self, offer: Offer, rank: Rank) -> tuple[float, float]:
        """The same of an offer."""
        return self.both(rank, offer.price, offer.minutes)

    def costs(self, offers: Sequence[Offer], rank: Rank, second: bool) -> CostOf:
        """The cost of each column: first by *rank*, or what decides between equals."""
        fixed = {n: self.ranked(offer, rank)[second] for n, offer in enumerate(offers)}

        def column_costs(rows: Rows) -> dict[int, float]:
            costs = dict(fixed)
            for need, column in rows.items():
                item = self.item(need)
                price, minutes = (item.price, item.minutes) if item else (Decimal(0), 0)
                costs[column] = self.both(rank, price, minutes, item is not None)[second]
            return costs

        return column_costs


def _next(
    ground: Field, rows: Rows, prices: _Prices, rank: Rank, factors: range
) -> tuple[Chosen, float] | None:
    """The next best choice and its cost: the least first cost, and among those the least of what decides between equals."""
    first = prices.costs(ground.offers, rank, second=False)
    found = best(ground, rows, first, factors)
    if found is None:
        return None
    among = best(ground, rows, prices.costs(ground.offers, rank, second=True), factors, cap=(first, found[1]))
    return (found if among is None else among)[0], found[1]


def _plan(ground: Field, chosen: Chosen, prices: _Prices) -> SwapPlan:
    offers = tuple(sorted((ground.offers[n] for n in chosen), key=lambda offer: (offer.slot, offer.id)))
    needed = sorted(
        {item for number in range(len(ground.factors)) for item in ground.said(number, chosen).items}
    )
    found = [(need, prices.item(need)) for need in needed]
    price = sum((offer.price for offer in offers), Decimal(0)) + sum(
        (i.price for _, i in found if i), Decimal(0)
    )
    minutes = sum(offer.minutes for offer in offers) + sum(i.minutes for _, i in found if i)
    build = ground.built(chosen)
    offered = {name for offer in offers for name in offer.sets}
    return SwapPlan(
        offers=offers,
        needs=tuple(needed),
        unpriced=tuple(need for need, item in found if item is None),
        price=price,
        minutes=minutes,
        cost=(price + prices.labour * minutes / 60).quantize(Decimal("0.01")),
        build=build,
        verdict=check_build(
            build,
            ground.view,
            offered | (ground.moved & build.keys()) or None,
            before=ground.before if ground.moved else None,
            together=ground.together - offered,
            moved=ground.moved | offered,
        ),
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
            worded("No way was found, and none was ruled out: too many combinations. Narrow the offers."),
        )
    if not found:
        wanted = "; ".join(goal.text for goal in ground.goals)
        return SwapAnswer(
            (),
            True,
            (),
            worded(
                "Nothing in bins or catalogue reaches the goal {wanted}. Add an offer that does.",
                wanted=wanted,
            ),
        )
    clash = tuple(ground.clash_of(number, chosen) for number, chosen in found)
    names = worded(" and ").join(one.name for one in clash)
    together = worded("cannot hold together") if len(clash) > 1 else worded("cannot hold")
    return SwapAnswer(
        (),
        True,
        clash,
        worded(
            "No way: {names} {together} with these offers. Add an offer, or change the goal.",
            names=names,
            together=together,
        ),
    )


def _told(plans: Sequence[SwapPlan], proved: bool) -> str:
    if not plans:
        return worded("No way was found, and none was ruled out: too many combinations. Narrow the offers.")
    if not plans[0].offers and len(plans) == 1:
        if plans[0].needs:
            return worded(
                "Nothing else need be changed; needed: {items}.", items=worded(" and ").join(plans[0].items)
            )
        if plans[0].verdict.verdict is FitWord.CANNOT_TELL:
            return worded("By what is known nothing need be changed; what is not known is asked for.")
        return worded("Nothing need be changed: the build is at the goal.")
    best_is = worded("the first is the best there is") if proved else worded("there may be better ones")
    return f"{len(plans)} {'way' if len(plans) == 1 else 'ways'}; {best_is}."


def _conditions(goal: Mapping[str, object] | Sequence[str]) -> list[str]:
    """The goal as conditions of the rules' own language."""
    if isinstance(goal, Mapping):
        texts = []
        for name, value in goal.items():
            if not isinstance(name, str) or not name.isidentifier():
                raise InputRefused(
                    worded(
                        'the goal names "{name}": the name of a fact such as cassette. Write it again.',
                        name=str(name)[:40],
                    )
                )
            values = list(value) if isinstance(value, list | tuple | set | frozenset) else [value]
            if not values or not all(isinstance(one, str | int | float) for one in values):
                raise InputRefused(
                    worded(
                        'the goal for "{name}" is no value: a word, a figure, or a list of them. Write it '
                        "again.",
                        name=name,
                    )
                )
            texts.append(" or ".join(f"{name} == {one!r}" for one in values))
        return texts
    if (
        isinstance(goal, str)
        or not isinstance(goal, Sequence)
        or not all(isinstance(text, str) for text in goal)
    ):
        raise InputRefused(
            worded(
                "the goal is a set of facts, or a list of conditions such as sprocket_big >= 42. "
                "Write it again."
            )
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
            worded(
                "the build is no set of named facts: give each fact by its name, such as cassette. Name each."
            )
        )
    if len(catalogue) > MOST_OFFERS:
        raise InputRefused(
            worded(
                "{catalogue} offers: at most {most_offers}. Narrow them to the parts in question.",
                catalogue=len(catalogue),
                most_offers=MOST_OFFERS,
            )
        )
    if (
        rank not in ("price", "labour", "changes")
        or isinstance(most, bool)
        or most not in range(1, MOST_PLANS + 1)
    ):
        raise InputRefused(
            worded(
                "rank is {rank!r} and most {most!r}: price, labour or changes, and 1 to "
                "{most_plans}. Pick one.",
                rank=rank,
                most=most,
                most_plans=MOST_PLANS,
            )
        )
    _refuse_offers(catalogue, items)
    if not isinstance(labour, Decimal) or not labour.is_finite() or labour < 0:
        raise InputRefused(
            worded("labour is {labour!r} an hour: a price, not below 0. Correct it.", labour=labour)
        )


def _refuse_offers(catalogue: Sequence[Offer], items: Sequence[ItemPrice]) -> None:
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
                worded(
                    '"{name}" costs {price} and {minutes} min: neither is below 0. Correct the offer.',
                    name=name,
                    price=offer.price,
                    minutes=offer.minutes,
                )
            )
        if isinstance(offer, Offer):
            if name in seen or not offer.sets:
                raise InputRefused(
                    worded(
                        'offer "{name}" is there twice or brings no fact: each once, with its facts. Correct '
                        "it.",
                        name=name,
                    )
                )
            seen.add(name)
