"""Swaps through the use case: a wheel with what it carries, a part of the bins, what is wanted, an indoor trainer."""

from decimal import Decimal
from typing import Any

import pytest

from pinchbolt.engines.fit import FitWord, check_build
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Bike, Trainer
from pinchbolt.workshop.bikes.movable import apart, movable, names_of, taken_from, with_what_it_carries
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.parts.swap import SwapRequest, side, swap
from pinchbolt.workshop.parts.take_in_parts import PartsRequest, take_in_parts
from pinchbolt.workshop.questions.swap_by_hand import swap_by_hand
from tests import story
from tests.story import NOW, Story

PARTS = """number,kind,place,words,price,minutes,count,meets,cassette,sprockets,sprocket_big,sprocket_small,rotor,rotor_kind
C-11,cassette,,11-speed 11-32,62.00,15,1,,c11-road,11 12 13 14 16 18 20 22 25 28 32,32,11,,
C-12,cassette,,12-speed 11-34,96.00,15,1,,c12-road,11 12 13 14 15 17 19 21 24 27 30 34,34,11,,
R-140,rotor,,rotor 140,32.00,12,2,,,,,,140,centre-lock
R-160,rotor,,rotor 160,34.00,12,0,,,,,,160,centre-lock
S-185,small part,,spacer,2.50,,20,1.85 mm spacer,,,,,,
"""
ROAD: dict[str, Any] = {
    "body": "hg-11", "cassette": "c12-road", "chain": "ch-12", "drive": "12", "front_hub": "f-12x100", "rear_hub": "r-12x142",
    "frame_front": "f-12x100", "frame_rear": "r-12x142", "hub_rotor_mount": "centre-lock", "rotor_kind": "centre-lock",
    "rotor_front": 160, "rotor_rear": 140, "caliper": "flat", "mount_rear": "fm-rear-140", "mount_front": "fm-front-140-160",
    "max_rotor_front": 160, "max_rotor_rear": 160, "tyre": "28-622", "rim_inner": 19, "rim_bsd": 622, "hook": True, "speeds_shifter": 12,
    "rings": "50 34", "ring_big": 50, "ring_small": 34, "sprockets": "11 12 13 14 15 17 19 21 24 27 30 34", "sprocket_big": 34,
    "sprocket_small": 11, "max_big": 36, "min_small": 11, "capacity": 41,
}  # fmt: skip
GRAVEL: dict[str, Any] = {
    **ROAD, "body": "hg-8910", "cassette": "c11-overhang", "chain": "ch-11", "drive": "11", "rotor_rear": 160, "tyre": "40-622",
    "rim_inner": 23, "speeds_shifter": 11, "rings": "40", "ring_big": 40, "ring_small": 40, "sprocket_big": 42,
    "sprockets": "11 13 15 17 19 21 24 28 32 37 42", "max_big": 42, "capacity": 39,
}  # fmt: skip


@pytest.fixture
def two(db: None) -> tuple[Story, str, str]:
    """A road and a gravel bike of one owner, and parts in the bins."""
    road = story.checked_in()
    gravel = story.checked_in("gravel-1x")
    first, second = Bike.objects.get(tag=road.tag), Bike.objects.get(tag=gravel.tag)
    for bike, facts in ((first, ROAD), (second, GRAVEL)):
        story.know(bike.tag, facts)
        bike.owner = first.owner
        bike.save()
    take_in_parts(PartsRequest(PARTS), by=road.first, key="parts-0001", now=NOW)
    return road, first.tag, second.tag


