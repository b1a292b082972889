"""Whose a ride is, and that each of a person's kilometres counts once: asked where it is not clear, put right at any time."""

from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.utils import DatabaseError
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, Owner, Ride, RidePlace
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.rides.place_rides import (
    PlaceRidesRequest,
    TakeRidesBackRequest,
    place_rides,
    take_back_rides,
)
from pinchbolt.workshop.rides.ridden import bike_ridden
from pinchbolt.workshop.rides.ride_files import Held, read_files
from pinchbolt.workshop.rides.ride_report import RidesTaken
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from tests.engines.rides.fit_writer import (
    EPOCH,
    FILE_ID,
    SESSION,
    definition,
    fit_file,
    ride_messages,
    values,
)
from tests.story import NOW, Story, checked_in
from tests.workshop.ride_story import SPRING, ride_of

ADA, BOB = "AA-01", "BB-02"


@pytest.fixture
def two(arrived: Story) -> Story:
    """Two owners, a bike each."""
    for name, tag in (("Ada", ADA), ("Bob", BOB)):
        Bike.objects.create(tag=tag, owner=Owner.objects.create(name=name), kind="road", words="")
    return arrived


def give(story: Story, tag: str, *files: tuple[str, bytes], key: str = "", **more: object) -> RidesTaken:
    """Take named files in for the bike of this tag."""
    seen = list(read_files(Held(name, data) for name, data in files))
    asked = RidesRequest(tag, digest_of(seen), **more)
    return take_in_rides(asked, seen, by=story.first, key=key or story.key(), now=NOW)


def place(story: Story, *rides: int, tag: str = "", **more: object) -> int:
    """Say what rides count for."""
    return place_rides(PlaceRidesRequest(rides, tag, **more), by=story.first, key=story.key(), now=NOW)


def back(story: Story, *rides: int, **more: object) -> int:
    """Take rides back."""
    return take_back_rides(TakeRidesBackRequest(rides, **more), by=story.first, key=story.key(), now=NOW)


def km(tag: str) -> float:
    """What counts for a bike by ride files."""
    return bike_ridden(tag, NOW).km


def test_a_right_owner_is_told_where_the_rides_are_and_can_have_them(two: Story) -> None:
    """Ada's files dropped on Bob's bike: Ada is told so by name, and one move gives her the 60 km; Bob keeps none of them."""
    files = (("a.fit", ride_of(0)), ("b.fit", ride_of(3)))
    give(two, BOB, *files)
    taken = give(two, ADA, *files)
    assert (taken.known_before, taken.came_in) == (0, 0)
    (elsewhere,) = taken.elsewhere
    assert (elsewhere.owner, elsewhere.bikes, elsewhere.km, len(elsewhere.rides)) == ("Bob", (BOB,), 60.0, 2)
    place(two, *elsewhere.rides, tag=ADA, moved=True)
    assert (km(ADA), km(BOB)) == (60.0, 0.0)
    assert give(two, ADA, *files).known_before == 2
    assert "2 rides moved to the owner of AA-01" in [line.words for line in bike_sheet(BOB, NOW).history]


def test_an_import_can_claim_what_came_in_for_another_person(two: Story) -> None:
    """'These are Ada's': the same files again with the claim move all of them, and a repeated request answers alike."""
    files = (("a.fit", ride_of(0)), ("b.fit", ride_of(3)))
    give(two, BOB, *files)
    taken = give(two, ADA, *files, claim=True, key="claimed-once")
    assert (taken.came_in, taken.km, taken.bikes, taken.elsewhere) == (2, 60.0, {ADA: 2}, ())
    assert give(two, ADA, *files, claim=True, key="claimed-once") == taken
    assert (km(ADA), km(BOB)) == (60.0, 0.0)


def test_a_file_that_was_a_double_on_the_wrong_bike_is_a_ride_of_the_right_one(two: Story) -> None:
    """Ada and Bob rode together; Ada's file on Bob's bike was a double of Bob's own. Claimed, it counts for her, his for him."""
    give(two, BOB, ("bob.fit", ride_of(0)))
    assert give(two, BOB, ("ada.fit", ride_of(0, 30.3, serial=5))).doubled
    (elsewhere,) = give(two, ADA, ("ada.fit", ride_of(0, 30.3, serial=5))).elsewhere
    place(two, *elsewhere.rides, tag=ADA, moved=True)
    assert (km(ADA), km(BOB)) == (pytest.approx(30.3), 30.0)


