"""Acts on the build sheet as a mechanic does them, for tests: begin, add, replace, take off, describe, confirm."""

from collections.abc import Mapping
from typing import Any

import pytest

from pinchbolt.records.models import Job, Part, Reading
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.leaving.sign_off import items_for
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.take_reading import ReadingRequest, take_reading
from pinchbolt.workshop.stays.walk_round import walk_round
from tests import story
from tests.kept_stages import kept
from tests.story import NOW, Story


def fault(reason: str) -> pytest.MarkDecorator:
    """Marks a test of something that is wrong or missing today; it fails as soon as that is put right, and the mark goes."""
    return pytest.mark.xfail(strict=True, reason=reason)


@kept
def bike(template: str = "road-disc", **said: Any) -> Story:
    """A bike of this build is checked in; *said* is more of what the check-in asks."""
    there = story.checked_in("road-disc")
    if template == "road-disc" and not said:
        return there
    asked = CheckInRequest(template=template, owner_name="Marit Oakfold", **said)
    taken = check_in(
        asked, by=there.first, key=f"bike-{Job.objects.count():04d}-of-{template or 'nothing'}", now=NOW
    )
    return Story(taken.job, taken.tag, there.first, there.second, marks=100)


@kept
def from_nothing(kind: str) -> Story:
    """A bike of this kind is begun without a build: frame and safety bolts, and nothing else."""
    return bike("", bike_kind=kind)


def part_on(there: Story, kind: str, place: str = "") -> Part:
    """The one part of a kind and place on the bike now."""
    (found,) = (
        part for part in parts_on(there.record.bike) if part.kind == kind and place in ("", part.place)
    )
    return found


def kinds_on(there: Story) -> set[str]:
    """Kinds of part on the bike now."""
    return {part.kind for part in parts_on(there.record.bike)}


def items_of(there: Story) -> set[str]:
    """Ids of the sign-off list's items for the bike as it stands."""
    return {item.id for item in items_for(there.record.bike)}


def readings_of(there: Story, kind: str, place: str = "") -> set[str]:
    """Ids of the limits that the walk-round reads on a kind of part."""
    return {
        due.limit
        for spot in walk_round(there.record, NOW)
        for due in spot.readings
        if due.part_kind == kind and place in ("", due.part_place)
    }


def read(there: Story, part: Part, limit: str, **shown: Any) -> Reading:
    """Take one reading."""
    asked = ReadingRequest(there.job, part.pk, limit, **shown)
    return Reading.objects.get(pk=take_reading(asked, by=there.first, key=there.key(), now=NOW).reading)


def add(
    there: Story, kind: str, end: str = "", facts: Mapping[str, object] | None = None, **more: Any
) -> Part:
    """Put a part on the build sheet, its facts read off it."""
    from pinchbolt.workshop.bikes.change_build import AddRequest, add_part

    asked = AddRequest(there.tag, kind, end=end, facts=dict(facts or {}), **more)
    return Part.objects.get(pk=add_part(asked, by=there.first, key=there.key(), now=NOW).part)


def replace(there: Story, part: Part, **more: Any) -> Part:
    """A new part takes the place of one on the bike."""
    from pinchbolt.workshop.bikes.change_build import ReplaceRequest
    from pinchbolt.workshop.bikes.change_build import replace as replace_by

    changed = replace_by(ReplaceRequest(part.pk, **more), by=there.first, key=there.key(), now=NOW)
    return Part.objects.get(pk=changed.part)


def take_off(there: Story, part: Part, gone_to: str = "scrap") -> None:
    """A part comes off the bike."""
    from pinchbolt.workshop.bikes.change_build import TakeOffRequest
    from pinchbolt.workshop.bikes.change_build import take_off as take_off_by

    take_off_by(TakeOffRequest(part.pk, gone_to), by=there.first, key=there.key(), now=NOW)


def describe(there: Story, part: Part, source: str = "read off the part", **facts: object) -> None:
    """Say what a part is, and how that is known."""
    from pinchbolt.workshop.bikes.change_build import DescribeRequest
    from pinchbolt.workshop.bikes.change_build import describe as describe_by

    describe_by(DescribeRequest(part.pk, facts, source), by=there.first, key=there.key(), now=NOW)


def confirm(there: Story, corner: str = "") -> None:
    """One tap: this corner, or the whole bike, is as shown."""
    from pinchbolt.workshop.bikes.change_build import ConfirmRequest
    from pinchbolt.workshop.bikes.change_build import confirm_corner as confirm_by

    confirm_by(ConfirmRequest(there.tag, corner), by=there.first, key=there.key(), now=NOW)


def build(there: Story) -> Any:
    """The bike as the engines read it."""
    from pinchbolt.workshop.bikes.build_sheet import build_of

    return build_of(there.record.bike)


def fact(there: Story, part: Part, name: str) -> Any:
    """What is known of a part: a value with its source."""
    (found,) = (one for one in build(there).parts if one.id == part.pk)
    return found.facts[name]
