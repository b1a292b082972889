"""A marking comes with its part and goes with it: not to the other end, not to the next part, not lost where it can't be placed."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import Event, Fitting, Marking, Part
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.building import replace_part
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.torque_sheet import JointView, joint_view
from pinchbolt.workshop.wear.part_wear import marked_limit
from tests import story
from tests.story import NOW, STEM, TODAY, Story, joints_on

pytestmark = pytest.mark.django_db

ROTOR = "rotor-thickness-1.8"


@pytest.fixture
def here(db: None) -> Story:
    """A road bike with disc brakes that was checked in."""
    return story.checked_in()


def part_on(there: Story, kind: str, place: str = "") -> Part:
    """A part that is on the bike now."""
    return next(part for part in parts_on(there.record.bike) if (part.kind, part.place) == (kind, place))


def torque(there: Story, joint: str, word: str, most: float) -> JointView:
    """Read a torque off a part of a joint."""
    asked = MarkingRequest(there.tag, joint, word, most)
    return read_marking(asked, by=there.first, key=there.key(), now=NOW)


def told(there: Story, joint: str) -> tuple[str, ...]:
    """The markings that the torque sheet tells of a joint."""
    return joint_view(joint, there.record.bike, None, TODAY).markings


def limit_read(there: Story, limit: str, part: Part | None, word: str, **ends: float) -> None:
    """Write down a wear limit; without a part as older records have it."""
    with act("marking read", by=there.first, key=there.key(), now=NOW, request=ends) as this:
        bike = there.record.bike
        event = this.write(bike=bike)
        Marking.objects.create(event=event, bike=bike, limit=limit, part=word, on_part=part, **ends)


def test_a_marking_goes_with_its_stem(here: Story) -> None:
    """Stem 6, bar 5: the stem is replaced, and the bar's own 5 N·m alone is left; then the bar, and the table's range is."""
    torque(here, STEM, "stem", 6.0)
    seen = torque(here, STEM, "handlebar", 5.0)
    assert seen.window is not None and seen.window.cap == 5.0
    assert set(Marking.objects.values_list("on_part__kind", flat=True)) == {"stem", "handlebar"}
    replace_part(part_on(here, "stem"), here.record.bike, TODAY)
    assert told(here, STEM) == ("handlebar marked 5 N·m max",)
    replace_part(part_on(here, "handlebar"), here.record.bike, TODAY)
    bare, table = joint_view(STEM, here.record.bike, None, TODAY), tables().joints[STEM]
    assert bare.markings == ()
    assert bare.window is not None and (bare.window.floor, bare.window.cap) == (table.low, table.high)


def test_a_new_reading_corrects_that_of_its_own_part_alone(here: Story) -> None:
    """The new stem's 4 N·m puts nothing right that was read on the old one; a second look at it puts the first right."""
    torque(here, STEM, "stem", 6.0)
    replace_part(part_on(here, "stem"), here.record.bike, TODAY)
    torque(here, STEM, "stem", 4.0)
    assert told(here, STEM) == ("stem marked 4 N·m max",)
    torque(here, STEM, "stem", 4.5)
    assert told(here, STEM) == ("stem marked 4.5 N·m max",)
    standing = Marking.objects.filter(event__corrected_by__isnull=True).order_by("pk")
    assert [row.greatest for row in standing] == [6.0, 4.5]


@pytest.mark.parametrize(("gone", "stays"), [("front", "rear"), ("rear", "front")])
def test_each_end_has_its_own(here: Story, gone: str, stays: str) -> None:
    """Both calipers were read; one is replaced, and the other's marking stands."""
    word = tables().joints["caliper-flat-mount"].parts[0]
    for end in ("front", "rear"):
        torque(here, f"caliper-flat-mount:{end}", word, 6.0)
    replace_part(part_on(here, "brake", gone), here.record.bike, TODAY)
    assert told(here, f"caliper-flat-mount:{gone}") == ()
    assert len(told(here, f"caliper-flat-mount:{stays}")) == 1