def test_rides_taken_back_count_for_nobody_and_their_files_may_come_in_again(two: Story) -> None:
    """A whole import dropped by mistake: one act takes it back; the file then comes in for whoever it is of."""
    give(two, BOB, ("a.fit", ride_of(0)), ("b.fit", ride_of(3)), ("c.fit", ride_of(3, 30.1, serial=9)))
    ride = Ride.objects.order_by("pk")[0]
    assert back(two, ride.pk, whole_import=True) == 2
    assert km(BOB) == 0.0 and not bike_ridden(BOB, NOW).asked
    taken = give(two, ADA, ("a.fit", ride_of(0)))
    assert (taken.came_in, taken.km, taken.known_before) == (1, 30.0, 0)
    assert give(two, BOB, ("b.fit", ride_of(3))).bikes == {BOB: 1}
    assert give(two, BOB, ("c.fit", ride_of(3, 30.1, serial=9))).known_before == 1
    assert (km(ADA), km(BOB)) == (30.0, 30.0)
    with pytest.raises(NotFound, match=r"^There is no ride 999999"):
        back(two, 999999)


def test_moved_rides_meet_those_of_their_new_owner(two: Story) -> None:
    """Ada's watch on Bob's bike beside her own computer's file: moved to her, the ride counts once; an unlike one is asked."""
    give(two, ADA, ("a.fit", ride_of(0)), ("b.fit", ride_of(3)))
    give(two, BOB, ("same.fit", ride_of(0, 30.2, serial=5)), ("other.fit", ride_of(3, 20.0, serial=5)))
    place(two, *Ride.objects.filter(owner__name="Bob").values_list("pk", flat=True), tag=ADA, moved=True)
    assert (km(ADA), km(BOB)) == (60.0, 0.0)
    (asked,) = bike_ridden(ADA, NOW).asked
    assert (asked.question, asked.km) == ("one ride", 20.0)


def test_a_move_to_another_person_names_a_bike_and_is_said(two: Story) -> None:
    """Without a tag nobody knows whose; without the word a ride stays where it is."""
    give(two, BOB, ("a.fit", ride_of(0)))
    (ride,) = Ride.objects.all()
    with pytest.raises(InputRefused, match=r"^Whose rides they are is told by a bike of theirs"):
        place(two, ride.pk, moved=True)
    with pytest.raises(InputRefused, match=r"is not of AA-01's owner: choose one of its owner's bikes"):
        place(two, ride.pk, tag=ADA)


def fit(start: datetime, minutes: float, speed: float = 20 / 3.6, serial: int = 1) -> bytes:
    """A ride from *start* for so many minutes."""
    return fit_file(ride_messages(int(start.timestamp()), [speed] * round(minutes * 60), serial=serial))


def gpx(start: datetime, metres: float, seconds: int, zone: str = "Z") -> bytes:
    """A track on the equator, on which a degree is 111,319.49 m."""
    points = "".join(
        f'<trkpt lat="0" lon="{metres * part / 60 / 111319.49:.8f}">'
        f"<time>{start + timedelta(seconds=seconds * part / 60):%Y-%m-%dT%H:%M:%S}{zone}</time></trkpt>"
        for part in range(61)
    )
    return f"<gpx><trk><type>cycling</type><trkseg>{points}</trkseg></trk></gpx>".encode()


COMPUTER = ("computer.fit", fit(SPRING, 60))


@pytest.mark.parametrize(
    ("others", "asked", "doubled"),
    [
        # Each beside a head unit's 20 km in an hour from 08:00 UTC.
        ([("watch.fit", fit(SPRING + timedelta(minutes=10), 50, serial=2))], 1, 0),
        ([("watch.fit", fit(SPRING, 30, serial=2))], 1, 0),
        ([("half-1.fit", fit(SPRING, 30, serial=2)), ("half-2.fit", fit(SPRING + timedelta(minutes=31), 29, serial=2))], 2, 0),
        ([("an-hour-off.fit", fit(SPRING + timedelta(hours=1), 60, serial=2))], 1, 0),
        ([("zoneless.gpx", gpx(SPRING + timedelta(hours=2), 20000, 3600, ""))], 1, 0),
        ([("diary.csv", b"start,distance_km\n2026-03-02,23\n")], 1, 0),
        ([("diary.csv", b"start,distance_km,moving_s\n2026-03-02,23,3600\n")], 1, 0),
        ([("evening.fit", fit(SPRING + timedelta(hours=9), 60)), ("diary.csv", b"start,distance_km\n2026-03-02,40\n")], 0, 1),
    ],
)  # fmt: skip
def test_recordings_at_the_same_time_are_asked_about_never_both_counted(
    two: Story, others: list[tuple[str, bytes]], asked: int, doubled: int
) -> None:
    """Started late, stopped at half, in two halves, an hour off, without a zone, a diary of the day: one person, one bike."""
    taken = give(two, ADA, COMPUTER, *others)
    real = 40.0 if "evening" in others[0][0] else 20.0
    assert (len(taken.asked), len(taken.doubled)) == (asked, doubled)
    assert km(ADA) == pytest.approx(real, rel=1e-3)
    assert sum(len(one.rides) for one in bike_ridden(ADA, NOW).asked) == asked
    assert all(
        "One ride? Until somebody says, the other one alone counts." in one.words for one in taken.asked
    )


