"""What is looked at, against texts of the law and of standards on cycles, as far as they can be read in public.

16 CFR Part 1512 (United States, requirements for bicycles): sections 1512.2, .5, .9, .11, .12, .15 and .17 as reprinted by
law libraries. ISO 8098:2014 (young children's bicycles), ISO 4210-2:2023 and ISO 11243:2023 (carriers): scope pages and the
extracts that a seller of standards shows; their bodies were not seen. Tolerance: none; where a text allows, we may be stricter.
"""

from collections.abc import Iterator

import pytest

from pinchbolt.engines.build import Build, PartOn, items_for, limits_on
from pinchbolt.engines.wear import judge_plain
from pinchbolt.reference import tables
from pinchbolt.values import Interval, Verdict
from tests.reference.templates_built import built


def bikes() -> Iterator[tuple[str, Build]]:
    """Every template at every count of sprockets."""
    trade = tables()
    for name, row in trade.templates.items():
        for speeds in row.speeds:
            yield name, built(trade, row, speeds)


def read_on(build: Build) -> dict[str, set[str]]:
    """The limits of the walk-round, each with the ends at which it is read."""
    found: dict[str, set[str]] = {}
    for part in build.parts:
        for one in limits_on(build, part):
            if not one.deeper:
                found.setdefault(one.row.id, set()).add(part.end)
    return found


def worst(limit: str, bad: str | float) -> Verdict:
    """The verdict of a bad answer."""
    shown = bad if isinstance(bad, str) else Interval(bad, bad)
    return judge_plain(tables().limits[limit], shown)[0]


def test_a_chain_that_can_stop_the_wheel_is_looked_for_on_every_derailleur() -> None:
    """1512.9(b): derailleurs are guarded, so that through wrong adjustment or damage the chain can't stop the wheel."""
    for name, build in bikes():
        has = bool(list(build.of_kind("rear derailleur")))
        assert ("derailleur-spokes" in read_on(build)) is has, name
    assert worst("derailleur-spokes", "yes") is Verdict.UNSAFE


def test_a_young_childs_chain_is_covered() -> None:
    """1512.9(a): one sprocket in front and one behind: a guard over the chain; our list asks for it."""
    small = next(build for name, build in bikes() if name == "child-small")
    assert list(small.of_kind("chain case"))
    assert "so-child-bike" in {item.id for item in items_for(small)}
    assert "chain covered" in tables().signoff["so-child-bike"].words


def test_a_post_above_its_mark_is_not_ridden() -> None:
    """1512.15(b): a permanent mark shows the least insertion, two diameters from the end of the post at least."""
    for name, build in bikes():
        assert "insertion-post" in read_on(build) or list(build.of_kind("dropper post")), name
    assert worst("insertion-post", "yes") is Verdict.UNSAFE


@pytest.mark.parametrize("limit", ["saddle-loose", "bar-slip", "grips-ends"])
def test_what_may_not_come_loose_on_the_road_test_is_felt_on_every_bike(limit: str) -> None:
    """1512.15(c) and 1512.17(a): after the ride nothing of seat, handlebars and controls has loosened or moved."""
    assert [name for name, build in bikes() if limit not in read_on(build)] == []
    assert worst(limit, "yes").rank >= Verdict.BEFORE_IT_LEAVES.rank


def test_an_anchor_bolt_that_cut_a_strand_keeps_the_bike() -> None:
    """1512.5(b)(4): the anchor bolt cuts no strand of the cable. One is enough for us."""
    assert worst("brake-cable", 1.0).rank >= Verdict.BEFORE_IT_LEAVES.rank
    assert worst("brake-cable", 0.0) is Verdict.SOUND


def test_both_wheels_are_looked_at_for_what_holds_them() -> None:
    """1512.12: wheels are held by their nuts or levers, and in front by a second retention besides."""
    for name, build in bikes():
        assert read_on(build)["axle-closed"] == {"front", "rear"}, name
    assert worst("axle-closed", "yes") is Verdict.UNSAFE


def test_a_spoke_is_looked_for_on_both_wheels_of_every_bike() -> None:
    """1512.11(a): there are no missing spokes."""
    for name, build in bikes():
        assert read_on(build)["spoke-broken"] == {"front", "rear"}, name


def test_a_childs_bike_has_a_brake_at_each_end_whatever_drives_it() -> None:
    """ISO 8098: two brakes that work by themselves, one on each wheel, the one behind by hand or by foot."""
    for name, build in bikes():
        if build.bike_kind != "kids":
            continue
        asked = {item.id for item in items_for(build)}
        assert "so-brake-front" in asked and asked & {"so-brake-rear", "so-coaster"}, name
        assert read_on(build)["brake-bite"] == {"front", "rear"}, name


def test_a_childs_hand_and_a_bare_tube_are_looked_at_on_childrens_bikes() -> None:
    """ISO 8098: the lever is within a child's grip (75 mm at most), tube ends are covered; asked of no grown-up's bike."""
    for name, build in bikes():
        read = read_on(build)
        assert ("child-reach" in read) is (build.bike_kind == "kids"), name
        assert "grips-ends" in read, name


def test_a_machine_without_any_brake_is_told_as_one() -> None:
    """1512.2(d): a track bicycle has neither levers nor calipers. It is lawful on its track: the list says so, twice."""
    bare = Build(tables(), "track", (PartOn(1, tables().kinds["frame"], ""),))
    asked = {item.id: item for item in items_for(bare)}
    for item in ("so-no-front-brake", "so-no-rear-brake"):
        assert asked[item].if_not is Verdict.UNSAFE and "law of the place" in asked[item].words


def test_no_row_for_tandems_or_delivery_bikes_leans_on_a_standard_that_leaves_them_out() -> None:
    """ISO 4210-2, scope: not for delivery bicycles, tandems and recumbents."""
    left_out = {"linked steering", "tandem", "cargo box"}
    rows = [row for row in tables().signoff.values() if {one.what for one in row.applies} & left_out]
    assert rows and [row.id for row in rows if "4210" in row.source] == []


def test_every_carrier_is_looked_at_and_a_childs_toy_carrier_is_no_template() -> None:
    """ISO 11243: carriers above and beside the wheels, to which a child's seat may be fixed; not those of ISO 8098's bikes."""
    for name, build in bikes():
        has = bool(list(build.of_kind("carrier")))
        assert not has or ("child-seat-carrier" in read_on(build) and build.bike_kind != "kids"), name


def test_room_for_the_toe_is_asked() -> None:
    """1512.17(d): 89 mm from the pedal's middle to tyre or mudguard, where nothing holds the foot."""
    assert "toe" in tables().signoff["so-room"].words
    room = tables().signoff["so-room"]
    assert room.applies == () and room.width == "touched" and {"tyre", "mudguards", "fork"} <= set(room.of)
