"""Torque markings belong to the part that they were read on: they come and go with it, and say nothing of the next one."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q

from pinchbolt.engines.build import Build, JointOn, clamped_by, end_of
from pinchbolt.records.models import Bike, Marking, Part, ProofPhoto
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.one_look import once_a_look
from pinchbolt.workshop.bikes.build_sheet import parts_on
from pinchbolt.workshop.bikes.joint_names import joint_end, joint_id


def part_marked(build: Build, joint: JointOn | None, kind: str) -> Part | None:
    """Return the one part of a kind that a joint clamps; None where there is none on record, or more than one."""
    if joint is None:
        return None
    found = [part.id for part in clamped_by(build, joint) if kind in build.stands_for(part)]
    return Part.objects.get(pk=found[0]) if len(found) == 1 else None


def _end(joint: str) -> str:
    """The end that a joint's name on a bike tells, or its id where it stands at one end only."""
    said = joint_end(joint)
    return said or next((end for end in ("front", "rear") if joint_id(joint).endswith(f"-{end}")), "")


def markings_at(bike: Bike, joint: str, parts: Iterable[Part] | None = None) -> list[Marking]:
    """Return what governs a joint now, oldest first: markings of the parts that are on the bike, and those of the joint as such.

    A part brings along what was read on it elsewhere; one that was moved to the other end governs the joint there.
    """
    here = {part.pk: part for part in (parts_on(bike) if parts is None else parts)}
    return [
        row
        for row in _standing(bike, frozenset(here))
        if (row.joint == joint if row.on_part_id is None else _governs(row, here[row.on_part_id], joint))
    ]


@once_a_look
def _standing(bike: Bike, parts: frozenset[int]) -> tuple[Marking, ...]:
    """Every marking of these parts, and those of the bike's joints as such, the oldest first."""
    rows = Marking.objects.filter(
        Q(on_part__isnull=True, bike=bike) | Q(on_part__in=parts), event__corrected_by__isnull=True
    )
    proof = ProofPhoto.objects.filter(pk=OuterRef("event"))
    # Asked for in order, the database would walk through all markings: a bike's few are put in order here.
    asked = rows.select_related("event", "on_part").annotate(has_photo=Exists(proof)).order_by()
    return tuple(sorted(asked, key=lambda row: row.pk))


def _governs(marking: Marking, part: Part, joint: str) -> bool:
    if joint_id(marking.joint) != joint_id(joint):
        return False
    end, place = _end(joint), part.place or _end(marking.joint)
    if end_of(end):
        return place in ("", end)
    # What stands at a place of its own, as the stoker's, governs there and nowhere else.
    return end == ("" if end_of(place) else place)


def before_it(bike: Bike, joint: str, word: str, part: Part | None) -> Marking | None:
    """Return the marking that a new one of this part takes the place of: the part's own, else one of the joint as such."""
    rows = [row for row in markings_at(bike, joint) if row.part == word]
    own = [row for row in rows if part is not None and row.on_part_id == part.pk]
    as_such = [row for row in rows if row.on_part_id is None]
    return next(iter((*reversed(own), *reversed(as_such))), None)


@dataclass(frozen=True, slots=True)
class MarkedHere:
    """A marking that governs a joint: its act, as it was read, and whether its photo is kept."""

    event: int
    words: str
    has_photo: bool


def marked_here(marking: Marking) -> MarkedHere:
    """Return a marking of `markings_at` as it is shown."""
    has_photo = bool(getattr(marking, "has_photo", False))
    return MarkedHere(
        marking.pk, f"{marking_words(marking)}{(worded(', photo') if has_photo else '')}", has_photo
    )


def marking_words(marking: Marking) -> str:
    """Return a marking as it was read: what it limits, and the value that is named as the one to use."""
    named = (
        worded("{part}: {target:g} N·m is the value to use", part=marking.part, target=marking.target)
        if marking.target is not None
        else ""
    )
    if marking.greatest is None:
        return named
    marked = (
        worded("{part} marked {greatest:g} N·m max", part=marking.part, greatest=marking.greatest)
        if marking.least is None
        else worded(
            "{part} marked {least:g} to {greatest:g} N·m",
            part=marking.part,
            least=marking.least,
            greatest=marking.greatest,
        )
    )
    return f"{marked}; {named.partition(': ')[2]}" if named else marked
