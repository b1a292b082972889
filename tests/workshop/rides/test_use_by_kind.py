"""Which rides wear a part: one word of its kind decides it for what it went and for what it will go, wherever it is fitted."""

from datetime import timedelta

import pytest

from pinchbolt.records.models import Fitting, Part
from pinchbolt.workshop.bikes.build_sheet import build_of, gears_of, parts_on, sprockets_behind
from pinchbolt.workshop.bikes.move_part import MoveRequest, move_part
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.rides.exposure import use_of
from pinchbolt.workshop.stays.note_finding import FindingView, finding_view
from pinchbolt.workshop.wear.part_wear import forecast_of, wear_law
from tests.story import NOW, TODAY, Story
from tests.workshop.build_story import bike, describe, items_of, part_on, read, readings_of
from tests.workshop.ride_story import SPRING, ride_of, take

pytestmark = pytest.mark.django_db

# The evening before the first ride.
START = SPRING.date() - timedelta(days=1)
DAYS = (TODAY - SPRING.date()).days
OUTDOORS = 30.0


def long_here(there: Story) -> None:
    """Everything on the bike was fitted on the evening before the first ride."""
    Fitting.objects.filter(part__in=parts_on(there.record.bike)).update(start=START, start_known=True)


def ridden(there: Story) -> None:
    """30 km outdoors every fourth day up to now."""
    take(there, *((f"out-{day}.fit", ride_of(day, OUTDOORS)) for day in range(0, DAYS, 4)))


def winter_indoors(there: Story) -> None:
    """40 km on rollers on the day after each of those rides."""
    rides = ((f"in-{day}.fit", ride_of(day, 40.0, indoor=True, hour=3)) for day in range(1, DAYS, 4))
    take(there, *rides)


def as_found(there: Story, part: Part, limit: str, value: float) -> FindingView:
    """What a reading of today says."""
    return finding_view(read(there, part, limit, value=value).finding)


@pytest.mark.parametrize(
    ("kind", "place", "limit", "value"),
    [
        ("pads", "rear", "disc-pad-lining-resin", 1.4),
        ("pads", "front", "disc-pad-lining-resin", 1.4),
        ("rotor", "rear", "rotor-thickness-1.8", 1.7),
        ("tyre", "front", "tyre-knob-height", 3.0),
    ],
)
def test_what_stands_still_indoors_gets_its_day_from_the_road_alone(
    kind: str, place: str, limit: str, value: float
) -> None:
    """A winter on rollers moves neither the use nor the forecast day of pads, rotors and the tyre in front."""
    there = bike("hardtail")
    long_here(there)
    ridden(there)
    part = part_on(there, kind, place)
    law = wear_law(tables().limits[limit], there.record.bike, None)
    assert law is not None and law.driver == "km"
    as_found(there, part, limit, value)
    before = forecast_of(part, tables().limits[limit], law, there.record.bike, TODAY)
    went = use_of(part, TODAY).km
    winter_indoors(there)
    assert use_of(part, TODAY).km == pytest.approx(went, rel=1e-12)
    after = forecast_of(part, tables().limits[limit], law, there.record.bike, TODAY)
    assert after.to_limit.median == pytest.approx(before.to_limit.median, rel=1e-9)
    assert after.day_at_limit == before.day_at_limit


def test_what_turns_indoors_gets_its_day_from_road_and_rollers() -> None:
    """The chain turns on the rollers: the same winter brings its day nearer."""
    there = bike("hardtail")
    long_here(there)
    ridden(there)
    chain, limit = part_on(there, "chain"), tables().limits["chain-elongation-12to13"]
    law = wear_law(limit, there.record.bike, None)
    assert law is not None
    before = forecast_of(chain, limit, law, there.record.bike, TODAY)
    winter_indoors(there)
    after = forecast_of(chain, limit, law, there.record.bike, TODAY)
    assert after.day_at_limit.median < before.day_at_limit.median


@pytest.mark.parametrize("kind", ["fork", "rear shock", "dropper post", "pivots"])
def test_what_is_sprung_rests_indoors(kind: str) -> None:
    """20 km on the road and 50 on rollers: 20 km for what moves only on the road. Common practice, no source."""
    there = bike("full-suspension")
    long_here(there)
    take(there, ("a.fit", ride_of(0, 20.0)), ("b.fit", ride_of(2, 50.0, indoor=True)))
    assert use_of(part_on(there, kind), TODAY).km == pytest.approx(20.0)
    assert use_of(part_on(there, "chain"), TODAY).km == pytest.approx(70.0)


