"""Ride files taken in: each ride once, for the right bike, all in one act; and what parts went by them."""

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.utils import DatabaseError
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import (
    Bike,
    Event,
    Fitting,
    Instrument,
    Owner,
    Part,
    Reading,
    Ride,
    RidePlace,
    Trainer,
)
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.rides.exposure import use_of, week_of
from pinchbolt.workshop.rides.note_distance import DistanceRequest, note_distance
from pinchbolt.workshop.rides.part_distance import distance_of
from pinchbolt.workshop.rides.part_over_time import part_used
from pinchbolt.workshop.rides.place_rides import PlaceRidesRequest, place_rides
from pinchbolt.workshop.rides.ridden import bike_ridden
from pinchbolt.workshop.rides.ride_files import Held, read_files
from pinchbolt.workshop.rides.ride_report import device_words
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from tests.engines.rides.damage import damaged_files
from tests.engines.rides.fit_writer import (
    fit_file,
    ride_messages,
)
from tests.story import (
    NOW,
    Story,
    answered,
    checked_in,
    handed_over,
    priced,
    signed_off,
    walked_round,
    worked,
)
from tests.workshop.ride_story import SPRING, ride_of, take

ROW = "chain-elongation-12to13"


def part_on(story: Story, kind: str, place: str = "") -> Part:
    """A part of the bike of the story."""
    parts = Part.objects.filter(fittings__bike=story.record.bike, kind=kind)
    return (parts.filter(place=place) if place else parts).get()


def gauge() -> int:
    """The workshop's two-point gauge."""
    return Instrument.objects.get(table_id="chain-gauge-go-nogo").pk


def long_here(story: Story) -> None:
    """All parts were fitted in February."""
    Fitting.objects.filter(bike=story.record.bike).update(start=date(2026, 2, 1))


def test_rides_come_in_once_and_are_added_up_for_the_chain(arrived: Story) -> None:
    """Three rides of 30 km: the chain went 90 km, known from ride files, to 2 % that all of them share."""
    long_here(arrived)
    taken = take(arrived, ("a.fit", ride_of(0)), ("b.fit", ride_of(3)), ("c.fit", ride_of(5)))
    assert (taken.came_in, taken.km, taken.bikes) == (3, 90.0, {arrived.tag: 3})
    used = use_of(part_on(arrived, "chain"), date(2026, 3, 7))
    assert used.km == pytest.approx(90.0, rel=1e-12)
    assert used.sd == pytest.approx(0.02 * 90.0, rel=1e-12)
    assert used.known == ("ride files",)


def test_the_same_files_again_bring_nothing_new(arrived: Story) -> None:
    """A second import of the same files, in another order, writes no ride."""
    files = [("a.fit", ride_of(0)), ("b.fit", ride_of(3))]
    take(arrived, *files)
    again = take(arrived, *files[::-1])
    assert (again.came_in, again.known_before, again.km) == (0, 2, 0.0)
    assert Ride.objects.count() == 2


def test_a_repeated_request_answers_as_it_did(arrived: Story) -> None:
    """A double tap: the same report, and the rides once."""
    files = [
        ("a.fit", ride_of(0)),
        ("b.fit", ride_of(0, 30.2)),
        ("c.fit", b"nothing"),
        ("d.fit", ride_of(5)[:-1]),
    ]
    first = take(arrived, *files, key="one-request-mark")
    second = take(arrived, *files, key="one-request-mark")
    assert first == second
    assert Event.objects.filter(kind="rides taken in").count() == 1


def test_a_ride_recorded_by_two_devices_counts_once(arrived: Story) -> None:
    """A watch and a computer on one ride: the second one is a double, named, and adds nothing."""
    taken = take(arrived, ("computer.fit", ride_of(0)), ("watch.fit", ride_of(0, 30.3, serial=5)))
    assert (taken.came_in, taken.km) == (1, 30.0)
    assert [(one.name, one.words) for one in taken.doubled] == [
        ("watch.fit", "the ride of 02 Mar 2026 is here already, 30.0 km; it counts once.")
    ]
    assert bike_ridden(arrived.tag, NOW).km == 30.0


