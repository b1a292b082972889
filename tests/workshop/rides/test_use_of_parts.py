"""How far a part went and how far it goes in a week follow one word of its kind, on the bike and on a wheel alike."""

from datetime import date, timedelta

import pytest

from pinchbolt.records.models import Fitting, Part, Ride, Trainer
from pinchbolt.workshop.bikes.been_on import last_bike, parts_before
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.rides.exposure import rides_now, rides_of, stays_of, use_of, week_of
from pinchbolt.workshop.rides.place_rides import PlaceRidesRequest, place_rides
from tests.story import NOW, TODAY, Story
from tests.workshop.ride_story import SPRING, ride_of, take

START = SPRING.date() - timedelta(days=1)


def part_on(story: Story, kind: str, place: str = "") -> Part:
    """A part that is on the bike now."""
    return next(part for part in parts_on(story.record.bike) if (part.kind, part.place) == (kind, place))


def onto_wheel(wheel: Part, *parts: Part) -> None:
    """These parts are fitted to the wheel, as long as they were to the bike."""
    Fitting.objects.filter(part__in=parts, end__isnull=True).update(bike=None, wheel=wheel)


def here_since_spring(story: Story) -> None:
    """All parts were fitted the evening before the first ride."""
    Fitting.objects.filter(part__in=parts_on(story.record.bike)).update(start=START)


@pytest.mark.parametrize(
    ("kind", "end", "rides"),
    [
        ("chain", "", ""), ("crank", "", ""), ("pads", "rear", "outdoors"), ("rotor", "rear", "outdoors"),
        ("fork", "", "outdoors"), ("rear shock", "", "outdoors"), ("dropper post", "", "outdoors"),
        ("tyre", "front", "outdoors"), ("tyre", "front left", "outdoors"), ("tyre", "rear", "behind"),
        ("cassette", "", "behind"), ("dynamo", "front", "outdoors"),
    ],
)  # fmt: skip
def test_each_kind_has_one_word_for_its_rides(kind: str, end: str, rides: str) -> None:
    """What turns on a trainer, what turns unless the trainer has its own, and what stands still. Common practice, no source."""
    assert rides_of(kind, end) == rides


def test_a_part_on_a_wheel_goes_by_its_own_word(arrived: Story) -> None:
    """20 km outdoors, 50 on rollers: on its wheel the rotor went 20 km, as beside it; tyre and cassette went 70."""
    here_since_spring(arrived)
    parts = [
        part_on(arrived, "rotor", "rear"),
        part_on(arrived, "tyre", "rear"),
        part_on(arrived, "cassette"),
    ]
    onto_wheel(part_on(arrived, "wheel", "rear"), *parts)
    take(arrived, ("a.fit", ride_of(0, 20.0)), ("b.fit", ride_of(2, 50.0, indoor=True)))
    day = date(2026, 3, 9)
    assert [use_of(part, day).km for part in parts] == pytest.approx([20, 70, 70])
    assert [rides_now(part) for part in parts] == ["outdoors", "behind", "behind"]


def test_a_part_that_does_not_say_its_end_goes_by_its_wheel(arrived: Story) -> None:
    """Spokes of the front wheel stand still on rollers, those behind turn."""
    for end, rides in (("front", "outdoors"), ("rear", "behind")):
        spokes = Part.objects.create(kind="spokes")
        Fitting.objects.create(part=spokes, wheel=part_on(arrived, "wheel", end), start=START)
        assert rides_now(spokes) == rides


def test_on_a_trainer_a_wheel_turns_and_its_rotor_stands(arrived: Story) -> None:
    """The rear wheel spends March on the trainer: its cassette goes those kilometres, its rotor none, and no day is unknown."""
    here_since_spring(arrived)
    wheel, rotor, cassette = (
        part_on(arrived, "wheel", "rear"), part_on(arrived, "rotor", "rear"), part_on(arrived, "cassette"),
    )  # fmt: skip
    onto_wheel(wheel, rotor, cassette)
    trainer = Trainer.objects.create(name="trainer of stand 3")
    on, off = date(2026, 3, 10), date(2026, 4, 1)
    Fitting.objects.filter(part=wheel).update(end=on)
    Fitting.objects.create(part=wheel, trainer=trainer, start=on, end=off)
    Fitting.objects.create(part=wheel, bike=arrived.record.bike, start=off)
    take(arrived, ("a.fit", ride_of(0, 20.0)), ("b.fit", ride_of(14, 40.0, indoor=True)))
    indoors = Ride.objects.get(indoor=True)
    placed = PlaceRidesRequest((indoors.pk,), arrived.tag, trainer.pk)
    place_rides(placed, by=arrived.first, key=arrived.key(), now=NOW)
    assert use_of(cassette, date(2026, 3, 31)).km == pytest.approx(60)
    assert use_of(rotor, date(2026, 3, 31)).km == pytest.approx(20)
    assert {stay.host for stay in stays_of(rotor)} == {f"bike {arrived.record.bike.pk} outdoors"}
    assert use_of(rotor, date(2026, 3, 31)).days_unknown == use_of(rotor, on).days_unknown