@pytest.mark.parametrize(
    "other",
    [
        fit(SPRING + timedelta(minutes=59), 60),  # one drives on while the other's clock is a minute off
        fit(SPRING + timedelta(hours=9), 60),  # to work and back by one device, hours apart to the minute
        fit(SPRING + timedelta(hours=3), 45, serial=2),
    ],
)
def test_two_rides_of_a_day_are_two_rides(two: Story, other: bytes) -> None:
    """After one another, there and back, and on another device: nothing is asked and both count."""
    taken = give(two, ADA, COMPUTER, ("b.fit", other))
    assert (taken.came_in, taken.unclear) == (2, ())


def test_one_ride_told_twice_is_answered_with_one_act_either_way(two: Story) -> None:
    """'One ride': the head unit's 20 km stay; 'these instead': the watch's 16.7 km count and the head unit's no longer."""
    give(two, ADA, COMPUTER, ("watch.fit", fit(SPRING + timedelta(minutes=10), 50, serial=2)))
    (asked,) = bike_ridden(ADA, NOW).asked
    assert asked.question == "one ride"
    with pytest.raises(
        NotPossibleNow, match=r"was at the same time as another that counts, of 20\.0 km: one person rides"
    ):
        place(two, *asked.rides, tag=ADA)
    place(two, *asked.rides, tag=ADA, instead=True)
    assert km(ADA) == pytest.approx(50 / 3, rel=1e-3)
    first = Ride.objects.exclude(pk__in=asked.rides).get()
    place(two, first.pk, tag=ADA, instead=True)
    assert km(ADA) == pytest.approx(20.0, rel=1e-3)
    assert not bike_ridden(ADA, NOW).asked
    place(two, *asked.rides)
    assert km(ADA) == pytest.approx(20.0, rel=1e-3)


def test_a_clock_that_was_hours_off_is_put_right_with_one_act(two: Story) -> None:
    """The watch was an hour off: counted instead, its 20 km stand alone; as another ride, both count, as somebody said so."""
    give(two, ADA, COMPUTER, ("watch.fit", fit(SPRING + timedelta(hours=1), 60, serial=2)))
    (asked,) = bike_ridden(ADA, NOW).asked
    assert asked.why == "a clock that is hours off"
    place(two, *asked.rides, tag=ADA, instead=True)
    assert km(ADA) == pytest.approx(20.0, rel=1e-3)
    first = Ride.objects.exclude(pk__in=asked.rides).get()
    place(two, first.pk, tag=ADA)
    assert km(ADA) == pytest.approx(40.0, rel=1e-3)


def test_what_may_be_no_riding_is_asked_and_counts_nothing_until_then(two: Story) -> None:
    """A sport nobody knows and a walk without a name wait for an answer; a kayak is left out by name."""
    start = int(SPRING.timestamp())
    files = [
        ("new.fit", fit_file(ride_messages(start, [8.0] * 600, sport=(97, 0)))),
        ("kayak.fit", fit_file(ride_messages(start + 86400, [3.0] * 600, sport=(41, 0)))),
    ]
    taken = give(two, ADA, *files)
    assert [(one.name, one.words) for one in taken.asked] == [
        ("new.fit", "was it riding? It says sport 97. It counts for nothing until then.")
    ]
    assert [one.words for one in taken.left_out] == [
        "it is no ride but kayaking: it wears no part of a bike."
    ]
    assert km(ADA) == 0.0
    (asked,) = bike_ridden(ADA, NOW).asked
    assert (asked.question, asked.why) == ("riding", "was it riding? sport 97")
    place(two, *asked.rides, tag=ADA)
    assert km(ADA) == pytest.approx(4.8)


