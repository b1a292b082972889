"""Which part of a bike each fact of an older record belongs to, and what its joints and limits settled.

A bike held its facts in one flat list: `rotor_front`, or `rotor` for both ends. Now each belongs to a part. The lists here
are as they were that day; they are not read from the tables, which go on changing. No database in this file.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from pinchbolt.records.migrations._joints_then import (
    BESIDE,
    IN_WORDS,
    JOINTS,
    LIMITS,
    MARKED,
    SPECIFICATION,
    SPINDLE_OF_THE_CRANK,
    TOGETHER,
)

ENDS = ("front", "rear")

# Facts by the kinds that may own them, the first that is there. At an end: rotor_front is `rotor` of the rotor in front, and
# `rotor` alone is that of both.
_AT_AN_END = {
    ("brake",): (
        "caliper",
        "caliper_set_for",
        "caliper_bolt",
        "caliper_stack",
        "caliper_shape",
        "lever_pull",
        "brake_pull",
        "reach_least",
        "reach_most",
    ),
    ("pads",): ("pads", "pad_shape"),
    ("rotor",): ("rotor", "rotor_kind", "rotor_marking"),
    ("wheel",): (
        "hub_rotor_mount",
        "rim_inner",
        "rim_bsd",
        "hook",
        "rim_max_bar",
        "rim_tyre_least",
        "rim_tyre_most",
        "rim_depth",
        "valve_hole",
    ),
    ("tyre",): ("tyre", "tyre_allowed_hookless", "tyre_max_bar", "pressure_bar"),
    ("valve", "tube"): ("valve", "valve_length"),
}
# Of the fork in front and of the frame behind.
_OF_THE_ENDS = (
    "frame_diameter",
    "frame_length",
    "frame_pitch",
    "frame_thread",
    "frame_seat",
    "axle_diameter",
    "axle_length",
    "axle_pitch",
    "axle_thread",
    "axle_seat",
    "mount",
    "mount_kind",
    "native",
    "max_rotor",
    "opening",
    "frame_tyre_most",
    "brake_drop",
    "caliper_hole",
)
_ONE = {
    ("handlebar",): ("bar", "bar_material"),
    ("handlebar", "one-piece bar"): ("bar_grip",),
    ("stem", "one-piece bar"): ("stem", "stem_height"),
    ("stem",): ("stem_bar_clamp", "quill_inserted", "quill_mark"),
    ("headset",): ("headset", "headset_upper", "headset_lower", "spacers"),
    ("fork",): ("steerer", "crown_race", "steerer_diameter", "steerer_length", "steerer_bore", "max_spacers"),
    ("frame",): (
        "bb",
        "bb_shell",
        "bb_shell_width",
        "head_tube_upper",
        "head_tube_lower",
        "head_tube_stack",
        "seat_tube",
        "front_mech_tube",
        "post_frame_least",
        "chainstay_mm",
        "racing",
    ),
    ("hanger",): ("hanger", "hanger_link"),
    ("saddle",): ("saddle_rail",),
    ("seat post", "dropper post"): (
        "seat_post",
        "post_clamp",
        "post_length",
        "post_mark",
        "post_shown",
        "ears_sold",
    ),
    ("chain",): ("chain", "chain_pitches"),
    # What the chain runs on is of the sprockets: a chain that comes from elsewhere must not bring its own answer along.
    ("cassette", "freewheel", "sprocket"): ("drive",),
    ("cassette", "freewheel"): ("sprocket_big", "sprocket_small", "sprocket_pitch"),
    ("cassette",): ("cassette",),
    ("rear derailleur",): (
        "derailleur_family",
        "derailleur_ratio",
        "derailleur_mount",
        "derailleur_system",
        "max_big",
        "min_small",
        "min_big",
        "capacity",
    ),
    ("front derailleur",): ("front_mech_mount", "max_difference", "max_ring", "min_ring"),
    ("shifters",): ("shift", "shifter", "shifter_pull", "speeds_shifter", "shifter_system"),
    ("crank",): ("crank_mount", "spindle", "crank_pedal", "chain_line_front", "drive_kind"),
    ("chainring",): ("rings", "ring_big", "ring_small", "ring_teeth", "ring_mount"),
    ("bottom bracket",): ("bb_part", "bb_part_widths"),
    ("pedals",): ("pedal",),
    ("motor", "hub motor"): ("motor",),
    ("battery",): ("battery", "charger"),
    ("display",): ("drive_part",),
    ("spokes",): ("nipple_thread", "spoke_thread", "spoke_length_computed", "spoke_length_stock"),
    ("brake",): ("lever_clamp",),
}
_SPROCKETS = ("cassette", "freewheel", "sprocket")
_MATERIALS = ("aluminium", "steel", "carbon", "titanium")


@dataclass(frozen=True)
class Owner:
    """Where a flat fact goes: the kinds that may own it, the end ('' where it has none), and its name there."""

    kinds: tuple[str, ...]
    end: str
    fact: str


def _owners() -> Iterator[tuple[str, Owner]]:
    for kinds, facts in _AT_AN_END.items():
        for fact in facts:
            yield fact, Owner(kinds, "", fact)
            yield from ((f"{fact}_{end}", Owner(kinds, end, fact)) for end in ENDS)
    yield "rotor_mount", Owner(("wheel",), "", "hub_rotor_mount")
    yield "brake_fluid", Owner(("brake fluid",), "", "fluid")
    yield "fluid", Owner(("brake fluid",), "", "fluid")
    for end in ENDS:
        yield f"brake_fluid_{end}", Owner(("brake fluid",), end, "fluid")
        yield f"{end}_hub", Owner(("wheel",), end, "hub")
    for end, kind in (("front", "fork"), ("rear", "frame")):
        yield f"frame_{end}", Owner((kind,), "", "frame_axle")
        yield from ((f"{fact}_{end}", Owner((kind,), "", fact)) for fact in _OF_THE_ENDS)
    for kinds, facts in _ONE.items():
        yield from ((fact, Owner(kinds, "", fact)) for fact in facts)
    yield "speeds_cassette", Owner(_SPROCKETS, "", "sprockets_behind")
    yield "sprockets", Owner(_SPROCKETS, "", "sprockets")
    behind = ("freehub", "freewheel", "sprocket", "belt sprocket")
    yield from ((fact, Owner(behind, "", fact)) for fact in ("body", "chain_line_rear"))


OWNERS: Mapping[str, Owner] = dict(_owners())
# Said of frame and fork together.
_OF_BOTH_ENDS = ("opening", "frame_tyre_most")

_SPRUNG = {"sag-fork", "fork-bush-play", "stanchion-score", "fork-lower-hours", "fork-full-hours"}
_SPRUNG_JOINTS = {"fork-foot-bolt", "fork-top-cap"}


@dataclass(frozen=True)
class PartThen:
    """A part that is on the bike: id, kind, place, and the limits that were read on it."""

    id: int
    kind: str
    place: str = ""
    limits: tuple[str, ...] = ()


@dataclass(frozen=True)
class BikeThen:
    """An older record of a bike; `read` are the facts that a hand read off it last.

    `marked` are joints that a marking was read on, though the bike may not have them; `metal` is what the parts of its
    template are usually made of.
    """

    words: str
    speeds: int | None
    facts: Mapping[str, Any]
    joints: tuple[str, ...]
    parts: tuple[PartThen, ...]
    read: Mapping[str, Any] = field(default_factory=dict)
    usual: Mapping[str, tuple[Any, ...]] = field(default_factory=dict)
    usual_speeds: int | None = None
    kind: str = ""
    marked: tuple[str, ...] = ()
    metal: Mapping[str, str] = field(default_factory=dict)


Facts = dict[str, tuple[Any, str]]


def carried_over(bike: BikeThen) -> dict[int, Facts]:
    """Return what each part of a bike starts with, {part: {fact: (value, source)}}; every flat fact is with some part."""
    found: dict[int, Facts] = {part.id: {} for part in bike.parts}
    frame = next((part for part in bike.parts if part.kind == "frame"), None)
    # One end's own fact is heard before that of both, and the brake's own fluid before a bottle's.
    for name in sorted(
        bike.facts, key=lambda name: (name not in OWNERS or not OWNERS[name].end, name == "fluid")
    ):
        value = bike.facts[name]
        owners = _owners_of(name, bike.parts)
        for part, fact in owners:
            found[part.id].setdefault(fact, (value, _source(name, value, bike)))
        if not owners and frame is not None:
            found[frame.id].setdefault(name, (value, _source(name, value, bike)))
    _behind(bike, found)
    _material_in_words(bike, found)
    for part in bike.parts:
        for limit in LIMITS:
            if limit in part.limits:
                for fact, value in LIMITS[limit]:
                    found[part.id].setdefault(fact, (value, "template"))
        if part.kind == "tyre" and "tyre-wear-mark" in part.limits:
            found[part.id].setdefault("tread", ("slick", "template"))
        if part.kind == "fork":
            found[part.id].setdefault("springing", _springing(part, bike))
    for pair, (kinds, fact, value) in TOGETHER.items():
        if pair <= set(bike.joints):
            for part in first_there(kinds, "", bike.parts):
                found[part.id].setdefault(fact, (value, "records"))
    for name in _in_order(bike.joints):
        for part, fact, value in _settled(name, bike.parts):
            found[part.id].setdefault(fact, (value, "records"))
    there_are = {part.kind for part in bike.parts}
    for part in bike.parts:
        for there, kind, fact, value in BESIDE:
            if part.kind == kind and there in there_are:
                found[part.id].setdefault(fact, (value, "template" if bike.usual else "guess"))
        if part.kind in bike.metal:
            found[part.id].setdefault("material", (bike.metal[part.kind], "template"))
    return found


def _springing(fork: PartThen, bike: BikeThen) -> tuple[Any, str]:
    """That a fork is sprung was on record by what was read and opened on it; by what it is sprung was not."""
    if _SPRUNG & set(fork.limits) or _SPRUNG_JOINTS & set(bike.joints):
        return ("air" if "sag-fork" in fork.limits else "coil"), "guess"
    return "none", "template" if bike.usual else "guess"


def _owners_of(name: str, parts: Iterable[PartThen]) -> list[tuple[PartThen, str]]:
    if name in _OF_BOTH_ENDS:
        return [(part, name) for part in parts if part.kind in ("fork", "frame")]
    owner = OWNERS.get(name)
    return (
        [] if owner is None else [(part, owner.fact) for part in first_there(owner.kinds, owner.end, parts)]
    )


def first_there(kinds: Iterable[str], end: str, parts: Iterable[PartThen]) -> list[PartThen]:
    """Return the parts of the first of these kinds that is there; at one end where it is said and the part has one."""
    parts = list(parts)
    for kind in kinds:
        found = [part for part in parts if part.kind == kind and (not end or part.place in ("", end))]
        if found:
            return found
    return []


def _source(name: str, value: Any, bike: BikeThen) -> str:
    if name in bike.read and bike.read[name] == value:
        # The bottle's fluid was asked for under this name: a hand did not read it off the brake.
        return "records" if name == "fluid" else "read off the part"
    usual = bike.usual.get(name) or (
        *bike.usual.get(f"{name}_front", ()),
        *bike.usual.get(f"{name}_rear", ()),
    )
    return "template" if value in usual else "records"


def _behind(bike: BikeThen, found: dict[int, Facts]) -> None:
    """The bike's number of speeds is of the sprockets, or of the hub gear with its one sprocket."""
    if bike.speeds is None:
        return
    source = "template" if bike.speeds == bike.usual_speeds else "records"
    hubs = [part for part in bike.parts if part.kind == "hub gear"]
    if hubs and bike.speeds > 1:
        found[hubs[0].id].setdefault("gears", (bike.speeds, source))
        return
    for part in first_there(_SPROCKETS, "", bike.parts):
        found[part.id].setdefault("sprockets_behind", (bike.speeds, source))


