"""Which facts of a build go with which part, so that a part that is moved takes its own along and leaves the rest."""

from collections.abc import Mapping

ENDS = ("front", "rear")
Facts = Mapping[str, object]

# Facts by the part that they belong to. Those of a part at one end carry its name: rotor_front, tyre_rear.
_AT_AN_END = {
    "wheel": (
        "hub_rotor_mount", "rim_inner", "rim_bsd", "hook", "rim_max_bar", "rim_tyre_least", "rim_tyre_most", "rim_depth",
        "valve_hole",
    ),
    "rotor": ("rotor", "rotor_kind", "rotor_marking"),
    "tyre": ("tyre", "tyre_allowed_hookless", "tyre_max_bar", "pressure_bar", "valve", "valve_length"),
}  # fmt: skip
_ONE = {
    "cassette": ("cassette", "drive", "sprocket_big", "sprocket_small", "sprockets", "sprocket_pitch", "speeds_cassette"),
    "chain": ("chain", "chain_pitches"),
    "rear derailleur": (
        "derailleur_family", "derailleur_ratio", "derailleur_mount", "derailleur_system", "max_big", "min_small", "min_big",
        "capacity",
    ),
    "shifters": ("shift", "shifter", "shifter_pull", "speeds_shifter", "shifter_system"),
    "crank": ("rings", "ring_big", "ring_small", "ring_teeth", "ring_mount", "crank_mount", "spindle", "chain_line_front"),
    "saddle": ("saddle_rail",),
    "seat post": ("seat_post", "post_clamp", "post_length", "post_mark"),
    "pedals": ("pedal",),
}  # fmt: skip
# What the build sheet calls a fact of both ends, where it is not called as at one end.
_OF_BOTH = {"hub_rotor_mount": "rotor_mount"}
# A wheel carries these from bike to bike.
CARRIED = ("rotor", "tyre")
MOVABLE = (
    "rear wheel", "front wheel", "cassette", "rotor rear", "rotor front", "tyre rear", "tyre front", "chain",
    "rear derailleur", "shifters", "crank", "saddle", "seat post", "pedals",
)  # fmt: skip
# Operation of the menu that fits a part; what is not here takes the minutes that its bin says, or none are known.
OPERATION = {
    "cassette": "cassette", "chain": "chain", "rotor": "rotor", "tyre": "tyre-tube", "rear derailleur": "rear-derailleur",
    "shifters": "gear-cables", "crank": "chainrings", "seat post": "seat-post-free",
}  # fmt: skip
# Taking a wheel out and putting it in; the block of the menu.
BLOCK = {"rear wheel": "rear-wheel-out", "front wheel": "front-wheel-out"}


def apart(facts: Facts) -> dict[str, object]:
    """Return the facts with those of both ends said of each end, so that one end can change by itself."""
    found = dict(facts)
    for names in _AT_AN_END.values():
        for name in names:
            both = next((one for one in (name, _OF_BOTH.get(name, "")) if one and one in found), "")
            if both:
                value = found.pop(both)
                for end in ENDS:
                    found.setdefault(f"{name}_{end}", value)
    return found


def names_of(what: str) -> tuple[str, ...]:
    """Return the names of the facts that belong to a movable part; a wheel's are without what is fitted to it."""
    kind, end = kind_and_end(what)
    if kind in _ONE:
        return _ONE[kind]
    own = tuple(f"{name}_{end}" for name in _AT_AN_END.get(kind, ()))
    if kind != "wheel":
        return own
    return (f"{end}_hub", *own, *(("body", "chain_line_rear") if end == "rear" else ()))


def with_what_it_carries(what: str) -> tuple[str, ...]:
    """Return the parts that come along: a wheel with its cassette, rotor and tyre."""
    kind, end = kind_and_end(what)
    if kind != "wheel":
        return (what,)
    return (what, *(("cassette",) if end == "rear" else ()), *(f"{one} {end}" for one in CARRIED))


def facts_that_go(what: str) -> frozenset[str]:
    """Return the names of all facts that go with a movable part and what it carries."""
    return frozenset(name for part in with_what_it_carries(what) for name in names_of(part))


def kind_and_end(what: str) -> tuple[str, str]:
    """Return a movable part's kind and end: 'rear wheel' is ('wheel', 'rear'), 'rotor front' ('rotor', 'front')."""
    for end in ENDS:
        if what == f"{end} wheel":
            return "wheel", end
        if what.endswith(f" {end}"):
            return what.removesuffix(f" {end}"), end
    return what, ""


def taken_from(facts: Facts, parts: tuple[str, ...]) -> dict[str, object]:
    """Return what is known of these parts in a build; None for what is not known, so that nothing of the other bike stays."""
    whole = apart(facts)
    return {name: whole.get(name) for part in parts for name in names_of(part)}