def test_a_forks_service_day_is_not_brought_nearer_by_a_trainer() -> None:
    """Hours come from the road alone, in the forecast as in the use."""
    there = bike("hardtail")
    long_here(there)
    ridden(there)
    fork, limit = part_on(there, "fork"), tables().limits["fork-lower-hours"]
    law = wear_law(limit, there.record.bike, None)
    assert law is not None and law.driver == "h"
    before = forecast_of(fork, limit, law, there.record.bike, TODAY).day_at_limit
    winter_indoors(there)
    assert forecast_of(fork, limit, law, there.record.bike, TODAY).day_at_limit == before


@pytest.mark.parametrize(
    ("kind", "km"),
    [
        ("rotor", 20.0),
        ("tyre", 70.0),
        ("cassette", 70.0),
    ],
)
def test_a_part_fitted_to_its_wheel_goes_on_as_before(kind: str, km: float) -> None:
    """Written down as on the wheel instead of on the bike: no kilometre more or less, and no brake turns on rollers."""
    there = bike("road-disc")
    long_here(there)
    take(there, ("a.fit", ride_of(0, 20.0)), ("b.fit", ride_of(2, 50.0, indoor=True)))
    parts = {
        one: part_on(there, one, "" if one == "cassette" else "rear") for one in ("rotor", "tyre", "cassette")
    }
    wheel = part_on(there, "wheel", "rear")
    Fitting.objects.filter(part__in=parts.values()).update(bike=None, wheel=wheel)
    assert use_of(parts[kind], TODAY).km == pytest.approx(km)


def test_earlier_parts_are_remembered_on_a_wheel_too() -> None:
    """Pads eat rotors on this bike: the rotor before was fitted to the same wheel, and the forecast tells of it."""
    there = bike("road-disc")
    wheel, rotor = part_on(there, "wheel", "rear"), part_on(there, "rotor", "rear")
    Fitting.objects.filter(part__in=(wheel, rotor)).update(start=START, start_known=True)
    Fitting.objects.filter(part=wheel).update(start=START - timedelta(days=400))
    before = Part.objects.create(kind="rotor", place="rear", limits=rotor.limits, words="the rotor before")
    fitting = Fitting.objects.create(part=before, wheel=wheel, start=START - timedelta(days=300))
    day = START - timedelta(days=20)
    describe(there, before, rotor_new_mm=1.8)
    read(there, before, "rotor-thickness-1.8", value=1.52, distance_km=900.0, day=day)
    fitting.end = START
    fitting.save()
    Fitting.objects.filter(part=rotor).update(bike=None, wheel=wheel)
    found = as_found(there, rotor, "rotor-thickness-1.8", 1.75)
    assert [reason for reason in found.reasons if "1 earlier rotor of this bike" in reason.source]


def test_the_chain_is_read_by_the_sprockets_that_are_there() -> None:
    """A cassette of 12 goes onto a bike of 11: its chain is read on the narrower row from then on, the other bike's on none.

    How many there are is asked of the build sheet, as every page does.
    """
    road = bike("road-disc")
    gravel = bike("gravel-1x", speeds=11)
    assert readings_of(gravel, "chain") & {"chain-elongation-11", "chain-elongation-12to13"} == {
        "chain-elongation-11"
    }
    asked = MoveRequest("cassette", road.tag, gravel.tag)
    move_part(asked, by=road.first, key="cassette-moved", now=NOW)
    rows = readings_of(gravel, "chain") & {"chain-elongation-11", "chain-elongation-12to13"}
    assert rows == {"chain-elongation-12to13"}
    assert sprockets_behind(build_of(gravel.record.bike)) == 12
    assert sprockets_behind(build_of(road.record.bike)) is None


@pytest.mark.parametrize("gears", [3, 5, 7, 8, 11, 14])
def test_the_gears_in_a_hub_are_not_sprockets(gears: int) -> None:
    """However many gears the hub has: the chain is read on the row of one sprocket, and no derailleur is asked for."""
    there = bike("city-hub-gear", speeds=gears)
    rows = {limit for limit in readings_of(there, "chain") if limit.startswith("chain-elongation")}
    assert rows == {"chain-elongation-1"}
    assert "so-limits" not in items_of(there)
    assert {"so-chain", "so-hub-gear"} <= items_of(there)


def test_one_gear_in_a_hub_is_none_and_is_told_of_the_sprocket() -> None:
    """'1' typed for a hub-gear bike counts what is behind: no hub has one gear, and nobody knows how many it has."""
    there = bike("city-hub-gear", speeds=1)
    build = build_of(there.record.bike)
    assert [part.value("gears") for part in build.parts if part.kind.id == "hub gear"] == [None]
    assert sprockets_behind(build) == 1 and gears_of(build) == 1
    assert gears_of(build_of(bike("city-hub-gear", speeds=8).record.bike)) == 8