def _material_in_words(bike: BikeThen, found: dict[int, Facts]) -> None:
    """A bar typed as "31.8 carbon" said its material; a bike whose words say carbon has some, in its frame if nowhere else."""
    for part in bike.parts:
        said = found[part.id]
        if part.kind in ("handlebar", "one-piece bar"):
            words = str(said.get("bar_material", said.get("bar", ("", "")))[0]).split()
            if words and words[-1] in _MATERIALS:
                said["material"] = (words[-1], said.get("bar_material", said.get("bar", ("", "records")))[1])
    in_words = "carbon" in bike.words.lower() or any(
        "carbon" in f"{n} {v}".lower() for n, v in bike.facts.items()
    )
    if not in_words or any(facts.get("material", ("",))[0] == "carbon" for facts in found.values()):
        return
    frame = next((part for part in bike.parts if part.kind == "frame"), None)
    if frame is not None:
        found[frame.id].setdefault("material", ("carbon", "guess"))


def _in_order(joints: Iterable[str]) -> list[str]:
    order = {joint: place for place, joint in enumerate(JOINTS)}
    return sorted(joints, key=lambda name: order.get(name, order.get(name.partition(":")[0], len(order))))


def _settled(name: str, parts: tuple[PartThen, ...]) -> Iterator[tuple[PartThen, str, Any]]:
    joint, _, end = name.partition(":")
    end = end or _end_in_id(joint)
    for kinds, fact, value in JOINTS.get(name, JOINTS.get(joint, ())):
        for part in first_there(kinds, end, parts):
            yield part, fact, value


