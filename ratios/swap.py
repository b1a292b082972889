"""Fit in bulk and the planner: 50,000 whole builds against one by one, and a 5,000-part catalogue against trying everything.

Bikes are drawn from the build templates of the table with parts changed as workshops change them; the catalogue is drawn from
the interface tables: each kind of part in many makes and prices. Everything is invented and seeded.
"""

import random
import sys
from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from itertools import product
from math import prod
from time import perf_counter, process_time

from pinchbolt.engines.fit import FitWord, ItemPrice, Offer, SwapAnswer, check_build, check_builds, plan_swap
from pinchbolt.engines.fit._tables import FitTables
from pinchbolt.reference import load

LABOUR = Decimal(54)
ITEMS = [
    ItemPrice("spacer", Decimal(3)),
    ItemPrice("hanger link", Decimal(18), 10),
    ItemPrice("b-screw", Decimal(0), 5),
    ItemPrice("stop screws", Decimal(0), 5),
]
# A road bike of ten speeds, of which everything is known that the drive's rules look at.
ROAD: dict[str, object] = {
    "body": "hg-8910", "cassette": "c10-narrow", "chain": "ch-10", "shift": "pull-classic", "speeds_shifter": 10,
    "derailleur_family": "pull-classic", "max_big": 28, "min_small": 11, "min_big": 23, "sprocket_big": 28,
    "sprocket_small": 12, "ring_big": 50, "ring_small": 34, "capacity": 37, "rear_hub": "r-qr-10x130",
    "frame_rear": "r-qr-10x130",
}  # fmt: skip


def bikes(count: int, seed: int) -> list[dict[str, object]]:
    """Bikes of the templates; a third of them has parts changed, one in twenty a figure that nobody else has."""
    draw = random.Random(seed)
    builds = []
    for template in load().templates.values():
        for speeds in template.speeds:
            facts: dict[str, object] = {}
            for part in template.parts:
                end = part.part.rpartition(" ")[2] if part.part.endswith((" front", " rear")) else ""
                for name, value in part.facts_at(speeds).items():
                    facts[f"{name}_{end}" if end and not name.endswith(end) else name] = value
            builds.append(facts)
    swaps = {
        "cassette": ["c9", "c11-road", "c12-ms", "c12-xd"], "chain": ["ch-9", "ch-11", "ch-12"], "rotor_rear": [140, 160, 180],
        "rotor_front": [160, 180, 203], "tyre_rear": ["28-622", "32-622", "40-622", "54-584"], "seat_post": [27.2, 30.9, 31.6],
        "seat_tube": [27.2, 30.9, 31.6], "rim_inner_rear": [17, 19, 21, 25], "hook_rear": [True, False],
    }  # fmt: skip
    found = []
    for _ in range(count):
        bike = dict(draw.choice(builds))
        if draw.random() < 1 / 3:
            for name in draw.sample(list(swaps), 3):
                bike[name] = draw.choice(swaps[name])
        if draw.random() < 1 / 20:
            bike["opening_rear"] = round(draw.uniform(30, 65), 1)
        found.append(bike)
    return found


def catalogue(count: int, seed: int) -> list[Offer]:
    """Parts of every kind that touches the drive, and others, in as many makes as make up *count*."""
    draw = random.Random(seed)
    ranges = [
        (11, 25),
        (11, 28),
        (11, 30),
        (11, 32),
        (11, 34),
        (11, 36),
        (11, 40),
        (11, 42),
        (10, 42),
        (10, 44),
        (10, 51),
    ]
    cassettes = [
        "c9",
        "c10-narrow",
        "c10-wide",
        "c11-road",
        "c11-overhang",
        "c11-xd",
        "c12-road",
        "c12-ms",
        "c12-xd",
        "c12-xdr",
    ]
    families = ["pull-classic", "pull-road-late", "pull-exact"]
    kinds: list[tuple[str, Callable[[], dict[str, object]]]] = [
        ("cassette", lambda: dict(zip(("cassette", "sprocket_small", "sprocket_big"),
                                      (draw.choice(cassettes), *draw.choice(ranges)), strict=True))),
        ("chain", lambda: {"chain": draw.choice(["ch-9", "ch-10", "ch-11", "ch-12"])}),
        ("rear derailleur", lambda: {"derailleur_family": draw.choice(families), "max_big": draw.choice([28, 30, 32, 34, 36, 42]),
                                     "min_small": draw.choice([10, 11]), "capacity": draw.choice([33, 35, 37, 39, 41])}),
        ("shifters", lambda: {"shift": draw.choice(families), "speeds_shifter": draw.choice([9, 10, 11, 12])}),
        ("rear wheel", lambda: {"body": draw.choice(["hg-8910", "hg-11", "xd", "xdr", "micro-spline"]),
                                "rear_hub": draw.choice(["r-qr-10x130", "r-qr-10x135", "r-12x142", "r-12x148"])}),
        ("crank", lambda: dict(zip(("ring_big", "ring_small"), draw.choice([(50, 34), (52, 36), (46, 30), (40, 40)]), strict=True))),
        ("rotor rear", lambda: {"rotor_rear": draw.choice([140, 160, 180, 203])}),
        ("tyre rear", lambda: {"tyre_rear": f"{draw.choice([25, 28, 32, 40, 45])}-{draw.choice([622, 584])}"}),
        ("seat post", lambda: {"seat_post": draw.choice([27.2, 30.9, 31.6])}),
        ("pedals", lambda: {"pedal": draw.choice(["9/16", "1/2"])}),
    ]  # fmt: skip
    found = []
    for number in range(count):
        slot, brings = kinds[number % len(kinds)]
        price = Decimal(draw.randint(1500, 30000)) / 100
        found.append(
            Offer(f"p{number}", f"{slot} {number}", slot, brings(), price, draw.choice([5, 10, 15, 20]))
        )
    return found