def test_a_file_that_cannot_be_read_is_named_and_the_others_come_in(arrived: Story) -> None:
    """Refused, damaged, left out: each by name, and nothing of a refused one is written."""
    run = fit_file(ride_messages(int(SPRING.timestamp()), [3.0] * 60, sport=(1, 0)))
    later = fit_file(ride_messages(int(NOW.timestamp()) + 10 * 86400, [8.0] * 60))
    cut = fit_file(ride_messages(int(SPRING.timestamp()) + 90000, [8.0] * 600))[:6000]
    taken = take(
        arrived,
        ("good.fit", ride_of(3)),
        ("photo.jpg", b"\xff\xd8\xff"),
        ("run.fit", run),
        ("late.fit", later),
        ("cut.fit", cut),
    )
    assert taken.came_in == 2
    assert [one.name for one in taken.refused] == ["photo.jpg"]
    assert [one.name for one in taken.left_out] == ["late.fit", "run.fit"]
    assert [one.name for one in taken.damaged] == ["cut.fit"]
    assert "cut short" in taken.damaged[0].words
    assert Ride.objects.count() == 2


def test_no_file_name_and_no_place_is_kept(arrived: Story) -> None:
    """What is kept of a ride has no field for where it went, and nothing of the file's name or the device's serial."""
    take(arrived, ("from-home-to-Elm-Row.fit", ride_of(0, serial=987654)))
    kept = " ".join(str(value) for row in Ride.objects.values() for value in row.values())
    kept += " ".join(str(event.said) for event in Event.objects.all())
    assert "Elm" not in kept
    assert "987654" not in kept
    names = {field.name for field in Ride._meta.get_fields()}
    assert not {
        name for name in names if "lat" in name or "lon" in name or "track" in name or name == "place"
    }


def test_a_ride_while_the_bike_was_in_the_workshop_is_asked(arrived: Story) -> None:
    """The bike came in at 10:00: a ride that starts later that day was on another one, or the clock was wrong."""
    start = int((NOW + timedelta(hours=1)).timestamp())
    taken = take(arrived, ("a.fit", fit_file(ride_messages(start, [8.0] * 60))))
    assert (taken.came_in, taken.bikes, len(taken.unclear)) == (1, {}, 1)
    (asked,) = bike_ridden(arrived.tag, NOW).asked
    assert (asked.why, asked.rides) == ("it was in the workshop then", taken.unclear)


def second_bike(story: Story) -> Bike:
    """Another bike of the same owner."""
    bike = story.record.bike
    return Bike.objects.create(tag="ZZ-99", owner=bike.owner, kind="road", words="winter bike")


def test_sorted_rides_go_by_the_device_that_was_on_a_bike_before(arrived: Story) -> None:
    """Two bikes, two computers: once each is known, a whole account sorts itself; a third device is asked about."""
    other = second_bike(arrived)
    take(arrived, ("a.fit", ride_of(0, serial=1)))
    seen = list(read_files([Held("b.fit", ride_of(1, serial=2))]))
    take_in_rides(
        RidesRequest(other.tag, digest_of(seen)), seen, by=arrived.first, key=arrived.key(), now=NOW
    )
    taken = take(
        arrived,
        ("c.fit", ride_of(2, serial=1)),
        ("d.fit", ride_of(3, serial=2)),
        ("e.fit", ride_of(4, serial=3)),
        ("f.csv", b"start,distance_km,moving_s,bike\n2026-03-20T08:00:00Z,50,7000,winter bike\n"),
        sort=True,
    )
    assert taken.bikes == {arrived.tag: 1, "ZZ-99": 2}
    assert len(taken.unclear) == 1
    hows = set(RidePlace.objects.filter(event=Event.objects.order_by("-pk")[0]).values_list("how", flat=True))
    assert hows == {"device", "asked", "name in the file"}


def test_putting_a_ride_right_moves_its_distance_from_part_to_part(arrived: Story) -> None:
    """Moved to the other bike the chain forgets it, moved back it has it again; all three places stay written down."""
    long_here(arrived)
    second_bike(arrived)
    take(arrived, ("a.fit", ride_of(0)), ("b.fit", ride_of(3)))
    chain, ride = part_on(arrived, "chain"), Ride.objects.order_by("start")[0]
    for tag, km in (("ZZ-99", 30.0), (arrived.tag, 60.0), ("", 30.0)):
        placed = PlaceRidesRequest((ride.pk,), tag)
        assert place_rides(placed, by=arrived.first, key=arrived.key(), now=NOW) == 1
        assert use_of(chain, date(2026, 3, 9)).km == pytest.approx(km, rel=1e-12)
    assert RidePlace.objects.filter(ride=ride).count() == 4


