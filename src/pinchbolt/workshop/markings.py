"""Torque markings belong to the part that they were read on: they come and go with it, and say nothing of the next one."""

from collections.abc import Iterable, Mapping

from django.db.models import Q

from pinchbolt.records.models import Bike, Marking, Part
from pinchbolt.workshop.building import parts_on
from pinchbolt.workshop.propose import joint_end, joint_id

# What stands where a joint names something else: an axle and a steerer are of frame and fork, a rim may come with its wheel.
_STANDS_FOR: Mapping[str, tuple[str, ...]] = {
    "steerer": ("fork",), "caliper": ("brake",), "lever": ("brake",), "brake arm": ("brake",), "adapter": ("brake",),
    "hose": ("brake",), "shifter": ("shifters",), "grip": ("grips",), "bar end": ("bar ends",), "expander": ("headset",),
    "saddle rails": ("saddle",), "seat post": ("seat post", "dropper post"), "remote": ("dropper post",),
    "handlebar": ("handlebar", "one-piece bar"), "stem": ("stem", "one-piece bar"), "hub": ("hub", "wheel"),
    "rim": ("rim", "wheel"), "spoke": ("spokes", "wheel"), "spokes": ("spokes", "wheel"), "pad": ("rim pads", "pads"),
    "cable": ("brake cable", "gear cables"), "pedal": ("pedals",), "spindle": ("crank",), "guide": ("chain guide",),
    "derailleur": ("rear derailleur", "front derailleur"), "shock": ("rear shock",), "stand": ("kickstand",),
    "block": ("child seat",), "cover": ("motor",), "rod": ("steering linkage",), "torque arm": ("hub motor",),
}  # fmt: skip


def part_marked(bike: Bike, joint: str, word: str) -> Part | None:
    """Return the one part of a bike that a joint calls by this word; None where there is none on record, or more than one."""
    end = _end(joint)
    there = parts_on(bike)
    for kind in _kinds(word, end):
        found = [part for part in there if part.kind == kind and (not end or part.place in ("", end))]
        if found:
            return found[0] if len(found) == 1 else None
    return None


def _kinds(word: str, end: str) -> tuple[str, ...]:
    if word == "axle":
        return ("fork",) if end == "front" else ("frame",)
    if word == "derailleur" and end == "front":
        return ("front derailleur",)
    return _STANDS_FOR.get(word, (word,))


def _end(joint: str) -> str:
    """The end that a joint's name on a bike tells, or its id where it stands at one end only."""
    said = joint_end(joint)
    return said or next((end for end in ("front", "rear") if joint_id(joint).endswith(f"-{end}")), "")


def markings_at(bike: Bike, joint: str, parts: Iterable[Part] | None = None) -> list[Marking]:
    """Return what governs a joint now, oldest first: markings of the parts that are on the bike, and those of the joint as such.

    A part brings along what was read on it elsewhere; one that was moved to the other end governs the joint there.
    """
    here = {part.pk: part for part in (parts_on(bike) if parts is None else parts)}
    rows = Marking.objects.filter(
        Q(on_part__isnull=True, bike=bike, joint=joint) | Q(on_part__in=here),
        event__corrected_by__isnull=True,
        joint__startswith=joint_id(joint),
    )
    return [
        row
        for row in rows.select_related("event", "on_part").order_by("pk")
        if row.on_part_id is None or _governs(row, here[row.on_part_id], joint)
    ]


def _governs(marking: Marking, part: Part, joint: str) -> bool:
    if joint_id(marking.joint) != joint_id(joint):
        return False
    end = _end(joint)
    return not end or (part.place or _end(marking.joint)) in ("", end)


def before_it(bike: Bike, joint: str, word: str, part: Part | None) -> Marking | None:
    """Return the marking that a new one of this part takes the place of: the part's own, else one of the joint as such."""
    rows = [row for row in markings_at(bike, joint) if row.part == word]
    own = [row for row in rows if part is not None and row.on_part_id == part.pk]
    as_such = [row for row in rows if row.on_part_id is None]
    return next(iter((*reversed(own), *reversed(as_such))), None)