def every_way(
    offers: Sequence[Offer], goal: Callable[[dict[str, object]], bool], view: FitTables
) -> Iterator[Decimal]:
    """Trying everything: the cost of every choice of one offer a slot or none that reaches the goal and fits."""
    slots: dict[str, list[Offer | None]] = {}
    for offer in offers:
        slots.setdefault(offer.slot, [None]).append(offer)
    before = {(check.rule, check.place): set(check.with_items) for check in check_build(ROAD, view).checks}
    for picked in product(*slots.values()):
        chosen = [offer for offer in picked if offer is not None]
        facts = dict(ROAD)
        for offer in chosen:
            facts |= offer.sets
        if not goal(facts):
            continue
        checks = check_build(facts, view).checks
        if any(check.verdict is FitWord.DOES_NOT_FIT for check in checks):
            continue
        needed = {
            (check.place, item)
            for check in checks
            if check.verdict is FitWord.FITS_WITH
            for item in set(check.with_items) - before.get((check.rule, check.place), set())
        }
        bill = sum((offer.price + LABOUR * offer.minutes / 60 for offer in chosen), Decimal(0))
        for _, text in needed:
            price = next((item for item in ITEMS if item.words in text), None)
            bill += price.price + LABOUR * price.minutes / 60 if price else 0
        yield bill


def plan(offers: Sequence[Offer], view: FitTables) -> SwapAnswer:
    """Eleven speeds up to a 32."""
    return plan_swap(
        ROAD, ["sprocket_big >= 32", "speeds_shifter == 11"], offers, view, items=ITEMS, labour_an_hour=LABOUR
    )


def builds_told(view: FitTables) -> None:
    """Whole builds, together and one by one."""
    fleet = bikes(50_000, 1)
    start = perf_counter()
    together = check_builds(fleet, view)
    fast = perf_counter() - start
    sample = random.Random(2).sample(range(len(fleet)), 1000)
    start = perf_counter()
    singly = [check_build(fleet[n], view) for n in sample]
    slow = (perf_counter() - start) * len(fleet) / len(sample)
    same = all(together[n] == one for n, one in zip(sample, singly, strict=True))
    print(
        f"whole builds: 50,000 in {fast:.2f} s; one by one {slow:.1f} s (from 1,000); {slow / fast:.0f} times as fast; same answers: {same}"
    )


def planner_told(view: FitTables) -> None:
    """The planner over 5,000 parts, and on a market small enough to try everything."""
    offers = catalogue(5000, 3)
    plan(catalogue(400, 9), view)  # what is loaded once is not measured
    start, worked = perf_counter(), process_time()
    answer = plan(offers, view)
    seconds, processor = perf_counter() - start, process_time() - worked
    slots: dict[str, int] = {}
    for offer in offers:
        slots[offer.slot] = slots.get(offer.slot, 0) + 1
    ways = prod(count + 1 for count in slots.values())
    best = ", ".join(f"{one.words}" for one in answer.plans[0].offers)
    print(
        f"planner: 5,000 parts in {seconds:.2f} s ({processor:.2f} s of one processor); {len(answer.plans)} answers, "
        f"proved: {answer.proved}; best {answer.plans[0].cost} ({best})"
    )
    small = [
        offer
        for offer in offers
        if offer.slot in ("cassette", "chain", "rear derailleur", "shifters", "rear wheel")
    ][:30]
    start = perf_counter()
    small_answer = plan(small, view)
    fast = perf_counter() - start
    start = perf_counter()
    costs = list(
        every_way(
            small, lambda facts: int(str(facts["sprocket_big"])) >= 32 and facts["speeds_shifter"] == 11, view
        )
    )
    slow = perf_counter() - start
    tried = prod(sum(offer.slot == slot for offer in small) + 1 for slot in {offer.slot for offer in small})
    same = bool(small_answer.plans) == bool(costs) and (
        not costs or small_answer.plans[0].cost == min(costs).quantize(Decimal("0.01"))
    )
    print(
        f"planner against trying everything: {len(small)} parts, {tried:,} choices: {fast:.2f} s and {slow:.1f} s, "
        f"{slow / fast:.0f} times as fast; same best: {same}"
    )
    print(
        f"5,000 parts make {ways:.1e} choices: at the same pace trying everything takes {ways * slow / tried / 3.15e7:.0e} years"
    )


def main() -> int:
    """Print what was measured."""
    view = FitTables(load())
    builds_told(view)
    planner_told(view)
    return 0


if __name__ == "__main__":
    sys.exit(main())
