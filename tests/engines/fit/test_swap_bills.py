"""What a way costs: every need once a place, no need that should have been chosen, and unknown prices last; wheels moved in."""

from decimal import Decimal
from typing import Any

import pytest

from pinchbolt.engines.fit import ItemPrice, check_build, plan_swap
from pinchbolt.errors import InputRefused
from tests.engines.fit.test_swap import HOUR, TABLES, offer


def test_one_adapter_at_each_end_is_two_adapters() -> None:
    """160 posts in front and behind, both to 180: two rotors of 30 and two adapters of 20 are 100."""
    build = {
        f"{name}_{end}": size
        for end in ("front", "rear")
        for name, size in (("native", 160), ("rotor", 160), ("max_rotor", 203))
    }
    rotors = [offer(end, f"rotor {end}", 30, **{f"rotor_{end}": 180}) for end in ("front", "rear")]
    answer = plan_swap(
        build,
        {"rotor_front": 180, "rotor_rear": 180},
        rotors,
        TABLES,
        items=[ItemPrice("+20", Decimal(20), 5)],
    )
    assert answer.plans[0].price == Decimal(100)
    assert answer.plans[0].minutes == 10
    assert [need.place for need in answer.plans[0].needs] == ["front", "rear"]
    assert len(set(answer.plans[0].items)) == 2
    assert len(check_build({**build, "rotor_front": 180, "rotor_rear": 180}, TABLES).shopping) == 2


def test_a_need_that_two_rules_have_at_one_place_is_paid_once() -> None:
    """Stop screws are set once, whether the clicks or the pull ask for it."""
    build = {"speeds_shifter": 10, "shift": "pull-classic", "derailleur_family": "pull-classic"}
    nine = [offer("nine", "cassette", 20, cassette="c9", sprocket_pitch=3.95)]
    answer = plan_swap(
        build, {"cassette": "c9"}, nine, TABLES, items=[ItemPrice("stop screws", Decimal(4), 6)]
    )
    assert answer.plans[0].price == Decimal(24)
    assert [need.words for need in answer.plans[0].needs].count(
        "stop screws set so that the last click is never used"
    ) == 1


def test_a_way_that_needs_the_part_that_should_have_been_chosen_is_no_way() -> None:
    """A wheel moved into a bike of eleven: the 10-speed cassette at 30 still wants an 11-speed one, so it is no answer."""
    build = {"frame_rear": "r-12x142", "rotor_rear": 160, "speeds_shifter": 11}
    moved = {"rear_hub": "r-12x142", "rotor_rear": 160, "caliper_set_for_rear": 160, "body": "hg-11"}
    offers = [
        offer("ten", "cassette", 30, cassette="c10-wide", speeds_cassette=10),
        offer("eleven", "cassette", 60, cassette="c11-road", speeds_cassette=11),
    ]
    answer = plan_swap(
        build,
        {"rear_hub": "r-12x142"},
        offers,
        TABLES,
        moved={**moved, "cassette": "c9", "speeds_cassette": 9},
    )
    assert [[one.id for one in plan.offers] for plan in answer.plans] == [["eleven"]]
    none = plan_swap(
        build,
        {"rear_hub": "r-12x142"},
        offers[:1],
        TABLES,
        moved={**moved, "cassette": "c9", "speeds_cassette": 9},
    )
    assert none.plans == ()
    assert none.clash and any("cassette" in one.because for one in none.clash)


def test_a_way_with_an_unknown_price_comes_after_every_priced_one() -> None:
    """A post of 10 with a shim of no known price is not better than one of 90 that fits."""
    posts = [offer("thin", "post", 10, seat_post=27.2), offer("thick", "post", 90, seat_post=31.6)]
    answer = plan_swap({"seat_tube": 31.6}, ["known(seat_post)"], posts, TABLES)
    assert [(plan.offers[0].id, bool(plan.unpriced)) for plan in answer.plans] == [
        ("thick", False),
        ("thin", True),
    ]
    priced = plan_swap(
        {"seat_tube": 31.6}, ["known(seat_post)"], posts, TABLES, items=[ItemPrice("shim", Decimal(6))]
    )
    assert [plan.offers[0].id for plan in priced.plans] == ["thin", "thick"]


def test_of_ways_with_unknown_prices_that_cost_the_same_the_one_with_fewer_of_them_comes_first() -> None:
    """One thing to ask for is less than two."""
    build = {"seat_tube": 31.6, "stem_bar_clamp": 31.8, "bar_material": "aluminium"}
    two = offer("two", "cockpit", 50, seat_post=27.2, bar=25.4)
    one = offer("one", "cockpit", 50, seat_post=27.2, bar=31.8)
    for told in ([two, one], [one, two]):
        answer = plan_swap(build, ["known(seat_post)"], told, TABLES)
        assert [len(plan.unpriced) for plan in answer.plans] == [1, 2]


