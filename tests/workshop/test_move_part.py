"""A part goes from bike to bike: fittings, build sheets and use follow; what it carries goes along."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Bike, Event, Fitting, Part, Trainer
from pinchbolt.workshop.build_sheet import parts_on
from pinchbolt.workshop.exposure import use_of
from pinchbolt.workshop.hosts import host
from pinchbolt.workshop.move_part import MoveAsked, move_part
from pinchbolt.workshop.note_distance import DistanceAsked, note_distance
from tests import story
from tests.story import NOW, TODAY, Story
from tests.workshop.test_swap import GRAVEL, ROAD


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
    done = move_part(MoveAsked("rear wheel", "PB-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    assert {"wheel rear", "cassette", "rotor rear", "tyre rear"} <= set(done.went)
    assert set(done.taken_off) >= {"wheel rear", "cassette"} and done.came_back == ()
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


def test_in_exchange_the_two_wheels_change_places(two: Story) -> None:
    """Nothing lies aside; done twice, each is where it was."""
    before = on("PB-001"), on("PB-002")
    facts = [story.known(tag).get("cassette") for tag in ("PB-001", "PB-002")]
    for key, asked in (("move-0001", MoveAsked("rear wheel", "PB-001", "PB-002", exchange=True)),
                       ("move-0002", MoveAsked("rear wheel", "PB-002", "PB-001", exchange=True))):  # fmt: skip
        done = move_part(asked, by=two.first, key=key, now=NOW)
        assert done.taken_off == () and done.came_back
    assert (on("PB-001"), on("PB-002")) == before
    assert [story.known(tag).get("cassette") for tag in ("PB-001", "PB-002")] == facts


def test_the_use_of_a_cassette_goes_on_where_it_is(two: Story) -> None:
    """300 km on the first bike before the move, 200 on the second after it: 500 by hand."""
    cassette = Part.objects.get(kind="cassette", fittings__bike__tag="PB-001")
    cassette.fittings.update(start=TODAY - timedelta(days=30))
    note_distance(
        DistanceAsked(TODAY - timedelta(days=30), TODAY, 300, "odometer", "PB-001"),
        by=two.first,
        key="km-000001",
        now=NOW,
    )
    move_part(MoveAsked("cassette", "PB-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    later = NOW + timedelta(days=20)
    note_distance(
        DistanceAsked(TODAY, later.date(), 200, "odometer", "PB-002"),
        by=two.first,
        key="km-000002",
        now=later,
    )
    assert use_of(cassette, later.date()).km == pytest.approx(500, rel=1e-9)


def test_a_cassette_goes_onto_an_indoor_trainer_and_back(two: Story) -> None:
    """With its facts."""
    trainer = Trainer.objects.create(name="in the cellar", facts={"body": "hg-11"})
    name = f"trainer {trainer.pk}"
    move_part(MoveAsked("cassette", "PB-001", name), by=two.first, key="move-0001", now=NOW)
    assert host(name).facts == {"body": "hg-11", "cassette": "c12-road", "drive": "12", "sprocket_big": 34, "sprocket_small": 11,
                             "sprockets": ROAD["sprockets"]}  # fmt: skip
    assert trainer.fittings.filter(end__isnull=True).count() == 1
    move_part(MoveAsked("cassette", name, "PB-001"), by=two.first, key="move-0002", now=NOW)
    assert ("cassette", "") in on("PB-001") and not trainer.fittings.filter(end__isnull=True).exists()


def test_a_cassette_fitted_to_the_wheel_on_record_is_found(two: Story) -> None:
    """It leaves its wheel."""
    wheel = Part.objects.get(kind="wheel", place="rear", fittings__bike__tag="PB-001")
    cassette = Part.objects.get(kind="cassette", fittings__bike__tag="PB-001")
    cassette.fittings.update(bike=None, wheel=wheel)
    move_part(MoveAsked("cassette", "PB-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    assert cassette.fittings.get(end__isnull=True).bike.tag == "PB-002"  # type: ignore[union-attr]


def test_a_request_that_comes_twice_moves_once(two: Story) -> None:
    """The same mark answers as it did."""
    asked = MoveAsked("rotor front", "PB-001", "PB-002")
    first, second = (move_part(asked, by=two.first, key="move-0001", now=NOW) for _ in range(2))
    assert first == second and Event.objects.filter(kind="part moved").count() == 1
    assert Fitting.objects.filter(part__kind="rotor", part__place="front", end__isnull=True).count() == 1


@pytest.mark.parametrize(
    ("asked", "error", "sentence"),
    [
        (MoveAsked("bell", "PB-001", "PB-002"), InputRefused, "is not moved from bike to bike"),
        (MoveAsked("chain", "PB-001", "PB-001"), InputRefused, "is on both sides"),
        (MoveAsked("chain", "PB-001", "PB-099"), NotFound, "No bike has the tag"),
        (
            MoveAsked("dropper post", "PB-001", "PB-002"),
            NotPossibleNow,
            "PB-001 has no dropper post on its build sheet",
        ),
    ],
)
def test_a_move_of_no_sense_is_refused(
    two: Story, asked: MoveAsked, error: type[Exception], sentence: str
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
            MoveAsked("chain", "PB-001", f"trainer {trainer.pk}"), by=two.first, key="move-0001", now=NOW
        )


def test_of_two_chains_the_drive_chain_is_moved(two: Story) -> None:
    """A tandem's joining chain stays when "the chain" goes to another bike."""
    bike = Bike.objects.get(tag="PB-001")
    joining = Part.objects.create(kind="chain", place="stoker")
    Fitting.objects.create(part=joining, bike=bike, start=TODAY)
    done = move_part(MoveAsked("chain", "PB-001", "PB-002"), by=two.first, key="move-0001", now=NOW)
    assert done.went == ("chain",)
    assert ("chain", "stoker") in on("PB-001") and ("chain", "") not in on("PB-001")