def test_rides_stay_with_their_owner_and_doubles_with_their_first(arrived: Story) -> None:
    """Neither another owner's bike nor a double can be chosen; what does not exist is named."""
    take(arrived, ("a.fit", ride_of(0)), ("b.fit", ride_of(0, 30.3)))
    first, double = Ride.objects.order_by("pk")
    stranger = Bike.objects.create(tag="XX-01", owner=_owner(), kind="road", words="")
    with pytest.raises(InputRefused, match=r"is not of XX-01's owner: choose one of its owner's bikes"):
        place_rides(
            PlaceRidesRequest((first.pk,), stranger.tag), by=arrived.first, key=arrived.key(), now=NOW
        )
    with pytest.raises(NotPossibleNow, match=r"is a double: another recording of it counts already"):
        place_rides(
            PlaceRidesRequest((double.pk,), arrived.tag), by=arrived.first, key=arrived.key(), now=NOW
        )
    with pytest.raises(NotFound, match=r"^There is no ride 999999"):
        place_rides(PlaceRidesRequest((999999,), arrived.tag), by=arrived.first, key=arrived.key(), now=NOW)
    with pytest.raises(InputRefused, match=r"^0 rides were chosen: 1 to 10,000"):
        place_rides(PlaceRidesRequest((), arrived.tag), by=arrived.first, key=arrived.key(), now=NOW)


def _owner():
    return Owner.objects.create(name="Somebody Else")


def test_indoors_the_chain_turns_and_the_front_tyre_stands(arrived: Story) -> None:
    """50 km on rollers: chain and rear tyre go 50 km, front tyre and rotors none; on a named trainer the rear tyre stands too."""
    long_here(arrived)
    take(arrived, ("a.fit", ride_of(0, 20.0)), ("b.fit", ride_of(2, 50.0, indoor=True)))
    day = date(2026, 3, 9)

    def km(kind: str, place: str = "") -> float:
        return use_of(part_on(arrived, kind, place), day).km

    assert [km("chain"), km("tyre", "rear"), km("tyre", "front"), km("rotor", "rear")] == pytest.approx(
        [70, 70, 20, 20]
    )
    trainer = Trainer.objects.create(name="the owner's trainer")
    ride = Ride.objects.get(indoor=True)
    place_rides(
        PlaceRidesRequest((ride.pk,), arrived.tag, trainer.pk), by=arrived.first, key=arrived.key(), now=NOW
    )
    assert [km("chain"), km("tyre", "rear"), km("tyre", "front")] == pytest.approx([70, 20, 20])


def test_files_win_where_they_speak_and_the_word_fills_the_rest(arrived: Story) -> None:
    """Said: 400 km in March. Files hold 4 rides of 30 km in its first half; the other half gets the 280 km that are left."""
    long_here(arrived)
    march = DistanceRequest(date(2026, 3, 1), date(2026, 3, 31), 400.0, "owner's word", tag=arrived.tag)
    note_distance(march, by=arrived.first, key=arrived.key(), now=NOW)
    take(arrived, *((f"{day}.fit", ride_of(day)) for day in (0, 5, 10, 14)))
    used = use_of(part_on(arrived, "chain"), date(2026, 3, 31))
    assert used.km == pytest.approx(400.0, rel=1e-12)
    assert set(used.known) == {"ride files", "owner's word"}
    (beside,) = bike_ridden(arrived.tag, NOW).beside
    assert beside.words == (
        "01 Mar 2026 to 31 Mar 2026: 400 km were said (owner's word), ride files hold 120 km for 15 of its 30 days; they agree."
    )