def test_what_is_done_and_not_bought_has_no_price_to_know() -> None:
    """Setting the stop screws is work: it ranks a way nowhere."""
    build = {"speeds_shifter": 8}
    answer = plan_swap(build, ["known(cassette)"], [offer("seven", "cassette", 20, cassette="c7")], TABLES)
    assert answer.plans[0].unpriced == () and answer.plans[0].needs[0].is_work


WHEEL: dict[str, Any] = {"rear_hub": "r-12x142", "body": "hg-11", "cassette": "c9", "rotor_rear": 140}
HOST: dict[str, Any] = {
    "rear_hub": "r-12x142", "frame_rear": "r-12x142", "body": "hg-8910", "cassette": "c11-overhang", "speeds_shifter": 11,
    "chain": "ch-11", "rotor_rear": 160, "mount_rear": "fm-rear-140", "max_rotor_rear": 160, "caliper": "flat",
}  # fmt: skip


def test_a_part_that_is_moved_in_stays_and_what_it_needs_is_told() -> None:
    """Nothing of the old wheel stays; the spacer behind its own cassette came along, the caliper's change did not."""
    moved = {**WHEEL, "cassette": "c11-overhang", "caliper_set_for_rear": 160, "rim_inner_rear": None}
    answer = plan_swap({**HOST, "rim_inner_rear": 19}, {"body": "hg-11"}, [], TABLES, moved=moved)
    bare = answer.plans[0]
    assert bare.offers == () and "rim_inner_rear" not in bare.build
    assert "160 rotor moved across, or the caliper plate changed to 140" in bare.items
    assert not any("spacer" in item for item in bare.items)
    assert answer.words.startswith("Nothing else need be changed; needed: 160 rotor moved across")


def test_a_way_that_spares_what_a_moved_part_needs_is_an_answer_of_its_own() -> None:
    """The old rotor moved across spares the caliper's change; a saddle spares nothing and is no answer."""
    moved = {**WHEEL, "cassette": "c11-overhang", "caliper_set_for_rear": 160}
    offers = [
        offer("old-rotor", "rotor rear", 0, 10, rotor_rear=160),
        offer("saddle", "saddle", 0, saddle_rail="7-round"),
    ]
    answer = plan_swap(HOST, {"body": "hg-11"}, offers, TABLES, moved=moved, labour_an_hour=HOUR)
    # What the caliper's change would cost nobody knows, so the way that spares it comes first.
    assert [[one.id for one in plan.offers] for plan in answer.plans] == [["old-rotor"], []]
    assert not any("rotor moved across" in item for item in answer.plans[0].items)
    assert any("rotor moved across" in need.words for need in answer.plans[1].unpriced)


def test_a_dearer_way_that_spares_the_need_is_told_behind_the_bare_one() -> None:
    """The caliper plate is changed for 5; a rotor for 30 spares it. The owner may choose: both are told, the cheap one first."""
    moved = {**WHEEL, "cassette": "c11-overhang", "caliper_set_for_rear": 160}
    plate = [ItemPrice("160 rotor moved across", Decimal(5))]
    offers = [offer("rotor", "rotor rear", 30, rotor_rear=160)]
    answer = plan_swap(HOST, {"body": "hg-11"}, offers, TABLES, moved=moved, items=plate)
    assert [[one.id for one in plan.offers] for plan in answer.plans] == [[], ["rotor"]]
    assert [plan.price for plan in answer.plans] == [Decimal(5), Decimal(30)]


def test_a_moved_part_that_does_not_fit_has_no_way() -> None:
    """A hub too wide is said by its rule."""
    answer = plan_swap(
        HOST,
        {"body": "hg-11"},
        [],
        TABLES,
        moved={**WHEEL, "cassette": "c11-overhang", "rear_hub": "r-12x148"},
    )
    assert answer.plans == () and [one.rule for one in answer.clash] == ["hub-frame"]


def test_fifty_thousand_parts_are_planned_with_proof_and_one_more_is_said() -> None:
    """The cheapest pair of cassette and shifters among 50,000 parts, found by hand: 9 and 19; 50,001 are refused."""
    parts = [
        offer("right", "cassette", 9, cassette="c11-road"),
        offer("shift", "shifters", 19, speeds_shifter=11),
    ]
    while len(parts) < 50_000:
        number = len(parts)
        slot, fact = [
            ("cassette", {"cassette": "c11-road"}),
            ("shifters", {"speeds_shifter": 11}),
            ("seat post", {"seat_post": "27.2"}),
            ("cassette", {"cassette": "c9"}),
        ][number % 4]
        parts.append(offer(f"p{number}", slot, 20 + number, **fact))
    build = {"body": "hg-11", "cassette": "c10-narrow", "speeds_shifter": 10}
    answer = plan_swap(build, {"cassette": "c11-road"}, parts, TABLES)
    assert answer.proved
    assert [one.id for one in answer.plans[0].offers] == ["right", "shift"]
    assert answer.plans[0].price == Decimal(28)
    with pytest.raises(InputRefused, match=r"50,?000"):
        plan_swap(build, {"cassette": "c11-road"}, [*parts, parts[-1]], TABLES)
