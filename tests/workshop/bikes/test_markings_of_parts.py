"""A marking belongs to the part that it is printed on: not to the other end, and not to the part that comes after."""

from typing import Any

import pytest

from pinchbolt.records.models import BinPart, Marking, Part
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.building import replace_part
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.torque.read_marking import MarkingRequest, read_marking
from pinchbolt.workshop.torque.torque_sheet import JointView, joint_view
from pinchbolt.workshop.wear.part_wear import marked_limit
from tests.story import NOW, STEM, TODAY, Story
from tests.workshop.build_story import bike, part_on, read, replace

pytestmark = pytest.mark.django_db

ROTOR = "rotor-thickness-1.8"


def marked(there: Story, part: Part, limit: str, **ends: float) -> None:
    """Write a wear limit down that is printed on this part."""
    names = {field.name for field in Marking._meta.get_fields()}
    on_part: dict[str, Any] = {"on_part": part} if "on_part" in names else {}
    with act("marking read", by=there.first, key=there.key(), now=NOW, request=ends) as this:
        Marking.objects.create(
            event=this.write(bike=there.record.bike),
            bike=there.record.bike,
            limit=limit,
            part=part.kind,
            **ends,
            **on_part,
        )


def limit_of(there: Story, part: Part, limit: str) -> float | None:
    """The marked limit that governs a part now."""
    return marked_limit(there.record.bike, part, tables().limits[limit])


def torque(there: Story, joint: str, part: str, most: float) -> JointView:
    """Read a torque marking off a part of a joint."""
    asked = MarkingRequest(there.tag, joint, part, most)
    return read_marking(asked, by=there.first, key=there.key(), now=NOW)


def joint(there: Story, name: str) -> JointView:
    """The joint as the torque sheet tells it."""
    return joint_view(name, there.record.bike, None, TODAY)


@pytest.mark.parametrize(
    ("kind", "limit", "ends"),
    [
        ("rotor", ROTOR, {"least": 1.55}),
        ("pads", "disc-pad-lining-resin", {"least": 0.8}),
        ("tyre", "tyre-pressure", {"greatest": 5.5}),
    ],
)
def test_a_marking_in_front_says_nothing_of_the_part_behind(
    kind: str, limit: str, ends: dict[str, float]
) -> None:
    """Two rotors of two makes: 'min. th. 1.55' stands on the front one alone; so with pads and tyres."""
    there = bike()
    front, rear = part_on(there, kind, "front"), part_on(there, kind, "rear")
    marked(there, front, limit, **ends)
    assert limit_of(there, front, limit) == next(iter(ends.values()))
    assert limit_of(there, rear, limit) is None


def test_the_marked_minimum_goes_with_its_rotor() -> None:
    """The rotor is replaced: its 1.55 mm goes to scrap with it, and the new one is judged by the table until it is read."""
    there = bike()
    old = part_on(there, "rotor", "rear")
    marked(there, old, ROTOR, least=1.55)
    new = replace_part(old, there.record.bike, TODAY)
    assert limit_of(there, new, ROTOR) is None


def test_the_torque_on_a_stem_goes_with_the_stem() -> None:
    """A new stem, not read yet, does not stand under 'stem marked 6 N·m max'; the bar's own 5 N·m still caps the joint."""
    there = bike()
    torque(there, STEM, "stem", 6.0)
    torque(there, STEM, "handlebar", 5.0)
    replace_part(part_on(there, "stem"), there.record.bike, TODAY)
    assert joint(there, STEM).markings == ("handlebar marked 5 N·m max",)
    replace_part(part_on(there, "handlebar"), there.record.bike, TODAY)
    bare = joint(there, STEM)
    table = tables().joints[STEM]
    assert bare.markings == ()
    assert bare.window is not None and (bare.window.floor, bare.window.cap) == (table.low, table.high)