def test_a_wheel_takes_its_cassette_rotor_and_tyre_along(two: tuple[Story, str, str]) -> None:
    """12 sprockets behind 11 clicks do not fit; the bike's own cassette moved across does, behind a spacer of 2.50."""
    _, road, gravel = two
    seen = swap(SwapRequest(gravel, "rear wheel", road))
    assert seen.standing is not None and seen.standing["verdict"] == "does not fit"
    misfits = {one["rule"] for one in seen.standing["checks"] if one["verdict"] == "does not fit"}
    # Clicks and sprockets that differ by one the wrong way are a misfit of the pull too, whatever its figures are.
    assert misfits == {"clicks", "shift-pull", "chain-drive"}
    whole = next(one for one in seen.standing["checks"] if one["rule"] == "wheel-swap")
    assert "160 rotor moved across, or the caliper plate changed to 140" in whole["with"]
    best = seen.plans[0]
    assert [part.words for part in best.parts] == [
        f"rear wheel of {road} with its cassette, rotor, tyre",
        "cassette of its own, moved across",
        "rear rotor of its own, moved across",
    ]
    assert "1.85 mm spacer behind" in best.needs and best.price == Decimal("2.50")
    # By hand: 3 min for the wheel, 15 each for cassette and rotor at 54.00 an hour, and 2.50. Another plate for the caliper is
    # 15 min less, but what it costs nobody knows.
    assert best.minutes == 33 and best.cost == Decimal("32.20") and best.unpriced == ()
    assert any(plan.cost == Decimal("18.70") and plan.unpriced for plan in seen.plans[1:])
    assert seen.left_behind == f"{road} is then without its rear wheel."
    assert seen.gears is not None and best.compared is not None


@pytest.mark.parametrize("rank", ["price", "labour", "changes"])
def test_every_way_ends_in_a_bike_on_which_nothing_does_not_fit(
    two: tuple[Story, str, str], rank: str
) -> None:
    """Best first by what was asked for; each way is checked whole."""
    _, road, gravel = two
    seen = swap(SwapRequest(gravel, "rear wheel", road, rank=rank))
    assert seen.proved and 1 <= len(seen.plans) <= 5
    by = {
        "price": lambda plan: (bool(plan.unpriced), plan.cost),
        "labour": lambda plan: plan.minutes,
        "changes": lambda plan: len(plan.parts) + len(plan.needs),
    }
    ranked = [by[rank](plan) for plan in seen.plans]
    assert ranked == sorted(ranked)
    for plan in seen.plans:
        assert plan.verdict != "does not fit"
        assert not any(check["verdict"] == "does not fit" for check in plan.check["checks"])


def test_a_rotor_of_the_bins_counts_with_its_price(two: tuple[Story, str, str]) -> None:
    """140 behind on a mount for 140: nothing else. 160 on the road bike's mount for 140: a plate, by the mount's own row."""
    _, road, gravel = two
    seen = swap(SwapRequest(gravel, "rotor rear", "R-140"))
    assert (seen.plans[0].price, seen.plans[0].minutes, seen.plans[0].cost) == (
        Decimal("32.00"),
        12,
        Decimal("42.80"),
    )
    assert seen.plans[0].needs == ()
    bigger = swap(SwapRequest(road, "rear rotor", "R-160"))
    assert bigger.plans[0].needs == ("20 mm plate and longer bolts",)
    assert bigger.plans[0].unpriced == ("20 mm plate and longer bolts",)


def test_what_is_wanted_is_made_of_bins_and_of_the_owners_other_bikes(two: tuple[Story, str, str]) -> None:
    """A smaller cassette for the gravel bike: not the one of 12 sprockets, unless the shifters are changed with it."""
    _, road, gravel = two
    seen = swap(SwapRequest(gravel, want=("sprocket_big <= 34",)))
    words = [[part.words for part in plan.parts] for plan in seen.plans]
    assert any("11-speed 11-32 (C-11, 1 in the bins)" in one for one in words)
    assert any(f"shifters of {road}, which is then without" in one for one in words)
    for one in words:
        twelve = [part for part in one if "12-speed" in part or part.startswith(f"cassette of {road}")]
        assert not twelve or f"shifters of {road}, which is then without" in one


def test_where_there_is_no_way_the_rules_that_clash_are_named(two: tuple[Story, str, str]) -> None:
    """A sprocket of 10 teeth is below what this derailleur takes."""
    _, _, gravel = two
    seen = swap(SwapRequest(gravel, want=("sprocket_small == 10",)))
    assert seen.plans == () and seen.words.startswith(("No way", "Nothing in bins"))
    take_in_parts(
        PartsRequest("number,kind,words,price,cassette,sprocket_big,sprocket_small\nC-10,cassette,10-42,90,c11-xd,42,10\n"),
        by=two[0].first, key="parts-0002", now=NOW,
    )  # fmt: skip
    clash = swap(SwapRequest(gravel, want=("sprocket_small == 10",))).clash
    assert clash and all(one.because for one in clash)
    assert {one.rule for one in clash} <= {"cassette-body", "sprocket-limits"}


