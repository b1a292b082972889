"""Planning a swap: the cheapest way, several ways, and why there is none; held to trying everything."""

import random
from collections.abc import Iterator, Mapping
from decimal import Decimal
from itertools import combinations, product
from typing import Any

import pytest

from pinchbolt.engines.fit import FitWord, ItemPrice, Offer, SwapAnswer, check_build, plan_swap
from pinchbolt.engines.fit import _search as search
from pinchbolt.engines.fit import _swap as swap
from pinchbolt.engines.fit._fit_words import Looking
from pinchbolt.engines.fit._language import expression, truth
from pinchbolt.engines.fit._swap_worth import Market
from pinchbolt.errors import InputRefused
from ratios.swap import catalogue
from tests.engines.fit.conftest import plain_view

TABLES = plain_view()
HOUR = Decimal(60)


def offer(name: str, slot: str, price: int, minutes: int = 0, **sets: object) -> Offer:
    """An offer with a round price."""
    return Offer(name, name.replace("-", " "), slot, sets, Decimal(price), minutes)


def every_choice(catalogue: list[Offer]) -> Iterator[tuple[Offer, ...]]:
    """All choices of at most one offer a slot in which no two say different things of one fact."""
    slots: dict[str, list[Offer | None]] = {}
    for one in catalogue:
        slots.setdefault(one.slot, [None]).append(one)
    for picked in product(*slots.values()):
        chosen = tuple(one for one in picked if one is not None)
        facts: dict[str, object] = {}
        if all(facts.setdefault(name, value) == value for one in chosen for name, value in one.sets.items()):
            yield chosen


def reached(goal: Mapping[str, object], facts: Mapping[str, object]) -> bool:
    """The goal, read plainly."""
    return all(facts.get(name) == value for name, value in goal.items())


class Bill(tuple[bool, Decimal]):
    """What a choice costs, as a bill is written by hand: whether a price is missing, and the sum of those that are known."""


def bill_of(
    chosen: tuple[Offer, ...],
    facts: dict[str, Any],
    before: dict[tuple[str, str], set[str]],
    items: list[ItemPrice],
) -> Bill | None:
    """The bill of one choice; None where it needs a part that should itself have been chosen.

    Written apart from the planner: rule by rule and place by place, so that what is needed at two ends is paid twice.
    """
    changed = {name for one in chosen for name in one.sets}
    total = sum((one.price + HOUR * one.minutes / 60 for one in chosen), Decimal(0))
    missing, paid = False, set()
    for check in check_build(facts, TABLES, changed).checks if chosen else ():
        if check.verdict is not FitWord.FITS_WITH:
            continue
        for text in check.with_items:
            if text in before.get((check.rule, check.place), set()) or (check.place, text) in paid:
                continue
            if text in check.parts:
                return None
            paid.add((check.place, text))
            price = next((item for item in items if item.words in text), None)
            if price is not None:
                total += price.price + HOUR * price.minutes / 60
            elif text not in check.work:
                missing = True
    return Bill((missing, total))


def all_plans(
    build: dict[str, Any], goal: dict[str, Any], catalogue: list[Offer], items: list[ItemPrice]
) -> dict[frozenset[str], Bill]:
    """Second way: every choice is built, checked and billed, with nothing clever. Bill by set of offers."""
    before = {(check.rule, check.place): set(check.with_items) for check in check_build(build, TABLES).checks}
    found = {}
    for chosen in every_choice(catalogue):
        facts = dict(build)
        for one in chosen:
            facts.update(one.sets)
        answer = check_build(facts, TABLES)
        if not reached(goal, facts) or any(check.verdict is FitWord.DOES_NOT_FIT for check in answer.checks):
            continue
        bill = bill_of(chosen, facts, before, items)
        if bill is not None:
            found[frozenset(one.id for one in chosen)] = bill
    return found