@pytest.mark.parametrize("place", ["front", "rear"])
def test_the_torque_on_a_caliper_stays_at_its_end(place: str) -> None:
    """The caliper of one end is replaced: the other end's marking stands, this end's is gone."""
    there = bike()
    caliper = tables().joints["caliper-flat-mount"].parts[0]
    for end in ("front", "rear"):
        torque(there, f"caliper-flat-mount:{end}", caliper, 6.0)
    replace_part(part_on(there, "brake", place), there.record.bike, TODAY)
    stands = {end: joint(there, f"caliper-flat-mount:{end}").markings for end in ("front", "rear")}
    assert [end for end, words in stands.items() if words] == [end for end in stands if end != place]


def test_a_part_that_comes_back_brings_its_marking_along() -> None:
    """Taken off to the bins and fitted again: what was read off it is still true of it."""
    from pinchbolt.workshop.bikes.change_build import AddRequest, TakeOffRequest, add_part, take_off

    there = bike()
    stem = part_on(there, "stem")
    torque(there, STEM, "stem", 6.0)
    take_off(TakeOffRequest(stem.pk, "bins"), by=there.first, key=there.key(), now=NOW)
    assert joint(there, STEM).markings == ()
    lying = BinPart.objects.get(used_part=stem)
    again = add_part(
        AddRequest(there.tag, "stem", bin=lying.number), by=there.first, key=there.key(), now=NOW
    ).part
    assert again == stem.pk
    assert joint(there, STEM).markings == ("stem marked 6 N·m max",)


def test_min_th_1_5_is_told_at_the_stand_and_governs_at_once() -> None:
    """Read at 1.49 mm: past the table's 1.5; 'min. th. 1.4' on the rotor governs from then on, and the finding says so."""
    from pinchbolt.workshop.bikes.mark_limit import MarkLimitRequest, mark_limit

    there = bike()
    rotor = part_on(there, "rotor", "front")
    before = read(there, rotor, ROTOR, value=1.49).finding
    assert before.verdict == "before it leaves"
    mark_limit(MarkLimitRequest(rotor.pk, ROTOR, 1.4), by=there.first, key=there.key(), now=NOW)
    after = read(there, rotor, ROTOR, value=1.49).finding
    assert after.verdict != "before it leaves"
    assert [reason for reason in after.reasons if "Limit 1.4 mm (marked on the part)" in reason["words"]]


@pytest.mark.parametrize(
    ("limit", "value"),
    [(ROTOR, 0.0), (ROTOR, 15.0), (ROTOR, float("nan")), ("sag-fork", 1.5), ("no such row", 1.5)],
)
def test_a_marking_that_cannot_be_is_refused(limit: str, value: float) -> None:
    """1.5 cm instead of mm, a limit that is not read on a rotor, a row that is not there: nothing is written.

    The sentence may end in a question: a slip of the comma is answered with "Was 1.5 meant?".
    """
    from pinchbolt.errors import InputRefused
    from pinchbolt.workshop.bikes.mark_limit import MarkLimitRequest, mark_limit

    there = bike()
    rotor = part_on(there, "rotor", "front")
    with pytest.raises(InputRefused, match=r"[.?]$"):
        mark_limit(MarkLimitRequest(rotor.pk, limit, value), by=there.first, key=there.key(), now=NOW)
    assert not Marking.objects.exists()


def test_what_was_read_on_the_old_part_is_not_told_of_the_new_one() -> None:
    """A new rotor has no reading, no kilometres and no marking of its own; facts that are the kind's own may stay."""
    there = bike()
    old = part_on(there, "rotor", "rear")
    read(there, old, ROTOR, value=1.52)
    marked(there, old, ROTOR, least=1.4)
    new = replace(there, old, facts={"rotor": 160})
    assert new.pk != old.pk and new in parts_on(there.record.bike)
    assert not new.readings.exists() and old.readings.count() == 1
    assert limit_of(there, new, ROTOR) is None