def test_a_cassette_goes_onto_an_indoor_trainer(two: tuple[Story, str, str]) -> None:
    """Only its body and its ends are asked about: 1.85 mm behind a cassette for the shorter body."""
    trainer = Trainer.objects.create(
        name="trainer in the cellar", facts={"body": "hg-11", "rear_hub": "r-12x142"}
    )
    seen = swap(SwapRequest(f"trainer {trainer.pk}", "cassette", two[2]))
    assert seen.standing is not None
    assert [one["rule"] for one in seen.standing["checks"]] == ["cassette-body"]
    assert seen.plans[0].needs == ("1.85 mm spacer behind",) and seen.plans[0].verdict == "fits with"
    back = swap(SwapRequest(two[1], "rear wheel", f"trainer {trainer.pk}"))
    assert back.standing is not None, "a trainer in place of the wheel"
    assert not any(one["rule"] == "wheel-swap" for one in back.standing["checks"])


@pytest.mark.parametrize(
    ("asked", "error", "sentence"),
    [
        (SwapRequest("PB-001"), InputRefused, "give one of the two"),
        (SwapRequest("PB-001", "rear wheel", "PB-002", ("a == 1",)), InputRefused, "give one of the two"),
        (SwapRequest("PB-001", "rear wheel", "PB-001"), InputRefused, "is on both sides"),
        (SwapRequest("PB-001", "bell", "PB-002"), InputRefused, '"bell" is not moved from bike to bike'),
        (
            SwapRequest("PB-001", "rear wheel", "PB-099"),
            NotFound,
            "no tag, no indoor trainer and no part of the bins",
        ),
        (SwapRequest("PB-099", "rear wheel", "PB-001"), NotFound, "No bike has the tag"),
        (SwapRequest("trainer 9", "cassette", "PB-001"), NotFound, "There is no indoor trainer 9"),
        (SwapRequest("PB-001", "rear rotor", "C-11"), InputRefused, "C-11 is no rear rotor: cassette"),
        (SwapRequest("PB-001", "saddle", "PB-002"), InputRefused, "Nothing is known of the saddle"),
        (SwapRequest("PB-001", want=("sprocket_big >",)), InputRefused, "a condition on facts"),
        (
            SwapRequest("PB-001", want=("sprocket_big >= 40",), rank="beauty"),
            InputRefused,
            "price, labour, changes",
        ),
    ],
)
def test_a_swap_of_no_sense_is_refused(
    two: tuple[Story, str, str], asked: SwapRequest, error: type[InputRefused], sentence: str
) -> None:
    """What is allowed is said."""
    with pytest.raises(error, match=sentence):
        swap(asked)


@pytest.mark.parametrize("what", movable())
def test_what_is_moved_leaves_nothing_of_the_old_part_behind(what: str) -> None:
    """Every fact of the part is replaced, known or not; facts of both ends are said of each first."""
    moved = taken_from(GRAVEL, with_what_it_carries(what))
    after = {**apart(ROAD), **moved}
    for name in names_of(what):
        assert after.get(name) == apart(GRAVEL).get(name)
    assert not {"rim_inner", "tyre", "hook", "rotor_kind"} & apart(ROAD).keys()


def test_facts_said_of_each_end_say_the_same_to_every_rule() -> None:
    """Whatever was told of both ends is told of front and rear: no verdict of an end gets better or worse by it."""
    road = {name: value for name, value in ROAD.items() if name != "hub_rotor_mount"}
    whole = {(one.rule, one.place): one.verdict for one in check_build(road, tables()).checks}
    ends = {(one.rule, one.place): one.verdict for one in check_build(apart(road), tables()).checks}
    for key in whole.keys() & ends.keys():
        assert whole[key] is ends[key], key
    assert not any(verdict is FitWord.DOES_NOT_FIT for verdict in ends.values())