ROAD = {
    "body": "hg-8910", "cassette": "c10-narrow", "chain": "ch-10", "shift": "pull-classic", "speeds_shifter": 10,
    "derailleur_family": "pull-classic", "max_big": 28, "min_small": 11, "min_big": 23, "sprocket_big": 28,
    "sprocket_small": 12, "ring_big": 50, "ring_small": 34, "capacity": 37, "rear_hub": "r-qr-10x130",
    "frame_rear": "r-qr-10x130",
}  # fmt: skip
ITEMS = [
    ItemPrice("spacer", Decimal(3), 0),
    ItemPrice("hanger link", Decimal(18), 10),
    ItemPrice("b-screw", Decimal(0), 5),
]


def road_catalogue() -> list[Offer]:
    """What could bring an older 10-speed road bike to 11 speeds and a 32."""
    return [
        offer("cassette-11-28", "cassette", 60, 14, cassette="c11-road", sprocket_big=28, sprocket_small=11),
        offer("cassette-11-32", "cassette", 65, 14, cassette="c11-road", sprocket_big=32, sprocket_small=11),
        offer("cassette-11-34", "cassette", 70, 14, cassette="c11-overhang", sprocket_big=34, sprocket_small=11,
              sprocket_pitch=3.7),
        offer("chain-11", "chain", 40, 15, chain="ch-11"),
        offer("body-11", "freehub body", 55, 25, body="hg-11"),
        offer("wheel-11", "freehub body", 190, 8, body="hg-11"),
        offer("levers-11", "shifters", 260, 90, shift="pull-road-late", speeds_shifter=11),
        offer("levers-exact", "shifters", 200, 90, shift="pull-exact", speeds_shifter=11),
        offer("mech-34", "rear derailleur", 80, 20, derailleur_family="pull-road-late", max_big=34, min_small=11,
              min_big=28, capacity=39),
        offer("mech-30", "rear derailleur", 50, 20, derailleur_family="pull-road-late", max_big=30, min_small=11,
              min_big=25, capacity=35),
        offer("mech-exact", "rear derailleur", 70, 20, derailleur_family="pull-exact", max_big=32, min_small=11,
              min_big=25, capacity=37),
    ]  # fmt: skip


def costs(answer: SwapAnswer) -> list[Decimal]:
    """Costs in the order of the answer."""
    return [plan.cost for plan in answer.plans]


def minimal(found: dict[frozenset[str], Bill]) -> dict[frozenset[str], Bill]:
    """The cheapest first, each struck off with every set that holds it, as the planner promises."""
    left = dict(found)
    kept: dict[frozenset[str], Bill] = {}
    while left:
        first = min(left, key=lambda names: left[names])
        kept[first] = left[first]
        left = {names: cost for names, cost in left.items() if not first <= names}
    return kept


def test_a_road_bike_goes_to_eleven_speeds_the_cheapest_way() -> None:
    """The same best cost as trying every choice, in the same order."""
    goal = {"cassette": "c11-road", "sprocket_big": 32}
    catalogue = [one for one in road_catalogue() if one.id not in ("wheel-11", "cassette-11-28", "mech-34")]
    answer = plan_swap(ROAD, goal, catalogue, TABLES, items=ITEMS, labour_an_hour=HOUR)
    truth_of_it = all_plans(ROAD, goal, catalogue, ITEMS)
    assert answer.proved
    assert costs(answer) == [bill[1] for bill in sorted(minimal(truth_of_it).values())][: len(answer.plans)]
    assert answer.plans[0].cost == min(truth_of_it.values())[1]
    assert all(plan.verdict.verdict is not FitWord.DOES_NOT_FIT for plan in answer.plans)
    assert {one.slot for one in answer.plans[0].offers} >= {
        "cassette",
        "freehub body",
        "shifters",
        "rear derailleur",
    }