def test_the_week_of_a_part_is_the_week_of_its_rides(arrived: Story) -> None:
    """40 km outdoors and 80 on rollers each week for 30 weeks: pads go about 40 a week, the chain about 120."""
    days = [7 * week for week in range(30)]
    outdoors = ((f"o{day}.fit", ride_of(day, 40.0)) for day in days)
    rollers = ((f"r{day}.fit", ride_of(day + 2, 80.0, indoor=True)) for day in days)
    take(arrived, *outdoors, *rollers)
    bike, today = arrived.record.bike, date(2026, 9, 28)
    pads, chain = part_on(arrived, "pads", "rear"), part_on(arrived, "chain")
    assert week_of(bike, today, rides=rides_now(pads)).median_km == pytest.approx(40, rel=0.1)
    assert week_of(bike, today, rides=rides_now(chain)).median_km == pytest.approx(120, rel=0.1)


def test_the_parts_before_are_found_on_the_bike_and_on_its_wheels(arrived: Story) -> None:
    """Two rotors before this one, on the bike and on its wheel; not one of another bike's wheel, nor one that never was there."""
    bike, wheel, rotor = (
        arrived.record.bike,
        part_on(arrived, "wheel", "rear"),
        part_on(arrived, "rotor", "rear"),
    )
    onto_wheel(wheel, rotor)
    Fitting.objects.filter(part=wheel).update(start=TODAY - timedelta(days=900))
    made = [
        Part.objects.create(kind="rotor", place="rear", words=words)
        for words in ("first", "second", "elsewhere", "slip")
    ]
    first, second, elsewhere, slip = made
    day = TODAY - timedelta(days=800)
    Fitting.objects.create(part=first, bike=bike, start=day, end=day + timedelta(days=300))
    Fitting.objects.create(part=second, wheel=wheel, start=day + timedelta(days=300), end=TODAY)
    Fitting.objects.create(part=slip, bike=bike, start=day, end=day, gone_to="never there")
    spare = Part.objects.create(kind="wheel", place="rear")
    Fitting.objects.create(part=elsewhere, wheel=spare, start=day, end=TODAY)
    assert parts_before(rotor, bike) == (first, second)
    # What came on later was not there before, gone as it is by now.
    assert (parts_before(first, bike), parts_before(second, bike)) == ((), (first,))


def test_a_part_whose_wheel_left_the_bike_was_on_it(arrived: Story) -> None:
    """The summer wheel hangs on the wall with its tyre on it: its tyre was on the bike, the last one that it was on."""
    bike, tyre = arrived.record.bike, part_on(arrived, "tyre", "rear")
    summer, its_tyre = (Part.objects.create(kind=kind, place="rear") for kind in ("wheel", "tyre"))
    off = TODAY - timedelta(days=60)
    Fitting.objects.create(part=summer, bike=bike, start=off - timedelta(days=100), end=off)
    Fitting.objects.create(part=its_tyre, wheel=summer, start=off - timedelta(days=100))
    assert parts_before(tyre, bike) == (its_tyre,)
    assert last_bike(its_tyre) == bike


def test_a_wheel_on_the_trainer_is_still_of_its_bike(arrived: Story) -> None:
    """A trainer is no bike: what is learned of the cassette there is learned for the bike that it came from."""
    wheel, cassette = part_on(arrived, "wheel", "rear"), part_on(arrived, "cassette")
    onto_wheel(wheel, cassette)
    Fitting.objects.filter(part=wheel).update(start=TODAY - timedelta(days=90), end=TODAY)
    Fitting.objects.filter(part=cassette).update(start=TODAY - timedelta(days=90))
    Fitting.objects.create(part=wheel, trainer=Trainer.objects.create(name="trainer"), start=TODAY)
    assert last_bike(cassette) == arrived.record.bike
    alone = Part.objects.create(kind="chain")
    assert last_bike(alone) is None


def test_what_is_kept_of_rides_follows_each_of_them(arrived: Story) -> None:
    """Asked before, between and after: a ride that comes, one that counts for nothing, and that counts again."""
    here_since_spring(arrived)
    chain, day, bike = part_on(arrived, "chain"), date(2026, 3, 20), arrived.record.bike

    def told() -> tuple[float, float]:
        return use_of(chain, day).km, week_of(bike, day).median_km

    take(arrived, ("a.fit", ride_of(0, 20.0)))
    one = told()
    take(arrived, ("b.fit", ride_of(2, 50.0)))
    both = told()
    assert (one[0], both[0]) == pytest.approx((20, 70))
    assert both[1] > one[1]
    second = Ride.objects.order_by("-start")[0]
    for tag, then in (("", one), (bike.tag, both)):
        place_rides(PlaceRidesRequest((second.pk,), tag), by=arrived.first, key=arrived.key(), now=NOW)
        assert told() == then
