"""A bike that comes here for the first time, and its owner's files of the year before: its parts have use, or the doubt is said."""

from datetime import date, timedelta

import pytest

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Bike, Fitting, Part
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.rides.exposure import possible_before, use_of
from pinchbolt.workshop.rides.on_since import SinceRequest, say_since
from pinchbolt.workshop.rides.part_distance import distance_at
from pinchbolt.workshop.rides.ride_files import Held, read_files
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from tests.story import NOW, TODAY, Story
from tests.workshop.ride_story import SPRING, ride_of

DAYS = range(0, 200, 4)  # 50 rides of 40 km from 2 March on, all before today


def newcomer(story: Story, **said: object) -> Bike:
    """A new bike with its owner's files of the year before: 50 rides, 2,000 km."""
    asked = CheckInRequest(template="road-disc", owner_name="First Timer", **said)
    tag = check_in(asked, by=story.first, key=story.key(), now=NOW).tag
    seen = list(read_files(Held(f"{day}.fit", ride_of(day, 40.0)) for day in DAYS))
    taken = take_in_rides(RidesRequest(tag, digest_of(seen)), seen, by=story.first, key=story.key(), now=NOW)
    assert (taken.came_in, taken.km) == (50, 2000.0)
    return Bike.objects.get(tag=tag)


def part_of(bike: Bike, kind: str, place: str = "") -> Part:
    """A part on this bike."""
    return next(one for one in parts_on(bike) if one.kind == kind and place in ("", one.place))


PARTS = [("chain", ""), ("cassette", ""), ("rotor", "front"), ("wheel", "rear")]


@pytest.mark.parametrize(("kind", "place"), PARTS)
def test_parts_that_were_on_it_as_long_as_the_owner_has_it_went_every_ride(
    arrived: Story, kind: str, place: str
) -> None:
    """2,000 km in files, on it all along: 2,000 km, known to the files' 2 %, and the distance at a reading says so."""
    part = part_of(newcomer(arrived, all_along=True), kind, place)
    used = use_of(part, TODAY)
    assert (used.km, used.sd) == (pytest.approx(2000, rel=1e-12), pytest.approx(40, rel=1e-9))
    assert possible_before(part) is None


@pytest.mark.parametrize(("kind", "place"), PARTS)
def test_a_bike_new_on_a_day_has_parts_of_that_day(arrived: Story, kind: str, place: str) -> None:
    """New on the day of the 26th ride: that ride was to the shop, 24 rides of 40 km came after."""
    bike = newcomer(arrived, on_since=SPRING.date() + timedelta(days=100))
    assert use_of(part_of(bike, kind, place), TODAY).km == pytest.approx(24 * 40)


@pytest.mark.parametrize(("kind", "place"), PARTS)
def test_where_nobody_knows_rides_before_are_possible_use_never_none_in_silence(
    arrived: Story, kind: str, place: str
) -> None:
    """Nothing said: 0 km are certain, up to 2,000 possible; the distance at a reading is unknown, not 0."""
    part = part_of(newcomer(arrived), kind, place)
    before = possible_before(part)
    assert before is not None and before.km == pytest.approx(2000)
    assert use_of(part, TODAY).km == 0
    assert distance_at(part, TODAY)[2] == "unknown"


def test_the_last_chain_has_a_day_of_its_own(arrived: Story) -> None:
    """All along, but the chain since the 41st ride: 9 rides of 40 km for it, 2,000 km for the cassette."""
    bike = newcomer(arrived, all_along=True, chain_since=SPRING.date() + timedelta(days=160))
    assert use_of(part_of(bike, "chain"), TODAY).km == pytest.approx(9 * 40)
    assert use_of(part_of(bike, "cassette"), TODAY).km == pytest.approx(2000)


def test_what_was_said_can_be_said_later_and_put_right(arrived: Story) -> None:
    """The owner remembers at the counter, then corrects himself, then is not sure: the use follows each time."""
    bike = newcomer(arrived)
    chain = part_of(bike, "chain")

    def said(**more: object) -> float:
        asked = SinceRequest(bike.tag, **more)
        say_since(asked, by=arrived.first, key=arrived.key(), now=NOW)
        return use_of(chain, TODAY).km

    assert said(all_along=True) == pytest.approx(2000)
    assert said(part=chain.pk, day=SPRING.date() + timedelta(days=160)) == pytest.approx(360)
    assert use_of(part_of(bike, "cassette"), TODAY).km == pytest.approx(2000)
    assert said(part=chain.pk, day=SPRING.date() + timedelta(days=100)) == pytest.approx(960)
    assert said() == 0
    before = possible_before(chain)
    assert before is not None and before.km == pytest.approx(2000)


def test_a_part_that_followed_a_known_one_was_not_there_before(arrived: Story) -> None:
    """An older chain is known to have come off after the 26th ride: what is on now can have gone 24 rides at most."""
    bike = newcomer(arrived)
    old = Part.objects.create(kind="chain")
    last = SPRING.date() + timedelta(days=100)
    Fitting.objects.create(part=old, bike=bike, start=date(2025, 1, 1), end=last, gone_to="scrap")
    before = possible_before(part_of(bike, "chain"))
    assert before is not None and before.km == pytest.approx(24 * 40)


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"day": TODAY + timedelta(days=2)}, r"The day"),
        ({"day": date(1921, 1, 1)}, r"^The day is 01 Jan 1921: from 1950 on is possible"),
        ({"day": TODAY, "all_along": True}, r"^Since a day, or as long as the owner has it: one of both"),
    ],
)
def test_a_day_out_of_sense_is_refused_and_nothing_written(
    arrived: Story, more: dict[str, object], sentence: str
) -> None:
    """Ahead, before bikes, or both answers at once."""
    bike = newcomer(arrived)
    with pytest.raises(InputRefused, match=sentence):
        say_since(SinceRequest(bike.tag, **more), by=arrived.first, key=arrived.key(), now=NOW)
    assert not Fitting.objects.exclude(since_said="").exists()
    with pytest.raises(NotFound, match=r"^Part 999999 is not on"):
        say_since(SinceRequest(bike.tag, part=999999), by=arrived.first, key=arrived.key(), now=NOW)


def test_the_first_day_that_can_be_said_is_the_first_of_1950(arrived: Story) -> None:
    """The day itself is taken, the day before it is not."""
    bike = newcomer(arrived)
    chain = part_of(bike, "chain")
    with pytest.raises(InputRefused, match="The day is 31 Dec 1949: from 1950 on is possible"):
        asked = SinceRequest(bike.tag, part=chain.pk, day=date(1949, 12, 31))
        say_since(asked, by=arrived.first, key=arrived.key(), now=NOW)
    asked = SinceRequest(bike.tag, part=chain.pk, day=date(1950, 1, 1))
    say_since(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert use_of(chain, TODAY).km == pytest.approx(2000)


def test_the_part_before_that_went_on_the_day_of_this_one_leaves_nothing_before_it(arrived: Story) -> None:
    """The old chain came off when this one was first seen: no ride of before can have been this one's."""
    bike = newcomer(arrived)
    chain = part_of(bike, "chain")
    seen = Fitting.objects.get(part=chain).start
    old = Part.objects.create(kind="chain")
    Fitting.objects.create(part=old, bike=bike, start=date(2025, 1, 1), end=seen, gone_to="scrap")
    assert possible_before(chain) is None
    assert possible_before(part_of(bike, "cassette")) is not None