def random_market(seed: int) -> tuple[dict[str, Any], dict[str, Any], list[Offer], list[ItemPrice]]:
    """A small bike, goal and catalogue drawn from rules that bite one another."""
    draw = random.Random(seed)
    bodies, cassettes = (
        ["hg-8910", "hg-11", "xd", "xdr", "micro-spline"],
        ["c9", "c10-narrow", "c11-road", "c12-ms", "c12-xd"],
    )
    build = {
        "body": draw.choice(bodies), "cassette": draw.choice(cassettes), "chain": draw.choice(["ch-9", "ch-11", "ch-12"]),
        "seat_post": draw.choice([27.2, 30.9, 31.6]), "seat_tube": draw.choice([27.2, 30.9, 31.6, 34.9]),
        "native_rear": 160, "rotor_rear": draw.choice([160, 180]), "max_rotor_rear": draw.choice([160, 180, 203]),
        "caliper": "post",
    }  # fmt: skip
    catalogue = []
    for number in range(draw.randint(3, 9)):
        slot, fact, values = draw.choice([
            ("body", "body", bodies), ("cassette", "cassette", cassettes), ("chain", "chain", ["ch-9", "ch-10", "ch-11", "ch-12"]),
            ("post", "seat_post", [27.2, 30.9, 31.6, 34.9]), ("rotor", "rotor_rear", [160, 180, 203]),
        ])  # fmt: skip
        catalogue.append(
            offer(f"o{number}", slot, draw.randint(0, 40), draw.randint(0, 30), **{fact: draw.choice(values)})
        )
    goal = {"cassette": draw.choice(cassettes)} if draw.random() < 0.7 else {"rotor_rear": 180}
    items = [
        ItemPrice("spacer", Decimal(draw.randint(0, 9))),
        ItemPrice("shim", Decimal(7), 5),
        ItemPrice("+20", Decimal(20), 5),
    ]
    if seed % 2:
        # Both ends, and prices that nobody knows: the same adapter twice, and ways that only look cheap.
        build |= {"native_front": 160, "rotor_front": 160, "max_rotor_front": draw.choice([180, 203])}
        for number in range(2):
            catalogue.append(
                offer(f"f{number}", "rotor front", draw.randint(0, 40), rotor_front=draw.choice([180, 203]))
            )
        goal = {**goal, "rotor_front": 180} if draw.random() < 0.5 else goal
        items = [one for one in items if draw.random() < 0.6]
    return build, goal, catalogue, items


@pytest.mark.parametrize("seed", range(40))
def test_small_markets_against_trying_everything(seed: int) -> None:
    """The costs of the answers are those of trying everything, best first; where nothing works, it says so."""
    build, goal, catalogue, items = random_market(seed)
    answer = plan_swap(build, goal, catalogue, TABLES, items=items, labour_an_hour=HOUR)
    found = all_plans(build, goal, catalogue, items)
    assert answer.proved
    assert bool(answer.plans) == bool(found)
    if not found:
        assert answer.words
        return
    if frozenset() in found:
        assert answer.plans[0].offers == ()
        return
    assert answer.plans[0].cost == min(found.values())[1].quantize(Decimal("0.01"))
    for plan in answer.plans:
        missing, bill = found[frozenset(one.id for one in plan.offers)]
        assert (bool(plan.unpriced), plan.cost) == (missing, bill.quantize(Decimal("0.01")))
        assert (
            len({(need.place, need.words) for need in plan.needs}) == len(plan.needs) == len(set(plan.items))
        )
    bills = [(bool(plan.unpriced), plan.cost) for plan in answer.plans]
    assert bills == sorted(bills)
    chosen = [frozenset(one.id for one in plan.offers) for plan in answer.plans]
    assert not any(one < other or one == other for n, other in enumerate(chosen) for one in chosen[:n])
    # Nothing cheaper than the last answer was passed over, but for choices that hold an answer whole.
    for names, cost in found.items():
        passed_over = names not in chosen and not any(one <= names for one in chosen)
        assert not passed_over or len(chosen) == 5 or cost >= max(found[one] for one in chosen)
    if len(chosen) < 5:
        assert all(any(one <= names for one in chosen) for names in found)