def test_a_part_brings_its_marking_to_another_bike_and_to_the_other_end(here: Story) -> None:
    """A rotor marked in front is fitted to the rear of the next bike: it is marked there, and nowhere else."""
    word = tables().joints["rotor-centre-lock"].parts[0]
    torque(here, "rotor-centre-lock:front", word, 40.0)
    rotor = part_on(here, "rotor", "front")
    next_one = story.checked_in()
    Fitting.objects.filter(part=rotor).update(end=TODAY)
    Part.objects.filter(pk=rotor.pk).update(place="rear")
    Fitting.objects.create(part=rotor, bike=next_one.record.bike, start=TODAY)
    there = [told(next_one, f"rotor-centre-lock:{end}") for end in ("front", "rear")]
    assert [len(markings) for markings in there] == [0, 1]
    assert told(here, "rotor-centre-lock:front") == ()


def test_a_marking_without_a_part_on_record_is_of_the_joint_as_such(here: Story) -> None:
    """No child seat stands on the sheet: its block's 10 N·m governs the joint until somebody reads it again."""
    joint = "child-seat-block"
    word = tables().joints[joint].parts[0]
    assert joint not in joints_on(here.tag)
    torque(here, joint, word, 10.0)
    assert Marking.objects.get().on_part is None
    assert told(here, joint) == (f"{word} marked 10 N·m max",)
    torque(here, joint, word, 8.0)
    assert told(here, joint) == (f"{word} marked 8 N·m max",)


def test_a_marking_by_a_word_that_the_table_lost_limits_all_the_same(here: Story) -> None:
    """Read on "the clamp" when the table called it so: no answer of today may go past it."""
    with act("marking read", by=here.first, key=here.key(), now=NOW, request={}) as this:
        bike = here.record.bike
        Marking.objects.create(event=this.write(bike=bike), bike=bike, joint=STEM, part="clamp", greatest=4.2)
    seen = joint_view(STEM, here.record.bike, None, TODAY)
    assert seen.window is not None and seen.window.cap == 4.2


@pytest.mark.parametrize(
    ("kind", "limit", "ends"),
    [
        ("rotor", ROTOR, {"least": 1.55}),
        ("pads", "disc-pad-lining-resin", {"least": 0.8}),
        ("tyre", "tyre-pressure", {"greatest": 5.5}),
    ],
)
def test_a_wear_limit_is_of_one_part(here: Story, kind: str, limit: str, ends: dict[str, float]) -> None:
    """Printed in front it says nothing of the rear one, and it goes to scrap with its part."""
    front, rear = part_on(here, kind, "front"), part_on(here, kind, "rear")
    limit_read(here, limit, front, kind, **ends)
    row, bike = tables().limits[limit], here.record.bike
    assert marked_limit(bike, front, row) == next(iter(ends.values()))
    assert marked_limit(bike, rear, row) is None
    assert marked_limit(bike, replace_part(front, bike, TODAY), row) is None


def test_a_marking_of_older_records_governs_what_its_words_fit(here: Story) -> None:
    """'rotor front' is the front one; 'rotor' may be either, and governs both as the careful reading."""
    front, rear = part_on(here, "rotor", "front"), part_on(here, "rotor", "rear")
    row, bike = tables().limits[ROTOR], here.record.bike
    limit_read(here, ROTOR, None, "rotor front", least=1.6)
    assert (marked_limit(bike, front, row), marked_limit(bike, rear, row)) == (1.6, None)
    limit_read(here, ROTOR, None, "rotor", least=1.7)
    assert (marked_limit(bike, front, row), marked_limit(bike, rear, row)) == (1.7, 1.7)


def test_the_newest_marking_wins_over_what_came_with_the_part(here: Story) -> None:
    """Carried over as 1.5 mm, read off the part as 1.55."""
    rotor, row, bike = part_on(here, "rotor", "front"), tables().limits[ROTOR], here.record.bike
    Part.objects.filter(pk=rotor.pk).update(start_facts={"marked_minimum_mm": [1.5, "records"]})
    rotor.refresh_from_db()
    assert marked_limit(bike, rotor, row) == 1.5
    limit_read(here, ROTOR, rotor, "rotor", least=1.55)
    assert marked_limit(bike, rotor, row) == 1.55


@pytest.mark.parametrize("word", ["", "  "])
def test_a_marking_of_no_part_is_none(here: Story, word: str) -> None:
    """5 N·m, and nobody says on what: the stem's figure is not the bar's. The part is asked for, and nothing is written."""
    before = Event.objects.count()
    with pytest.raises(InputRefused, match=r"^Fill in the part\.$") as refused:
        torque(here, STEM, word, 5.0)
    assert list(refused.value.errors) == ["part"]
    assert not Marking.objects.exists() and Event.objects.count() == before
