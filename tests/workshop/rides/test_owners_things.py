"""What an owner rides beside one bike: further bikes, wheels that hang on the wall, trainers, and what a display shows."""

from datetime import date, timedelta

import pytest

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Bike, Display, Event, Job, Owner, Part, Reading, Trainer
from pinchbolt.workshop.bikes.build_sheet import parts_at, parts_on
from pinchbolt.workshop.bikes.move_part import BOTH_WHEELS, MoveRequest, move_part
from pinchbolt.workshop.rides._still_to_answer import still_to_answer
from pinchbolt.workshop.rides.displays import DisplayRequest, displays_of, note_display, odometer_stretches
from pinchbolt.workshop.rides.exposure import counted_of, use_of, week_of
from pinchbolt.workshop.rides.hours_ridden import hours_of
from pinchbolt.workshop.rides.owners_things import (
    OwnBikeRequest,
    OwnTrainerRequest,
    OwnWheelsRequest,
    add_own_bike,
    add_own_trainer,
    add_own_wheels,
    things_of,
)
from pinchbolt.workshop.rides.place_rides import PlaceRidesRequest, place_rides
from pinchbolt.workshop.rides.ride_files import Held, read_files
from pinchbolt.workshop.rides.ride_report import RidesTaken
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from pinchbolt.workshop.stays.check_in import CheckInRequest, ask_who, check_in
from pinchbolt.workshop.stays.walk_round import walk_round
from tests.story import NOW, TODAY, Story
from tests.workshop.ride_story import SPRING, ride_of

FIRST = SPRING.date()


def came(story: Story, **said: object) -> Bike:
    """A road bike that comes in."""
    told = {"template": "road-disc", "owner_name": "Wren", "all_along": True, **said}
    return Bike.objects.get(
        tag=check_in(CheckInRequest(**told), by=story.first, key=story.key(), now=NOW).tag
    )


def give(story: Story, bike: Bike, *rides: bytes, **more: object) -> RidesTaken:
    """Ride files for a bike."""
    seen = list(read_files(Held(f"{number}.fit", data) for number, data in enumerate(rides)))
    asked = RidesRequest(bike.tag, digest_of(seen), **more)
    return take_in_rides(asked, seen, by=story.first, key=story.key(), now=NOW)


def on(bike: Bike, kind: str, place: str = "") -> Part:
    """A part of this kind on a bike."""
    return next(one for one in parts_on(bike) if one.kind == kind and place in ("", one.place))


def km(part: Part) -> float:
    """How far a part went by today."""
    return use_of(part, TODAY).km


def test_a_further_bike_of_somebody_known_has_the_same_owner(arrived: Story) -> None:
    """By a bike of theirs; a name that is known is asked about, in any capitals, and two people of one name stay two."""
    first = came(arrived)
    second = came(arrived, owner_of=first.tag)
    assert (second.owner, Owner.objects.filter(name="Wren").count()) == (first.owner, 1)
    with pytest.raises(
        InputRefused, match=rf"is known here, with {first.tag}, {second.tag}: is it the same person\?"
    ):
        ask_who(CheckInRequest(template="road-disc", owner_name=" wren "), "a-new-mark")
    ask_who(CheckInRequest(template="road-disc", owner_name="wren", owner_of=first.tag), "a-new-mark")
    assert came(arrived).owner != first.owner


def test_a_further_bike_is_written_down_without_coming_in(arrived: Story) -> None:
    """Two bikes and one head unit: its rides are asked about among both, and the second bike has no stay."""
    first = came(arrived)
    made = add_own_bike(
        OwnBikeRequest(first.tag, "road-disc", bike_words="old"), by=arrived.first, key="own-bike-1", now=NOW
    )
    again = add_own_bike(
        OwnBikeRequest(first.tag, "road-disc", bike_words="old"), by=arrived.first, key="own-bike-1", now=NOW
    )
    second = Bike.objects.get(tag=made.name)
    assert (again, second.owner, second.jobs.count()) == (made, first.owner, 0)
    taken = give(arrived, first, ride_of(0), ride_of(5), sort=True)
    # The first bike is here since today: before, both are possible.
    assert len(taken.unclear) == 2