def _end_in_id(joint: str) -> str:
    return next((end for end in ENDS if joint.endswith(f"-{end}")), "")


def specified(kind: str, given: Mapping[str, Any]) -> Facts:
    """Return a part's own typed fields as facts; one without another name keeps its own."""
    facts: Facts = {}
    if kind == "tyre" and given.get("width_mm") and given.get("bead_mm"):
        facts["tyre"] = (f"{given['width_mm']}-{given['bead_mm']}", "records")
    for name, value in given.items():
        if value is not None:
            facts[SPECIFICATION.get((kind, name), name)] = (value, "records")
    return facts


def missing(bike: BikeThen) -> list[tuple[str, str]]:
    """Return parts that the older record spoke of without having them, (kind, place): a valve by its nut, a battery by words."""
    kinds = {(part.kind, part.place) for part in bike.parts}
    gone = [
        ("valve", end) for end in ENDS if f"valve-nut:{end}" in bike.joints and ("valve", end) not in kinds
    ]
    in_facts = any("motor" in f"{name} {value}".lower() for name, value in bike.facts.items())
    electric = bike.kind == "ebike" or "e-bike" in bike.words.lower() or in_facts
    if electric and not {kind for kind, _ in kinds} & {"battery", "motor", "hub motor"}:
        gone.append(("battery", ""))
    # Who wrote "two child seats" into a bike's words, or read the torque off a seat's block, had the seat before him.
    words = " ".join((bike.words.lower(), *(f"{name} {value}".lower() for name, value in bike.facts.items())))
    for kind, said, joint in IN_WORDS:
        on_record = joint in {name.partition(":")[0] for name in (*bike.joints, *bike.marked)}
        if (on_record or any(word in words for word in said)) and kind not in {one for one, _ in kinds}:
            gone.append((kind, ""))
    if bike.parts and bike.facts and ("frame", "") not in kinds:
        gone.append(("frame", ""))
    return gone


def marked_on(word: str, joint: str, parts: Iterable[PartThen]) -> PartThen | None:
    """Return the one part that a marking was read on; None where none, or more than one, answers to the joint's word."""
    name, _, end = joint.partition(":")
    end = end or _end_in_id(name)
    if word in ("axle", "boss"):
        kinds: tuple[str, ...] = ("fork",) if end == "front" else ("frame",)
        end = ""
    elif word == "spindle" and name not in SPINDLE_OF_THE_CRANK:
        kinds = ("bottom bracket", "crank")
    elif word == "derailleur" and end == "front":
        kinds, end = ("front derailleur",), ""
    else:
        kinds = MARKED.get(word, (word,))
    found = first_there(kinds, end, parts)
    return found[0] if len(found) == 1 else None