def test_a_side_shows_what_is_known_of_the_part(two: tuple[Story, str, str]) -> None:
    """Of a bike with what the part carries, of a bin by its own facts, of both by the same names."""
    _, road, _ = two
    wheel = dict(side(road, "rear wheel").facts)
    assert (wheel["body"], wheel["cassette"], wheel["rotor_rear"], wheel["rim_depth_rear"]) == (
        "hg-11",
        "c12-road",
        140,
        None,
    )
    assert dict(side("R-160", "front rotor").facts)["rotor_front"] == 160


HAND: dict[str, Any] = {
    "build": {"seat_tube": 31.6},
    "goal": {"seat_post": 27.2},
    "offers": [{"id": "p", "words": "post 27.2", "slot": "seat post", "sets": {"seat_post": 27.2}, "price": "30.00", "minutes": 10}],
    "items": [{"words": "shim", "price": "6.00"}],
    "labour_an_hour": "60",
}  # fmt: skip


@pytest.mark.django_db
def test_a_swap_is_planned_from_one_file() -> None:
    """30.00 and 6.00 and ten minutes at 60 an hour: 46.00."""
    found = swap_by_hand(HAND)
    assert found["proved"] and found["plans"][0]["cost"] == "46.00"
    assert found["plans"][0]["needs"] == ["shim 27.2 to 31.6"]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"offers": 3}, '"offers" is no list'),
        ({"offers": [{"id": "p"}]}, 'offer "p" lacks'),
        ({"labour_an_hour": "much"}, '"labour_an_hour" has the price "much"'),
        ({"rank": "beauty"}, "price, labour, changes"),
        ({"most": 9}, "1 to 5"),
        ({"goal": "seat_post"}, "a set of facts, or a list of conditions"),
        ({"build": [1]}, "no set of named facts"),
    ],
)
@pytest.mark.django_db
def test_a_file_of_another_shape_is_refused(change: dict[str, Any], sentence: str) -> None:
    """With the shape that is needed, or what is wrong in it."""
    with pytest.raises(InputRefused, match=sentence):
        swap_by_hand({**HAND, **change})
    with pytest.raises(InputRefused, match="another shape"):
        swap_by_hand([])


def test_what_a_part_of_the_bins_does_not_say_is_not_taken_from_the_old_part(
    two: tuple[Story, str, str],
) -> None:
    """A cassette without its teeth: whether the derailleur takes it can't be told, though the old one's teeth are known."""
    take_in_parts(
        PartsRequest("number,kind,words,price,minutes,cassette\nC-0,cassette,unnamed 11-speed,20,15,c11-overhang\n"),
        by=two[0].first, key="parts-0002", now=NOW,
    )  # fmt: skip
    story.know(two[2], {**GRAVEL, "cassette": "c10-wide", "speeds_shifter": 11})
    seen = swap(SwapRequest(two[2], want=("cassette == 'c11-overhang'",)))
    assert [part.words for part in seen.plans[0].parts] == ["unnamed 11-speed (C-0, to order)"]
    teeth = next(check for check in seen.plans[0].check["checks"] if check["rule"] == "sprocket-limits")
    assert (teeth["verdict"], set(teeth["missing"])) == ("cannot tell", {"sprocket_big", "sprocket_small"})
    assert seen.plans[0].gears is None


def test_a_side_says_what_is_known_and_is_silent_on_the_rest(two: tuple[Story, str, str]) -> None:
    """The rear wheel's mount and tyre in words; of its rim's depth nobody knows anything, so there is no line of it."""
    _, road, _ = two
    seen = side(road, "rear wheel")
    known = {name for name, value in seen.facts if value is not None}
    assert 0 < len(known) < len(seen.facts)
    assert len(seen.said) == len(known)
    said = {one.name: one.words for one in seen.said}
    assert said["hub's rotor mount"] == "splined boss and a lockring"
    assert said["tyre rear"] == "28-622"
    assert "None" not in said.values() and not any("depth" in name for name in said)
