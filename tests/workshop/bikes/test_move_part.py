"""A part goes from bike to bike: fittings, build sheets and use follow; what it carries goes along."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, BinPart, Event, Fitting, Part, Trainer
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.hosts import host
from pinchbolt.workshop.bikes.move_part import MoveDayRequest, MoveRequest, move_part, put_move_right
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.rides.exposure import use_of
from pinchbolt.workshop.rides.note_distance import DistanceRequest, note_distance
from pinchbolt.workshop.rides.ride_files import Held, read_files
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from tests import story
from tests.story import NOW, TODAY, Story
from tests.workshop.parts.test_swap import GRAVEL, ROAD
from tests.workshop.ride_story import SPRING, ride_of


@pytest.fixture
def two(db: None) -> Story:
    """PB-001 is a road bike, PB-002 a gravel bike."""
    told = story.checked_in()
    story.checked_in("gravel-1x")
    for tag, facts in (("PB-001", ROAD), ("PB-002", GRAVEL)):
        story.know(tag, facts)
    return told


def on(tag: str) -> set[tuple[str, str]]:
    """Kind and place of everything that is fitted to a bike, or to its wheels, now."""
    return {(part.kind, part.place) for part in parts_on(Bike.objects.get(tag=tag))}


def test_a_rear_wheel_takes_cassette_rotor_and_tyre_along(two: Story) -> None:
    """Its facts stand on the other build sheet; what is not known of it is known no longer; the old wheel lies aside."""
    wheel = Part.objects.get(kind="wheel", place="rear", fittings__bike__tag="PB-001")
    done = move_part(MoveRequest("rear wheel", "PB-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    assert {"rear wheel", "cassette", "rear rotor", "rear tyre"} <= set(done.went)
    assert set(done.taken_off) >= {"rear wheel", "cassette"} and done.came_back == ()
    assert wheel.fittings.get(end__isnull=True).bike.tag == "PB-002"  # type: ignore[union-attr]
    assert not {("wheel", "rear"), ("cassette", "")} & on("PB-001") and ("wheel", "front") in on("PB-001")
    road, gravel = story.known("PB-001"), story.known("PB-002")
    assert (gravel["cassette"], gravel["rotor_rear"], gravel["tyre_rear"], gravel["tyre_front"]) == (
        "c12-road",
        140,
        "28-622",
        "40-622",
    )
    assert "cassette" not in road and road["tyre_front"] == "28-622" and "tyre" not in road
    assert not Fitting.objects.filter(
        part__fittings__end__isnull=True, end__isnull=True, start__gt=TODAY
    ).exists()


@pytest.mark.parametrize(
    ("gone_to", "lies"), [("owner", "with the owner"), ("bins", "in the bins"), ("scrap", "scrap")]
)
def test_what_was_displaced_is_somewhere_as_one_piece(two: Story, gone_to: str, lies: str) -> None:
    """The old wheel keeps its cassette, tyre and rotor; in the bins it has a price and comes back from there whole."""
    old = Part.objects.get(kind="wheel", place="rear", fittings__bike__tag="PB-002")
    cassette = Part.objects.get(kind="cassette", fittings__bike__tag="PB-002")
    asked = MoveRequest("rear wheel", "PB-001", "PB-002", gone_to=gone_to, price=Decimal("45.00"))
    done = move_part(asked, by=two.first, key="move-0001", now=NOW)
    assert done.lies == lies and "rear wheel" in done.taken_off
    assert old.fittings.get().gone_to == gone_to
    assert cassette.fittings.get(end__isnull=True).wheel == old
    lines = [line.words for line in bike_sheet("PB-002", NOW).history]
    words = next(one for one in lines if "rear wheel of" in one)
    assert f"what was there is {lies}" in words
    bins = [(row.kind, row.place, row.price, row.count, row.used_part) for row in BinPart.objects.all()]
    assert bins == ([("wheel", "rear", Decimal("45.00"), 1, old)] if gone_to == "bins" else [])
    again = move_part(asked, by=two.first, key="move-0001", now=NOW)
    assert again.lies == lies


def test_a_displaced_part_goes_nowhere_else(two: Story) -> None:
    """A place that is none is refused whole."""
    with pytest.raises(InputRefused, match="owner, bins, scrap"):
        move_part(
            MoveRequest("rear wheel", "PB-001", "PB-002", gone_to="moon"),
            by=two.first,
            key="move-0001",
            now=NOW,
        )
    assert ("wheel", "rear") in on("PB-001")


def test_in_exchange_the_two_wheels_change_places(two: Story) -> None:
    """Nothing lies aside; done twice, each is where it was."""
    before = on("PB-001"), on("PB-002")
    facts = [story.known(tag).get("cassette") for tag in ("PB-001", "PB-002")]
    for key, asked in (("move-0001", MoveRequest("rear wheel", "PB-001", "PB-002", exchange=True)),
                       ("move-0002", MoveRequest("rear wheel", "PB-002", "PB-001", exchange=True))):  # fmt: skip
        done = move_part(asked, by=two.first, key=key, now=NOW)
        assert done.taken_off == () and done.came_back
    assert (on("PB-001"), on("PB-002")) == before
    assert [story.known(tag).get("cassette") for tag in ("PB-001", "PB-002")] == facts


def test_the_use_of_a_cassette_goes_on_where_it_is(two: Story) -> None:
    """300 km on the first bike before the move, 200 on the second after it: 500 by hand."""
    cassette = Part.objects.get(kind="cassette", fittings__bike__tag="PB-001")
    cassette.fittings.update(start=TODAY - timedelta(days=30))
    note_distance(
        DistanceRequest(TODAY - timedelta(days=30), TODAY, 300, "odometer", "PB-001"),
        by=two.first,
        key="km-000001",
        now=NOW,
    )
    move_part(MoveRequest("cassette", "PB-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    later = NOW + timedelta(days=20)
    note_distance(
        DistanceRequest(TODAY, later.date(), 200, "odometer", "PB-002"),
        by=two.first,
        key="km-000002",
        now=later,
    )
    assert use_of(cassette, later.date()).km == pytest.approx(500, rel=1e-9)


def test_a_cassette_goes_onto_an_indoor_trainer_and_back(two: Story) -> None:
    """With its facts."""
    trainer = Trainer.objects.create(name="in the cellar", facts={"body": "hg-11"})
    name = f"trainer {trainer.pk}"
    move_part(MoveRequest("cassette", "PB-001", name), by=two.first, key="move-0001", now=NOW)
    assert host(name).facts == {"body": "hg-11", "cassette": "c12-road", "drive": "12", "sprocket_big": 34, "sprocket_small": 11,
                             "sprockets": ROAD["sprockets"]}  # fmt: skip
    assert trainer.fittings.filter(end__isnull=True).count() == 1
    move_part(MoveRequest("cassette", name, "PB-001"), by=two.first, key="move-0002", now=NOW)
    assert ("cassette", "") in on("PB-001") and not trainer.fittings.filter(end__isnull=True).exists()


def test_a_cassette_fitted_to_the_wheel_on_record_is_found(two: Story) -> None:
    """It leaves its wheel."""
    wheel = Part.objects.get(kind="wheel", place="rear", fittings__bike__tag="PB-001")
    cassette = Part.objects.get(kind="cassette", fittings__bike__tag="PB-001")
    cassette.fittings.update(bike=None, wheel=wheel)
    move_part(MoveRequest("cassette", "PB-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    assert cassette.fittings.get(end__isnull=True).bike.tag == "PB-002"  # type: ignore[union-attr]


def test_a_request_that_comes_twice_moves_once(two: Story) -> None:
    """The same mark answers as it did."""
    asked = MoveRequest("rotor front", "PB-001", "PB-002")
    first, second = (move_part(asked, by=two.first, key="move-0001", now=NOW) for _ in range(2))
    assert first == second and Event.objects.filter(kind="part moved").count() == 1
    assert Fitting.objects.filter(part__kind="rotor", part__place="front", end__isnull=True).count() == 1


@pytest.mark.parametrize(
    ("asked", "error", "sentence"),
    [
        (MoveRequest("bell", "PB-001", "PB-002"), InputRefused, "is not moved from bike to bike"),
        (MoveRequest("chain", "PB-001", "PB-001"), InputRefused, "is on both sides"),
        (MoveRequest("chain", "PB-001", "PB-099"), NotFound, "No bike has the tag"),
        (
            MoveRequest("dropper post", "PB-001", "PB-002"),
            NotPossibleNow,
            "PB-001 has no dropper post on its build sheet",
        ),
    ],
)
def test_a_move_of_no_sense_is_refused(
    two: Story, asked: MoveRequest, error: type[Exception], sentence: str
) -> None:
    """And nothing is moved."""
    before = on("PB-001"), on("PB-002")
    with pytest.raises(error, match=sentence):
        move_part(asked, by=two.first, key="move-0001", now=NOW)
    assert (on("PB-001"), on("PB-002")) == before and not Event.objects.filter(kind="part moved").exists()


def test_a_trainer_takes_no_chain(two: Story) -> None:
    """A wheel or a cassette."""
    trainer = Trainer.objects.create(name="in the cellar")
    with pytest.raises(InputRefused, match="takes a rear wheel or a cassette, not a chain"):
        move_part(
            MoveRequest("chain", "PB-001", f"trainer {trainer.pk}"), by=two.first, key="move-0001", now=NOW
        )


def test_of_two_chains_the_drive_chain_is_moved(two: Story) -> None:
    """A tandem's joining chain stays when "the chain" goes to another bike."""
    bike = Bike.objects.get(tag="PB-001")
    joining = Part.objects.create(kind="chain", place="stoker")
    Fitting.objects.create(part=joining, bike=bike, start=TODAY)
    done = move_part(MoveRequest("chain", "PB-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    assert done.went == ("chain",)
    assert ("chain", "stoker") in on("PB-001") and ("chain", "") not in on("PB-001")


def km_by(story_: Story, tag: str, first: int, many: int) -> None:
    """One ride of 10 km a day by the bike of this tag, from so many days ago on, as its files tell."""
    files = [
        Held(f"{day}.fit", ride_of((TODAY - SPRING.date()).days - first + day, 10.0, serial=hash_of(tag)))
        for day in range(many)
    ]
    seen = list(read_files(files))
    take_in_rides(RidesRequest(tag, digest_of(seen)), seen, by=story_.first, key=story_.key(), now=NOW)


def hash_of(tag: str) -> int:
    """A device for each bike."""
    return int(tag[-1])


def test_a_move_told_late_counts_from_its_own_day(two: Story) -> None:
    """Changed 40 days ago and told today: the rides since went on the wheel that was there, not on the one before."""
    Fitting.objects.update(start=TODAY - timedelta(days=100))
    km_by(two, "PB-001", 60, 60)
    wheel = Part.objects.get(kind="wheel", place="rear", fittings__bike__tag="PB-001")
    other = Part.objects.get(kind="wheel", place="rear", fittings__bike__tag="PB-002")
    asked = MoveRequest("rear wheel", "PB-001", "PB-002", exchange=True, day=TODAY - timedelta(days=40))
    moved = move_part(asked, by=two.first, key="move-0001", now=NOW)
    # Rides of day 60 to day 40 ago, the day of the change included: 21; then 39 until yesterday.
    assert (use_of(wheel, TODAY).km, use_of(other, TODAY).km) == pytest.approx((210, 390))
    right = put_move_right(
        MoveDayRequest(moved.event, TODAY - timedelta(days=20)), by=two.first, key="right-001", now=NOW
    )
    assert (use_of(wheel, TODAY).km, use_of(other, TODAY).km) == pytest.approx((410, 190))
    with pytest.raises(NotPossibleNow, match=r"^This entry was corrected already"):
        put_move_right(MoveDayRequest(moved.event, TODAY), by=two.first, key="right-002", now=NOW)
    assert Event.objects.get(pk=moved.event).said["move"] == "rear wheel"
    put_move_right(MoveDayRequest(right, TODAY - timedelta(days=40)), by=two.first, key="right-003", now=NOW)
    assert (use_of(wheel, TODAY).km, use_of(other, TODAY).km) == pytest.approx((210, 390))


def test_a_move_is_not_ahead_and_not_before_the_part_came(two: Story) -> None:
    """Tomorrow, before its fitting, or after it went on: refused with the day, and nothing is changed."""
    Fitting.objects.update(start=TODAY - timedelta(days=10), start_known=True)

    def moved(days: int, key: str) -> None:
        asked = MoveRequest("rear wheel", "PB-001", "PB-002", day=TODAY + timedelta(days=days))
        move_part(asked, by=two.first, key=key, now=NOW)

    with pytest.raises(InputRefused, match=r"^The day of the move is .*: it can't be after today"):
        moved(1, "move-0001")
    with pytest.raises(InputRefused, match=r"^The move was on .*: the .* came there on .* only"):
        moved(-11, "move-0002")
    assert not Event.objects.filter(kind="part moved").exists()
    moved(-5, "move-0003")
    first = Event.objects.get(kind="part moved").pk
    back = MoveRequest("rear wheel", "PB-002", "PB-001", day=TODAY - timedelta(days=3))
    move_part(back, by=two.first, key="move-0004", now=NOW)
    with pytest.raises(InputRefused, match=r"went on from there on .* already"):
        put_move_right(MoveDayRequest(first, TODAY), by=two.first, key="right-001", now=NOW)
    with pytest.raises(NotFound, match=r"^There is no move 999999"):
        put_move_right(MoveDayRequest(999999, TODAY), by=two.first, key="right-002", now=NOW)


def test_before_the_records_began_a_part_may_have_been_moved_as_well(two: Story) -> None:
    """Both bikes came in today for the first time; their wheels changed in October: told now, it is written with its day."""
    asked = MoveRequest("rear wheel", "PB-001", "PB-002", exchange=True, day=TODAY - timedelta(days=30))
    move_part(asked, by=two.first, key="move-0001", now=NOW)
    wheel = Part.objects.get(
        kind="wheel", place="rear", fittings__bike__tag="PB-001", fittings__end__isnull=False
    )
    assert [(one.start, one.end) for one in wheel.fittings.order_by("pk")] == [
        (TODAY - timedelta(days=30), TODAY - timedelta(days=30)),
        (TODAY - timedelta(days=30), None),
    ]


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    steps=st.lists(st.tuples(st.booleans(), st.integers(0, 95)), min_size=1, max_size=6),
    late=st.integers(0, 5),
)
def test_whatever_moves_are_told_late_each_kilometre_counts_once_on_the_wheel_that_was_there(
    db: None, steps: list[tuple[bool, int]], late: int
) -> None:
    """Rides before or after the moves, moves told on any day and put right: both rear wheels together went what both bikes did."""
    with transaction.atomic():
        told = story.checked_in()
        story.checked_in("gravel-1x")
        Fitting.objects.update(start=TODAY - timedelta(days=100))
        wheels = list(Part.objects.filter(kind="wheel", place="rear"))
        moves: list[int] = []
        for number, (correct, ago) in enumerate(steps):
            if number == min(late, len(steps) - 1):
                km_by(told, "PB-001", 60, 60)
                km_by(told, "PB-002", 90, 50)
            day = TODAY - timedelta(days=ago)
            try:
                if correct and moves:
                    moves[-1] = put_move_right(
                        MoveDayRequest(moves[-1], day), by=told.first, key=told.key(), now=NOW
                    )
                else:
                    asked = MoveRequest("rear wheel", "PB-001", "PB-002", exchange=True, day=day)
                    moves.append(move_part(asked, by=told.first, key=told.key(), now=NOW).event)
            except InputRefused as refusal:
                assert "Correct the day." in refusal.sentence
        total = sum(use_of(wheel, TODAY).km for wheel in wheels)
        transaction.set_rollback(True)
    assert total == pytest.approx(600 + 500)


def test_a_move_stands_in_both_histories_and_the_displaced_wheel_is_with_the_owner(two: Story) -> None:
    """Who looks at either bike sees it; what came off is nowhere lost."""
    old = Part.objects.get(kind="wheel", place="rear", fittings__bike__tag="PB-002")
    move_part(MoveRequest("rear wheel", "pb-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    for tag in ("PB-001", "PB-002"):
        told = [line.words for line in bike_sheet(tag, NOW).history]
        assert any("rear wheel of PB-001 into PB-002" in words for words in told), tag
    gone = old.fittings.get()
    assert (gone.end, gone.gone_to) == (TODAY, "owner")