def test_a_word_that_files_contradict_is_said_and_does_not_count(arrived: Story) -> None:
    """Said 100 km for ten days in which files hold 240: the files count, and both figures are shown."""
    long_here(arrived)
    asked = DistanceRequest(date(2026, 3, 1), date(2026, 3, 11), 100.0, "owner's word", tag=arrived.tag)
    note_distance(asked, by=arrived.first, key=arrived.key(), now=NOW)
    take(arrived, *((f"{day}.fit", ride_of(day, 80.0)) for day in (0, 5, 9)))
    assert use_of(part_on(arrived, "chain"), date(2026, 3, 11)).km == pytest.approx(240.0, rel=1e-12)
    (beside,) = bike_ridden(arrived.tag, NOW).beside
    assert not beside.agree
    assert beside.words.endswith(
        "ride files hold 240 km for all of its 10 days; they do not agree; the files count."
    )


def test_about_so_much_a_week_is_a_distance_with_its_own_error(arrived: Story) -> None:
    """'About 60 a week' for four weeks is 240 km, known to a quarter."""
    long_here(arrived)
    asked = DistanceRequest(date(2026, 3, 1), date(2026, 3, 29), tag=arrived.tag, km_a_week=60.0)
    note_distance(asked, by=arrived.first, key=arrived.key(), now=NOW)
    used = use_of(part_on(arrived, "chain"), date(2026, 3, 29))
    assert (used.km, used.sd) == (pytest.approx(240.0, rel=1e-12), pytest.approx(60.0, rel=1e-12))
    both = DistanceRequest(date(2026, 4, 1), date(2026, 4, 2), 10.0, tag=arrived.tag, km_a_week=60.0)
    with pytest.raises(InputRefused, match=r"^A distance is so much in all, or so much a week"):
        note_distance(both, by=arrived.first, key=arrived.key(), now=NOW)


def test_the_week_follows_the_files_and_the_history_tells_of_them(arrived: Story) -> None:
    """Three rides of 40 km a week for 30 weeks: about 120 km a week, whatever is usual."""
    days = [7 * week + day for week in range(30) for day in (0, 2, 5)]
    take(arrived, *((f"{day}.fit", ride_of(day, 40.0)) for day in days))
    week = week_of(arrived.record.bike, date(2026, 9, 28))
    assert week.median_km == pytest.approx(120, rel=0.1)
    assert "ride files taken in: 90 rides" in [line.words for line in bike_sheet(arrived.tag, NOW).history]


def test_two_thousand_damaged_files_come_in_whole_or_not_at_all(arrived: Story) -> None:
    """What was read is written with all its sums; what was refused leaves nothing; the report accounts for every file."""
    seen = list(read_files(Held(name, data) for name, data in damaged_files(2000, seed=11)))
    asked = RidesRequest(arrived.tag, digest_of(seen))
    taken = take_in_rides(asked, seen, by=arrived.first, key=arrived.key(), now=NOW)
    read = {one.read.digest: one.read for one in seen if one.read is not None}
    rows = list(Ride.objects.all())
    assert {row.digest for row in rows} <= set(read)
    for row in rows:
        ride = read[row.digest].rides[row.number]
        assert (row.distance_m, row.elapsed_s, row.start) == (ride.distance_m, ride.elapsed_s, ride.start)
    assert len(taken.refused) == sum(one.read is None for one in seen)
    assert RidePlace.objects.count() == sum(row.double_of_id is None for row in rows) == taken.came_in
    kept = sum(place.ride.distance_m for place in RidePlace.objects.select_related("ride") if place.bike_id)
    assert taken.km == pytest.approx(kept / 1000, abs=0.001)


def test_there_and_back_in_one_table_are_two_rides(arrived: Story) -> None:
    """Two rows of 10 km on one day count 20 km; the same table with a row more brings that row only."""
    rows = b"start,distance_km\n2026-03-02,10\n2026-03-02,10\n"
    assert take(arrived, ("diary.csv", rows)).km == 20.0
    more = take(arrived, ("diary.csv", rows + b"2026-03-09,25\n"))
    assert (more.came_in, more.km, len(more.doubled)) == (1, 25.0, 2)


