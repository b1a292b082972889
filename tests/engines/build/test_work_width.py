"""How wide the list of a stay is, by hand, at the engine's own door: the lists are common practice, no source."""

import pytest

from pinchbolt.engines.build import Build, WorkDone, items_after, items_for
from pinchbolt.reference import tables
from tests.reference.templates_built import built

TRADE = tables()


@pytest.fixture(scope="module")
def road() -> Build:
    """A road bike with disc brakes, as its template has it."""
    return built(TRADE, TRADE.templates["road-disc"], 11)


def always(build: Build) -> set[str]:
    """Rows that stand on every list."""
    return {row.id for row in items_for(build) if row.width == "always"}


def listed(build: Build, *work: str, joints: tuple[str, ...] = (), **more: object) -> set[str]:
    """Ids on the list after work of these operations."""
    done = [WorkDone(TRADE.operations[one]) for one in work]
    return {one.row.id for one in items_after(build, done, joints, **more)}  # type: ignore[arg-type]


def touched(build: Build, *work: str, joints: tuple[str, ...] = (), **more: object) -> set[str]:
    """Ids of those that the work touched."""
    done = [WorkDone(TRADE.operations[one]) for one in work]
    return {one.row.id for one in items_after(build, done, joints, **more) if one.touched}  # type: ignore[arg-type]


def test_no_work_leaves_what_a_life_hangs_on(road: Build) -> None:
    """Wheels, bar, stem, brakes: looked at whatever was done, touched or not; nothing else."""
    assert (
        listed(road)
        == always(road)
        >= {"so-wheel-front", "so-wheel-rear", "so-bar", "so-stem", "so-brake-front"}
    )
    assert touched(road) == set()


def test_an_opened_joint_brings_its_item_at_its_own_end(road: Build) -> None:
    """The front axle touches the front wheel's item, not the rear one's."""
    found = touched(road, joints=("thru-front",))
    assert "so-wheel-front" in found and "so-wheel-rear" not in found
    assert listed(road, joints=("thru-front",)) >= always(road)


def test_a_part_that_moved_touches_its_kind_at_its_end(road: Build) -> None:
    """A changed handlebar brings the bar's item; a changed rear part none of the front."""
    assert "so-bar" in touched(road, changed=[("handlebar", "")])
    front = {row.id for row in items_for(road) if row.end == "front"}
    assert not front & touched(road, changed=[("tyre", "rear")])


def test_work_on_the_whole_bike_touches_everything(road: Build) -> None:
    """Each row of the bike's own list, in its order."""
    whole = next(one.id for one in TRADE.operations.values() if one.is_of_whole_bike)
    found = items_after(road, [WorkDone(TRADE.operations[whole])], ())
    assert [one.row.id for one in found] == [row.id for row in items_for(road)]
    assert all(one.touched for one in found)


def test_what_was_not_met_stays_whatever_becomes_of_the_work(road: Build) -> None:
    """Somebody looked and said no: it is on the list though nothing touched it."""
    other = next(row.id for row in items_for(road) if row.width != "always")
    assert other not in listed(road)
    assert other in listed(road, not_met=[other])