def test_wheels_on_the_wall_go_nowhere_and_each_set_has_its_own_kilometres(arrived: Story) -> None:
    """Ten rides of 40 km, every tenth day; race wheels on from day 45 to day 75, told today: the rides of days 50, 60 and 70.

    So 120 km for tyre, cassette and rotor of the race wheels, 280 km for the everyday ones, 400 km for chain and frame."""
    bike = came(arrived)
    made = add_own_wheels(
        OwnWheelsRequest(bike.tag, "race wheels"), by=arrived.first, key=arrived.key(), now=NOW
    )
    everyday = {kind: on(bike, kind, "rear") for kind in ("wheel", "tyre", "rotor")} | {
        "cassette": on(bike, "cassette")
    }
    give(arrived, bike, *(ride_of(day, 40.0) for day in range(0, 100, 10)))
    assert [km(part) for part in everyday.values()] == [pytest.approx(400.0)] * 4
    for day in (45, 75):
        on_day = FIRST + timedelta(days=day)
        asked = MoveRequest(BOTH_WHEELS, made.name, bike.tag, exchange=True, day=on_day)
        move_part(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert {on(bike, "wheel", "rear"), on(bike, "cassette")} == {everyday["wheel"], everyday["cassette"]}
    (peg,) = things_of(bike.owner).pegs
    assert "rear wheel" in peg.parts and "cassette" in peg.parts
    race = {
        one.kind: one
        for one in parts_at(peg_id=int(peg.name.split()[1]))
        if one.kind in everyday and one.place != "front"
    }
    assert set(race) == set(everyday)
    assert {kind: km(part) for kind, part in race.items()} == {kind: pytest.approx(120.0) for kind in race}
    assert {kind: km(part) for kind, part in everyday.items()} == {
        kind: pytest.approx(280.0) for kind in everyday
    }
    assert km(on(bike, "chain")) == pytest.approx(400.0)


def test_a_set_of_wheels_needs_a_name_and_hangs_on_a_peg_alone(arrived: Story) -> None:
    """No name, a chain on the wall, a peg that is not there: each is refused with its sentence."""
    bike = came(arrived)
    with pytest.raises(InputRefused):
        add_own_wheels(OwnWheelsRequest(bike.tag), by=arrived.first, key=arrived.key(), now=NOW)
    made = add_own_wheels(OwnWheelsRequest(bike.tag, "race"), by=arrived.first, key=arrived.key(), now=NOW)
    for move, out_of, refusal, words in (
        ("chain", made.name, InputRefused, "^Wheels hang on a peg, not a chain"),
        ("rear wheel", "peg 99999", NotFound, f"^There is no peg 99999: {made.name}"),
    ):
        with pytest.raises(refusal, match=words):
            move_part(MoveRequest(move, out_of, bike.tag), by=arrived.first, key=arrived.key(), now=NOW)


def test_kilometres_on_a_trainer_turn_the_chain_and_no_tyre_or_brake(arrived: Story) -> None:
    """30 km on the road, 50 km on the owner's trainer, which has a cassette: chain 80, tyre, rotor and own cassette 30, its cassette 50."""
    bike = came(arrived)
    other = came(arrived, owner_name="Sorrel")
    asked = OwnTrainerRequest(bike.tag, "in the cellar", sprockets=True)
    made = add_own_trainer(asked, by=arrived.first, key=arrived.key(), now=NOW)
    number = int(made.name.split()[1])
    assert (number, "in the cellar") in things_of(bike.owner).trainers
    assert (number, "in the cellar") not in things_of(other.owner).trainers
    give(arrived, bike, ride_of(0, 30.0), ride_of(3, 50.0, indoor=True), trainer=number)
    gone = {
        (kind, place): km(on(bike, kind, place))
        for kind, place in [("chain", ""), ("tyre", "rear"), ("rotor", "rear"), ("cassette", "")]
    }
    assert list(gone.values()) == [pytest.approx(80), pytest.approx(30), pytest.approx(30), pytest.approx(30)]
    assert Trainer.objects.get(pk=number).fittings.get().part.kind == "cassette"


@pytest.mark.parametrize(
    ("shown", "born", "expected"),
    [
        ([], None, []),
        ([(10, 300.0)], None, []),
        ([(10, 300.0)], 0, [(0, 10, 300.0)]),
        ([(30, 700.0), (10, 300.0)], 0, [(0, 10, 300.0), (10, 30, 400.0)]),
        # Set back, or another display: what lies between is not known, and it counts anew.
        ([(10, 300.0), (20, 5.0), (30, 105.0)], None, [(20, 30, 100.0)]),
        ([(10, 300.0), (10, 310.0), (20, 360.0)], None, [(10, 20, 50.0)]),
    ],
)
def test_two_days_of_an_odometer_are_a_distance(
    shown: list[tuple[int, float]], born: int | None, expected: list[tuple[int, int, float]]
) -> None:
    """From when the bike was new, where that is known; the last word of a day counts; never a distance below 0."""

    def day(number: int) -> date:
        return FIRST + timedelta(days=number)

    found = odometer_stretches(
        [(day(one), value) for one, value in shown], None if born is None else day(born), "b"
    )
    assert [(one.start, one.end, one.km) for one in found] == [
        (day(start), day(end), gone) for start, end, gone in expected
    ]


def test_an_odometer_counts_what_was_ridden_without_a_file_and_nothing_twice(arrived: Story) -> None:
    """New on 2 March, 1,000 km on the display today; files hold 5 rides of 40 km in the first weeks: the chain went 1,000 km."""
    bike = came(arrived, all_along=False, on_since=FIRST, odometer_km=1000.0)
    give(arrived, bike, *(ride_of(day, 40.0) for day in (3, 6, 9, 12, 15)))
    used = use_of(on(bike, "chain"), TODAY)
    assert (used.km, used.days_unknown) == (pytest.approx(1000.0), 0)
    assert used.sd < 0.05 * used.km
    assert Display.objects.get().value == 1000.0
    files = sum(one.km for one in counted_of(f"bike {bike.pk}").stretches if one.known == "ride files")
    assert files == pytest.approx(200.0)


def test_a_display_that_speaks_for_no_span_says_so_and_can_be_put_right(arrived: Story) -> None:
    """A first value of a bike of which nobody knows since when; then a lower one; then a slip put right; motor hours are kept too."""
    bike = came(arrived, all_along=False)

    def show(what: str, value: float, day: date, **more: object) -> int:
        asked = DisplayRequest(bike.tag, what, value, day, **more)
        return note_display(asked, by=arrived.first, key=arrived.key(), now=NOW)

    slip = show("odometer", 5200.0, FIRST)
    assert "say since when the bike is new" in displays_of(bike)[0].words
    show("odometer", 700.0, FIRST + timedelta(days=70))
    assert "set back, or another display" in displays_of(bike)[0].words
    show("odometer", 520.0, FIRST, corrects=slip)
    assert displays_of(bike)[0].words == ""
    assert week_of(bike, FIRST + timedelta(days=70)).weeks_known == pytest.approx(10.0)
    show("motor hours", 88.0, TODAY)
    assert displays_of(bike)[0].what == "motor hours" and displays_of(bike)[0].unit == "h"
    with pytest.raises(InputRefused, match=r"can't be after today"):
        show("odometer", 900.0, TODAY + timedelta(days=1))
    with pytest.raises(InputRefused):
        show("odometer", -1.0, TODAY)
    with pytest.raises(InputRefused, match=r"is on no display"):
        show("speed", 1.0, TODAY)


def test_hours_of_riding_follow_a_part_as_its_kilometres_do(arrived: Story) -> None:
    """Rides at 7.5 m/s: 54 km are 2 h. Two on the road and one on a trainer: chain 6 h, front tyre 4 h; since a service, what came after."""
    bike = came(arrived)
    give(arrived, bike, ride_of(0, 54.0), ride_of(10, 54.0), ride_of(20, 54.0, indoor=True))
    assert hours_of(on(bike, "chain"), TODAY).hours == pytest.approx(6.0, abs=0.01)
    assert hours_of(on(bike, "tyre", "front"), TODAY).hours == pytest.approx(4.0, abs=0.01)
    since = hours_of(on(bike, "chain"), TODAY, since=FIRST + timedelta(days=10))
    assert (since.hours, since.known) == (pytest.approx(2.0, abs=0.01), "ride files")


def test_a_motors_own_hours_count_where_files_hold_fewer(arrived: Story) -> None:
    """88 h on 2 March, 188 h a hundred days on; files hold 6 h: the chain has 100 h by the motor, half of them after fifty days.

    The ride of 2 h on 2 March was before the first reading, as a ride on the day of a change is, and comes on top.

    With files of 120 h the motor was off for a while: the files tell more, and count. A lower value is another display.
    """
    bike = came(arrived)

    def show(value: float, day: int) -> None:
        asked = DisplayRequest(bike.tag, "motor hours", value, FIRST + timedelta(days=day))
        note_display(asked, by=arrived.first, key=arrived.key(), now=NOW)

    give(arrived, bike, *(ride_of(day, 54.0) for day in (0, 10, 20)))
    show(88.0, 0)
    assert hours_of(on(bike, "chain"), TODAY).known == "ride files"
    show(188.0, 100)
    by_motor = hours_of(on(bike, "chain"), TODAY)
    assert (by_motor.hours, by_motor.known) == (
        pytest.approx(102.0, abs=0.01),
        "the motor's own hours and ride files",
    )
    after = hours_of(on(bike, "chain"), TODAY, since=FIRST + timedelta(days=50))
    assert (after.hours, after.known) == (pytest.approx(50.0), "the motor's own hours")
    show(20.0, 110)
    assert hours_of(on(bike, "chain"), TODAY).hours == pytest.approx(102.0, abs=0.01)
    give(arrived, bike, *(ride_of(day, 27.0 * 6) for day in range(30, 50)))
    assert hours_of(on(bike, "chain"), TODAY).known == "ride files"


def test_hours_of_files_and_of_the_motor_at_different_times_are_added(arrived: Story) -> None:
    """25 rides of 2 h before the motor was first read, 60 h by the motor since: 110 h, from the one and the other.

    A ride of 2 h within the motor's days is in its hours; one after its last day is not.
    """
    bike = came(arrived)
    for value, day in ((100.0, 60), (160.0, 120)):
        asked = DisplayRequest(bike.tag, "motor hours", value, FIRST + timedelta(days=day))
        note_display(asked, by=arrived.first, key=arrived.key(), now=NOW)
    give(arrived, bike, *(ride_of(day, 54.0) for day in range(1, 26)))
    found = hours_of(on(bike, "chain"), TODAY)
    assert (found.hours, found.known) == (
        pytest.approx(110.0, abs=0.1),
        "the motor's own hours and ride files",
    )
    give(arrived, bike, ride_of(80, 54.0), ride_of(130, 54.0))
    assert hours_of(on(bike, "chain"), TODAY).hours == pytest.approx(112.0, abs=0.1)


def test_the_answer_for_one_batch_is_remembered_for_the_owner(arrived: Story) -> None:
    """Commutes of 8 km on workdays and rides of 80 km on Sundays by one head unit: two questions settle 60 rides.

    Later commutes are placed by habit, with their doubt; a 40 km ride is like neither and is asked."""
    old = came(arrived)
    light = came(arrived, owner_of=old.tag)
    workdays = [day for day in range(84) if day % 7 < 5]
    taken = give(
        arrived,
        old,
        *(ride_of(day, 8.0) for day in workdays[:48]),
        *(ride_of(day, 80.0) for day in range(6, 84, 7)),
        sort=True,
    )
    asked = still_to_answer(old)
    assert len(taken.unclear) == 60 and [len(one.rides) for one in asked] == [48, 12]
    assert "Mon to Fri, about 8 km at 27 km/h" in asked[0].pattern and not asked[0].likely
    for one, bike in zip(asked, (old, light), strict=True):
        place_rides(PlaceRidesRequest(one.rides, bike.tag), by=arrived.first, key=arrived.key(), now=NOW)
    more = give(arrived, old, ride_of(91, 8.2), ride_of(97, 81.0), ride_of(101, 40.0, hour=6), sort=True)
    assert more.by_habit == 2 and more.least_sure is not None and 0.95 <= more.least_sure < 1.0
    assert (more.bikes, len(more.unclear)) == ({old.tag: 1, light.tag: 1}, 1)
    used = use_of(on(light, "chain"), TODAY)
    assert used.km == pytest.approx(12 * 80 + 81)
    # The doubt of the one concluded ride is in the figure.
    assert used.sd > 0.02 * used.km


def test_the_walk_round_says_the_hours_that_the_files_hold_for_a_fork(arrived: Story) -> None:
    """Three rides of 2 h: 6 h since it came; 40 h written down after the second: 2 h more, 42 in all, unless it was serviced."""
    bike = came(arrived, template="hardtail")
    give(arrived, bike, *(ride_of(day, 54.0) for day in (0, 10, 20)))
    job = bike.jobs.get()

    def words() -> set[str]:
        rows = [
            row for place in walk_round(job, NOW) for row in place.readings if row.limit == "fork-lower-hours"
        ]
        return {row.hours_words for row in rows}

    assert words() == {"6 h of riding by ride files since it came; less since its service"}
    fork = on(bike, "fork")
    event = Event.objects.create(
        at=NOW, by_id=arrived.first, kind="reading taken", key="forty-hours", fingerprint="", said={}
    )
    # A stay of then, laid down beside the open one.
    (then,) = Job.objects.bulk_create([Job(bike=bike, opened_at=SPRING)])
    Reading.objects.create(
        event=event, job=then, part=fork, limit="fork-lower-hours", unit="h", low=40.0,
        high=40.0, day=FIRST + timedelta(days=10),
    )  # fmt: skip
    assert words() == {"2 h by ride files since then: 42 h, unless it was serviced"}


def test_the_name_of_a_trainer_has_an_end(arrived: Story) -> None:
    """120 letters are kept, one more is refused at its field; a name there must be."""
    bike = came(arrived)
    for words, sentence in (
        ("t" * 121, "has 121 characters: 120 are allowed"),
        (" ", "Fill in what the trainer is called"),
    ):
        with pytest.raises(InputRefused, match=sentence) as refused:
            add_own_trainer(OwnTrainerRequest(bike.tag, words), by=arrived.first, key=arrived.key(), now=NOW)
        assert list(refused.value.errors) == ["words"]
    add_own_trainer(OwnTrainerRequest(bike.tag, "t" * 120), by=arrived.first, key=arrived.key(), now=NOW)
    assert Trainer.objects.get().name == "t" * 120