def test_an_import_that_fails_half_way_leaves_nothing(
    arrived: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk fills up after the rides were written: neither they nor the event are there."""

    def full(*_: object, **__: object) -> None:
        raise OSError("no space left on device")

    monkeypatch.setattr(RidePlace.objects.__class__, "bulk_create", full)
    with pytest.raises(OSError, match="no space left"), transaction.atomic():
        take(arrived, ("a.fit", ride_of(0)))
    assert (Ride.objects.count(), Event.objects.filter(kind="rides taken in").count()) == (0, 0)


def test_a_part_shows_its_use_over_time_with_fittings_and_readings(asked_for: Story) -> None:
    """The chain's line rises by its rides and never falls; its stay and its reading stand on it."""
    walked = asked_for
    long_here(walked)
    take(walked, *((f"{day}.fit", ride_of(day)) for day in range(0, 60, 3)))
    used = part_used(walked.tag, part_on(walked, "chain").pk, NOW)
    assert [one.words for one in used.stays] == [walked.tag]
    assert used.points[0].km == 0.0
    assert used.points[-1].km == pytest.approx(600.0, rel=1e-12)
    assert all(a.km <= b.km for a, b in pairwise(used.points))
    assert len(used.readings) == 1
    with pytest.raises(NotFound, match=r"^Part 999999 is not on"):
        part_used(walked.tag, 999999, NOW)


def test_after_the_bike_has_left_its_rides_are_its_own_again(arrived: Story) -> None:
    """Handed over at 10:00, ridden at 11:00: nothing is asked."""
    handed_over(signed_off(worked(answered(priced(walked_round(arrived))))))
    start = int((NOW + timedelta(hours=1)).timestamp())
    taken = take(arrived, ("a.fit", fit_file(ride_messages(start, [8.0] * 60))))
    assert taken.bikes == {arrived.tag: 1}


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(moves=st.lists(st.tuples(st.integers(1, 60), st.booleans()), min_size=1, max_size=5), data=st.data())
def test_whatever_the_moves_a_wheels_cassettes_go_what_the_wheel_went(db: None, moves, data) -> None:
    """The wheel changes bikes, cassettes change on it: the sum over cassettes is the wheel's distance, to 1e-9."""
    with transaction.atomic():
        cassettes, wheel = _cassettes_and_wheel(moves, data)
        transaction.set_rollback(True)
    assert cassettes == pytest.approx(wheel, rel=1e-9, abs=1e-9)


def _cassettes_and_wheel(moves, data) -> tuple[float, float]:
    """Kilometres of all cassettes of a wheel together, and of the wheel."""
    story = checked_in()
    bikes = [story.record.bike, second_bike(story)]
    for number, bike in enumerate(bikes):
        days = data.draw(st.lists(st.integers(0, 70), min_size=1, max_size=8, unique=True))
        files = [(f"{d}.fit", ride_of(d, 20.0 + d / 7, serial=number, hour=9 * number)) for d in days]
        seen = list(read_files(Held(name, content) for name, content in files))
        take_in_rides(RidesRequest(bike.tag, digest_of(seen)), seen, by=story.first, key=story.key(), now=NOW)
    wheel = Part.objects.create(kind="wheel", place="rear")
    first, last = SPRING.date() - timedelta(days=1), SPRING.date() + timedelta(days=80)
    cuts = sorted({first + timedelta(days=day) for day, _ in moves} | {first, last})
    for at, (start, end) in enumerate(pairwise(cuts)):
        Fitting.objects.create(part=wheel, bike=bikes[at % 2], start=start, end=end)
    changes = sorted(
        {first + timedelta(days=d) for d in data.draw(st.lists(st.integers(1, 79), max_size=4))}
        | {first, last}
    )
    cassettes = []
    for start, end in pairwise(changes):
        cassettes.append(Part.objects.create(kind="cassette", place="rear"))
        Fitting.objects.create(part=cassettes[-1], wheel=wheel, start=start, end=end)
    return sum(use_of(one, last).km for one in cassettes), use_of(wheel, last).km


@pytest.mark.parametrize("act", ["UPDATE records_{} SET event_id = event_id", "DELETE FROM records_{}"])
@pytest.mark.parametrize("table", ["ride", "rideplace"])
def test_what_was_taken_in_is_not_changed_or_removed(arrived: Story, act: str, table: str) -> None:
    """The database itself refuses; a ride is put right by a further place."""
    take(arrived, ("a.fit", ride_of(0)))
    with (
        pytest.raises((IntegrityError, DatabaseError), match="not changed or removed"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(act.format(table))


def test_a_corrected_ride_corrects_the_distance_of_a_reading_taken_before(db: None) -> None:
    """A reading whose distance came from files follows them: every other ride moved away, half the kilometres at it."""
    here = checked_in()
    long_here(here)
    second_bike(here)
    take(here, *((f"{day}.fit", ride_of(day, 50.0)) for day in range(0, 268, 14)))
    asked = ReadingRequest(here.job, part_on(here, "chain").pk, ROW, gauge(), low=0.0, high=0.5)
    taken = take_reading(asked, by=here.first, key=here.key(), now=NOW)
    reading = Reading.objects.select_related("event", "part").get(pk=taken.reading)
    assert distance_of(reading)[0] == pytest.approx(1000.0, rel=1e-12)
    half = tuple(Ride.objects.order_by("start").values_list("pk", flat=True)[::2])
    place_rides(PlaceRidesRequest(half, "ZZ-99"), by=here.first, key=here.key(), now=NOW)
    assert distance_of(reading)[0] == pytest.approx(500.0, rel=1e-12)
    assert reading.distance_km == pytest.approx(1000.0, rel=1e-12)


def test_what_was_said_at_a_reading_stays_whatever_files_come_in(asked_for: Story) -> None:
    """2,900 km by the owner's word stay 2,900, also where the value beside them is put right."""
    long_here(asked_for)
    reading = Reading.objects.select_related("event", "part").get(limit=ROW)
    take(asked_for, ("a.fit", ride_of(0)))
    assert distance_of(reading)[0] == 2900.0
    asked = ReadingRequest(
        asked_for.job, reading.part_id, ROW, gauge(), low=0.0, high=0.5, corrects=reading.pk
    )
    taken = take_reading(asked, by=asked_for.first, key=asked_for.key(), now=NOW)
    assert distance_of(Reading.objects.get(pk=taken.reading))[0] == 2900.0


@pytest.mark.parametrize(
    ("device", "words"),
    [
        ("maker 255, model 1", "a device without a name"),
        ("maker 1, model not told", "a device without a name"),
        ("", "a device without a name"),
        ("handlebar computer", "handlebar computer"),
    ],
)
def test_a_device_is_said_by_its_name_and_never_by_the_numbers_of_a_profile(device: str, words: str) -> None:
    """Numbers tell a mechanic nothing."""
    assert device_words(device) == words


def test_a_file_twice_in_one_bag_comes_in_once_and_is_counted_as_known(arrived: Story) -> None:
    """Under another name it is the same ride."""
    long_here(arrived)
    taken = take(arrived, ("a.fit", ride_of(0)), ("copy of a.fit", ride_of(0)), ("b.fit", ride_of(3)))
    assert (taken.came_in, taken.known_before, taken.km) == (2, 1, 60.0)


def test_of_distances_by_word_the_one_that_was_put_right_stands_there(arrived: Story) -> None:
    """Said as 300, then as 250: one line, and the kilometres of the right one."""
    long_here(arrived)
    first = DistanceRequest(date(2026, 3, 1), date(2026, 3, 20), 300.0, tag=arrived.tag)
    note_distance(first, by=arrived.first, key=arrived.key(), now=NOW)
    (said,) = bike_ridden(arrived.tag, NOW).said
    right = replace(first, distance_km=250.0, corrects=said.id)
    note_distance(right, by=arrived.first, key=arrived.key(), now=NOW)
    assert [one.km for one in bike_ridden(arrived.tag, NOW).said] == [250.0]


def test_the_owners_bikes_stand_there_by_their_tags(arrived: Story) -> None:
    """A ride may be of any of them; a bike of somebody else is not among them."""
    own = Bike.objects.get(tag=arrived.tag)
    Bike.objects.create(tag="PB-900", owner=own.owner, kind=own.kind, words="the old one")
    checked_in("gravel-1x")
    bikes = bike_ridden(arrived.tag, NOW).bikes
    assert bikes == tuple(Bike.objects.filter(owner=own.owner).order_by("tag").values_list("tag", flat=True))
    assert {arrived.tag, "PB-900"} <= set(bikes)