@pytest.mark.parametrize("act", ["UPDATE records_{} SET event_id = event_id", "DELETE FROM records_{}"])
@pytest.mark.parametrize("table", ["ride", "rideplace"])
def test_moves_and_what_was_taken_back_stay_written_down(two: Story, act: str, table: str) -> None:
    """The database itself still refuses to change either table."""
    give(two, BOB, ("a.fit", ride_of(0)))
    back(two, Ride.objects.get().pk)
    assert RidePlace.objects.count() == 2
    with (
        pytest.raises((IntegrityError, DatabaseError), match="not changed or removed"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(act.format(table))


def summed_up(start: datetime, minutes: int, serial: int) -> bytes:
    """So many minutes at 20 km an hour as a device sums them up."""
    at, long = int(start.timestamp()) - EPOCH, minutes * 60_000
    row = (at, at, long, long, round(minutes * 60 * 20 / 3.6 * 100), 2, 0, 0)
    head = [definition(0, 0, FILE_ID), values(0, FILE_ID, (4, 255, 1, serial, at))]
    return fit_file([*head, definition(2, 18, SESSION), values(2, SESSION, row)])


# One person's month: rides that really took place, each told by up to three recordings, right, late or cut short.
MORNINGS = [SPRING + timedelta(days=day) for day in range(6)]
RECORDINGS = [
    summed_up(start + timedelta(minutes=late), long, serial)
    for start in MORNINGS
    for serial, late, long in ((1, 0, 40), (2, 9, 31), (3, 0, 20))
]


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_whatever_the_order_each_kilometre_of_a_person_counts_once(db: None, data: st.DataObject) -> None:
    """Imports in any order on any bike of any person, moves, claims, swaps and things taken back, told in any order.

    Whatever was done, no two rides of one person that count overlap, no ride counts for two, and together no person has more than
    the six rides of 40 minutes at 20 km an hour; every refusal is a sentence.
    """
    with transaction.atomic():
        refused = _any_month(data)
        transaction.set_rollback(True)
    assert all(sentence.endswith(".") for sentence in refused)


def _any_month(data: st.DataObject) -> list[str]:
    story = checked_in()
    tags = []
    for name in ("Ada", "Bob"):
        owner = Owner.objects.create(name=name)
        tags += [f"{name.upper()}-{number}" for number in (1, 2)]
        for tag in tags[-2:]:
            Bike.objects.create(tag=tag, owner=owner, kind="road", words="")
    refused: list[str] = []
    steps = data.draw(st.lists(st.integers(0, 4), min_size=3, max_size=14))
    for step in steps:
        tag = data.draw(st.sampled_from(tags))
        rides = list(Ride.objects.order_by("pk").values_list("pk", flat=True))
        chosen = (
            data.draw(st.lists(st.sampled_from(rides), min_size=1, max_size=4, unique=True)) if rides else []
        )
        try:
            if step < 2 or not chosen:
                files = data.draw(
                    st.lists(st.integers(0, len(RECORDINGS) - 1), min_size=1, max_size=6, unique=True)
                )
                named = [(f"{number}.fit", RECORDINGS[number]) for number in files]
                give(story, tag, *named, claim=bool(step), sort=data.draw(st.booleans()))
            elif step == 2:
                place(story, *chosen, tag=tag, moved=True)
            elif step == 3:
                place(
                    story,
                    *chosen,
                    tag=data.draw(st.sampled_from([tag, ""])),
                    instead=data.draw(st.booleans()),
                )
            else:
                back(story, *chosen, whole_import=data.draw(st.booleans()))
        except (InputRefused, NotPossibleNow) as refusal:
            refused.append(refusal.sentence)
        _each_counts_once()
    return refused


def _each_counts_once() -> None:
    newest = {}
    for one in RidePlace.objects.select_related("ride", "bike").order_by("pk"):
        newest[one.ride_id] = one
    by_owner: dict[int, list[Ride]] = {}
    for one in newest.values():
        if one.bike is not None:
            assert one.bike.owner_id == (one.owner_id or one.ride.owner_id)
            by_owner.setdefault(one.bike.owner_id, []).append(one.ride)
    for rides in by_owner.values():
        rides.sort(key=lambda ride: ride.start)
        for before, after in pairwise(rides):
            assert before.start + timedelta(seconds=before.elapsed_s) <= after.start
        assert sum(ride.distance_m for ride in rides) <= len(MORNINGS) * 40 * 60 * 20 / 3.6 + 1
    total = sum(place.ride.distance_m for place in newest.values() if place.bike is not None) / 1000
    assert sum(km(tag) for tag in Bike.objects.values_list("tag", flat=True)) == pytest.approx(
        total, abs=1e-6
    )