@pytest.mark.parametrize("seed", range(100, 110))
def test_a_rule_told_as_it_is_broken_gives_the_same_answers(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Too many cases to list: the search learns them one by one, to the same costs and the same clash size."""
    build, goal, catalogue, items = random_market(seed)
    listed = plan_swap(build, goal, catalogue, TABLES, items=items, labour_an_hour=HOUR)
    monkeypatch.setattr(search, "MOST_CASES", 0)
    learnt = plan_swap(build, goal, catalogue, TABLES, items=items, labour_an_hour=HOUR)
    assert costs(learnt) == costs(listed)
    assert len(learnt.clash) == len(listed.clash)


def test_a_search_that_is_stopped_says_that_it_proved_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """No claim without a proof."""
    monkeypatch.setattr(search, "MOST_ROUNDS", 0)
    answer = plan_swap(ROAD, {"cassette": "c11-road"}, road_catalogue(), TABLES)
    assert (answer.plans, answer.proved, answer.clash) == ((), False, ())
    assert "none was ruled out" in answer.words


def rule_sets_that_clash(
    build: dict[str, Any], goal: dict[str, Any], catalogue: list[Offer]
) -> tuple[int, set[frozenset[tuple[str, str]]]]:
    """Second way: the sizes of the smallest sets of rules of which every goal-reaching choice breaks one."""
    broken = []
    for chosen in every_choice(catalogue):
        facts = dict(build)
        for one in chosen:
            facts.update(one.sets)
        if reached(goal, facts):
            checks = check_build(facts, TABLES).checks
            broken.append({(c.rule, c.place) for c in checks if c.verdict is FitWord.DOES_NOT_FIT})
    rules = sorted(set().union(*broken)) if broken else []
    for size in range(len(rules) + 1):
        fitting = {
            frozenset(some) for some in combinations(rules, size) if all(set(some) & one for one in broken)
        }
        if fitting:
            return size, fitting
    return 0, set()


def test_where_no_way_is_found_the_smallest_set_of_clashing_rules_is_named() -> None:
    """Over the random markets without a way: as small as trying every set of rules finds, and one of those."""
    seen = 0
    for seed in range(45):
        build, goal, catalogue, items = random_market(seed)
        answer = plan_swap(build, goal, catalogue, TABLES, items=items)
        if answer.plans:
            continue
        size, sets = rule_sets_that_clash(build, goal, catalogue)
        named = frozenset((one.rule, one.place) for one in answer.clash)
        assert len(named) == size
        if size:
            seen += size > 1
            assert named in sets
            assert all(one.because for one in answer.clash)
    assert seen > 0, "the markets hold at least one clash of two rules"


def test_two_rules_that_clash_are_both_named() -> None:
    """11 speeds want the longer body; the only longer body is in a wheel too wide for the frame."""
    build = {
        "body": "hg-8910",
        "cassette": "c10-narrow",
        "rear_hub": "r-qr-10x130",
        "frame_rear": "r-qr-10x130",
    }
    catalogue = [
        offer("cassette-11", "cassette", 60, cassette="c11-road"),
        offer("wheel", "rear wheel", 200, body="hg-11", rear_hub="r-12x142"),
    ]
    answer = plan_swap(build, {"cassette": "c11-road"}, catalogue, TABLES)
    assert answer.plans == ()
    assert {one.rule for one in answer.clash} == {"cassette-body", "hub-frame"}
    assert "cannot hold together" in answer.words


def test_a_goal_that_nothing_brings_is_said() -> None:
    """No rule is to blame."""
    answer = plan_swap(
        {"cassette": "c9"}, {"cassette": "c11-road"}, [offer("chain", "chain", 30, chain="ch-9")], TABLES
    )
    assert (answer.plans, answer.clash) == ((), ())
    assert "Nothing in bins or catalogue reaches the goal" in answer.words


def test_a_build_that_is_there_already_needs_no_change() -> None:
    """Nothing to buy."""
    answer = plan_swap({"seat_post": 27.2, "seat_tube": 27.2}, {"seat_post": 27.2}, [], TABLES)
    assert answer.plans[0].offers == ()
    assert answer.words.startswith("Nothing need be changed")


def test_two_parts_of_one_slot_are_never_fitted_together() -> None:
    """One rear wheel at a time, also where they say nothing against one another."""
    wheels = [offer("one", "rear wheel", 90, body="hg-11"), offer("two", "rear wheel", 90, rim_bsd=622)]
    both = plan_swap({}, {"body": "hg-11", "rim_bsd": 622}, wheels, TABLES)
    assert (both.plans, both.clash) == ((), ())
    apart = [wheels[0], offer("two", "front wheel", 90, rim_bsd=622)]
    assert len(plan_swap({}, {"body": "hg-11", "rim_bsd": 622}, apart, TABLES).plans[0].offers) == 2


def test_a_misfit_that_is_there_already_must_be_put_right() -> None:
    """The end may hold nothing that does not fit, also where the goal did not ask."""
    build = {"seat_post": 31.6, "seat_tube": 27.2, "chain": "ch-9", "drive": "10"}
    catalogue = [offer("chain-10", "chain", 30, chain="ch-10"), offer("post", "post", 25, seat_post=27.2)]
    answer = plan_swap(build, {"chain": "ch-10"}, catalogue, TABLES)
    assert [one.id for one in answer.plans[0].offers] == ["chain-10", "post"]


def test_the_spacers_that_are_on_the_bike_are_not_bought_again() -> None:
    """Another 9-speed cassette goes behind the same spacer."""
    build = {"cassette": "c9", "body": "hg-11", "sprocket_big": 25}
    catalogue = [offer("wide", "cassette", 30, cassette="c9", sprocket_big=32)]
    answer = plan_swap(build, {"sprocket_big": 32}, catalogue, TABLES, items=ITEMS)
    assert (answer.plans[0].items, answer.plans[0].price) == ((), Decimal(30))
    fresh = plan_swap({"body": "hg-11"}, {"sprocket_big": 32}, catalogue, TABLES, items=ITEMS)
    assert (fresh.plans[0].items, fresh.plans[0].price) == (
        ("1.85 mm spacer behind",),
        Decimal(33),
    )


def test_an_item_without_a_price_is_said_and_a_priced_way_of_the_same_cost_comes_first() -> None:
    """What nobody priced is not free."""
    build = {"seat_tube": 31.6}
    catalogue = [offer("thin", "post", 30, seat_post=27.2), offer("thick", "post", 30, seat_post=31.6)]
    for told in (catalogue, catalogue[::-1]):
        answer = plan_swap(build, ["known(seat_post)"], told, TABLES)
        assert [plan.offers[0].id for plan in answer.plans] == ["thick", "thin"]
        assert [need.words for need in answer.plans[1].unpriced] == ["shim 27.2 to 31.6"]


def test_of_two_ways_of_one_cost_the_one_with_fewer_changes_comes_first() -> None:
    """A dear part that does both, or two that add up to its price."""
    both = offer("both", "wheel", 60, body="hg-11", rim_bsd=622)
    two = [offer("body", "body", 30, body="hg-11"), offer("rim", "rim", 30, rim_bsd=622)]
    for told in ([both, *two], [*two, both]):
        answer = plan_swap({}, {"body": "hg-11", "rim_bsd": 622}, told, TABLES)
        assert [len(plan.offers) for plan in answer.plans] == [1, 2]


def test_offers_that_say_different_things_of_one_fact_are_never_fitted_together() -> None:
    """A wheel with a short body and a body that is long: nobody knows which of them is on the bike."""
    told = [offer("wheel", "wheel", 90, body="hg-8910", rim_bsd=622), offer("body", "body", 50, body="hg-11")]
    answer = plan_swap({}, {"body": "hg-11", "rim_bsd": 622}, told, TABLES)
    assert (answer.plans, answer.clash) == ((), ())


@pytest.mark.parametrize(("rank", "first"), [("price", "slow"), ("labour", "quick"), ("changes", "slow")])
def test_the_ranks_differ(rank: str, first: str) -> None:
    """Cheap and slow, dear and quick."""
    catalogue = [offer("slow", "post", 20, 60, seat_post=31.6), offer("quick", "post", 90, 5, seat_post=31.6)]
    answer = plan_swap({"seat_tube": 31.6}, {"seat_post": 31.6}, catalogue, TABLES, rank=rank)  # type: ignore[arg-type]
    assert answer.plans[0].offers[0].id == first


def test_a_change_that_leaves_a_doubt_can_be_ruled_out() -> None:
    """Without the frame's spacing the wheel cannot be told."""
    catalogue = [offer("wheel", "rear wheel", 200, rear_hub="r-12x142", rim_bsd=622)]
    allowed = plan_swap({}, {"rim_bsd": 622}, catalogue, TABLES)
    assert allowed.plans[0].verdict.verdict is FitWord.CANNOT_TELL
    assert allowed.plans[0].verdict.cannot_tell
    ruled_out = plan_swap({}, {"rim_bsd": 622}, catalogue, TABLES, without_doubt=True)
    assert ruled_out.plans == ()
    assert {one.rule for one in ruled_out.clash} <= {"hub-frame", "tyre-diameter"}


def test_goals_may_be_conditions() -> None:
    """At least 30 teeth, or any of two cassettes."""
    catalogue = road_catalogue()[:5]
    build = {"body": "hg-11"}
    answer = plan_swap(build, ["sprocket_big >= 30"], catalogue, TABLES)
    assert answer.plans[0].build["sprocket_big"] == 32
    either = plan_swap(build, {"cassette": ["c11-overhang", "c9"]}, catalogue, TABLES)
    assert either.plans[0].build["cassette"] == "c11-overhang"
    assert truth(expression("sprocket_big >= 30").run(Looking(TABLES, dict(answer.plans[0].build)))) is True


@pytest.mark.parametrize(
    "change",
    [
        {"goal": "cassette"}, {"goal": ["cassette =="]}, {"goal": ["cassette"]}, {"goal": {"a b": 1}}, {"goal": {"a": None}},
        {"goal": {"a": []}}, {"rank": "beauty"}, {"most": 0}, {"most": True}, {"labour_an_hour": Decimal(-1)},
        {"catalogue": [offer("a", "s", -1, cassette="c9")]}, {"catalogue": [offer("a", "s", 1)]},
        {"catalogue": [offer("a", "s", 1, cassette="c9"), offer("a", "t", 1, chain="ch-9")]},
        {"catalogue": [Offer("a", "a", "s", {"cassette": "c9"}, Decimal("NaN"))]},
    ],
)  # fmt: skip
def test_nonsense_is_refused(change: dict[str, Any]) -> None:
    """Goals, prices and ranks."""
    asked: dict[str, Any] = {
        "build": {"cassette": "c9"}, "goal": {"cassette": "c9"}, "catalogue": [], "tables": TABLES, **change,
    }  # fmt: skip
    with pytest.raises(InputRefused):
        plan_swap(**asked)


@pytest.mark.parametrize("seed", range(6))
def test_a_large_market_is_answered_as_if_nothing_had_been_left_out(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Twins, dear parts and parts of other rules are left out beforehand: the costs are those of the whole search."""
    market = catalogue(260, seed)
    goal = ["sprocket_big >= 32", "speeds_shifter == 11"]
    quick = plan_swap(ROAD, goal, market, TABLES, items=ITEMS, labour_an_hour=HOUR)
    monkeypatch.setattr(swap, "worth_asking", lambda ground, most, cost: everything(ground, cost))
    monkeypatch.setattr(swap, "FEW", 10_000)
    slow = plan_swap(ROAD, goal, market, TABLES, items=ITEMS, labour_an_hour=HOUR)
    assert quick.proved and slow.proved
    assert costs(quick) == costs(slow)
    assert [plan.verdict.verdict for plan in quick.plans] == [plan.verdict.verdict for plan in slow.plans]


def everything(ground: Any, cost: Any) -> Market:
    """A market from which nothing is left out."""
    every = ground.offers
    return Market(every, tuple(cost(one)[0] for one in every), (0,) * len(every))


def test_a_twin_is_the_second_answer_and_not_the_first() -> None:
    """Three posts of one measure: cheapest first, each an answer of its own."""
    posts = [offer(f"post-{price}", "post", price, seat_post=27.2) for price in (30, 20, 25)]
    answer = plan_swap({"seat_tube": 27.2}, {"seat_post": 27.2}, posts, TABLES)
    assert costs(answer) == [20, 25, 30] and answer.proved
