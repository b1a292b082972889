"""Figures of a joint by stuff, size and thread: what depends on a part is a figure that its facts choose, not a sentence."""

import pytest

from pinchbolt.engines.build import (
    Build,
    FactValue,
    JointFigures,
    PartOn,
    figures_of,
    joints_of,
    lowest_figures,
)
from pinchbolt.reference import Tables


def bike(trade: Tables, parts: dict[str, dict[str, object]]) -> Build:
    """A bike of these parts, all that is told of them read off; a kind with an end is "brake front"."""
    made = []
    for number, (name, facts) in enumerate(parts.items(), start=1):
        kind, _, end = name.rpartition(" ")
        kind, end = (kind, end) if end in ("front", "rear") and kind in trade.kinds else (name, "")
        known = {fact: FactValue(value, "read off the part") for fact, value in facts.items()}  # type: ignore[arg-type]
        made.append(PartOn(number, trade.kinds[kind], end, known))
    return Build(trade, "road", tuple(made))


def figures(trade: Tables, parts: dict[str, dict[str, object]], joint: str, thread: str = "") -> JointFigures:
    """The figures of one joint of such a bike."""
    build = bike(trade, parts)
    return figures_of(build, next(one for one in joints_of(build) if one.name == joint), thread)


COLLAR = {"seat_hold": "collar"}
# Joint, parts, thread read, floor and cap that a mechanic sets within, whether that is sure. Common practice, no source.
BY_HAND = {
    "metal post in a metal frame takes up to 7": (
        "seat-collar", {"frame": {"material": "steel"}, "seat post": {"material": "aluminium", **COLLAR}}, "", 4, 7, True,
    ),
    "a carbon frame 4 to 5": (
        "seat-collar", {"frame": {"material": "carbon"}, "seat post": {"material": "aluminium", **COLLAR}}, "", 4, 5, True,
    ),
    "a carbon post in a metal frame 4 to 5": (
        "seat-collar", {"frame": {"material": "steel"}, "seat post": {"material": "carbon", **COLLAR}}, "", 4, 5, True,
    ),
    "nothing known 4 to 5, and asked": ("seat-collar", {"frame": {}, "seat post": {**COLLAR}}, "", 4, 5, False),
    "a dropper is no more than held": (
        "seat-collar", {"frame": {"material": "steel"}, "dropper post": {"material": "aluminium", **COLLAR}}, "", 4, 5, True,
    ),
    "a carbon steerer 5 at most": (
        "stem-steerer-2", {"stem": {"stem_kind": "two bolts"}, "fork": {"material": "carbon"}}, "", 4, 5, True,
    ),
    "a steel steerer up to 7": (
        "stem-steerer-2", {"stem": {"stem_kind": "two bolts"}, "fork": {"material": "steel"}}, "", 4, 7, True,
    ),
    "a band 3 to 4": (
        "front-mech-clamp", {"front derailleur": {"front_mech_mount": "31.8"}, "frame": {"material": "steel"}}, "", 3, 4, True,
    ),
    "a tab up to 6.8": (
        "front-mech-clamp", {"front derailleur": {"front_mech_mount": "braze-on"}, "frame": {}}, "", 4.9, 6.8, True,
    ),
    "band or tab not known: as a band": ("front-mech-clamp", {"front derailleur": {}, "frame": {}}, "", 3, 4, False),
    "drop levers on carbon 5 at most": (
        "lever-clamp-drop:front",
        {"brake front": {"brake_line": "cable", "lever_clamp": "drop 23.8"}, "handlebar": {"material": "carbon"}}, "", 4, 5, True,
    ),
    "flat levers on carbon 3 to 4": (
        "lever-clamp-flat:front",
        {"brake front": {"brake_line": "cable", "lever_clamp": "flat 22.2"}, "handlebar": {"material": "carbon"}}, "", 3, 4, True,
    ),
    "a road block 4.5 to 6.8": (
        "rim-pad-stud:front", {"brake front": {"stops_on": "rim", "arm_kind": "one bolt"}, "rim pads front": {}}, "", 4.5, 6.8, True,
    ),
    "a long-arm block 7.9 to 9": (
        "rim-pad-stud:front", {"brake front": {"stops_on": "rim", "arm_kind": "bosses"}, "rim pads front": {}}, "", 7.9, 9, True,
    ),
    "the other end's arms say nothing of this one": (
        "rim-pad-stud:front",
        {"brake front": {"stops_on": "rim", "arm_kind": "one bolt"}, "brake rear": {"stops_on": "rim", "arm_kind": "bosses"},
         "rim pads front": {}}, "", 4.5, 6.8, True,
    ),
    "a carrier's M5": ("carrier-bolt", {"carrier": {}, "frame": {}}, "M5x0.8", 4, 7, True),
    "a heavy carrier's M6": ("carrier-bolt", {"carrier": {}, "frame": {}}, "M6x1.0", 8, 10, True),
    "a carrier's bolt that nobody measured is taken for an M5": ("carrier-bolt", {"carrier": {}, "frame": {}}, "", 4, 7, False),
    "a stand's M6": ("kickstand", {"kickstand": {"two_legs": False}, "frame": {"material": "steel"}}, "M6x1.0", 8, 10, True),
    "a stand's plate": ("kickstand", {"kickstand": {"two_legs": False}, "frame": {"material": "steel"}}, "M10x1.5", 10, 20, True),
    "a stem's own joint, M6": ("stem-adjust", {"stem": {"stem_kind": "adjustable"}}, "M6x1.0", 8, 11, True),
    "a stem's own joint, M8": ("stem-adjust", {"stem": {"stem_kind": "adjustable"}}, "M8x1.25", 12, 18, True),
}  # fmt: skip


@pytest.mark.parametrize("told", BY_HAND)
def test_the_figures_are_those_of_the_parts_that_are_there(trade: Tables, told: str) -> None:
    """Written by hand first; what is not known takes the lowest and says so."""
    joint, parts, thread, floor, cap, sure = BY_HAND[told]
    found = figures(trade, parts, joint, thread)  # type: ignore[arg-type]
    assert (found.low, found.high, found.sure) == (floor, cap, sure)
    assert sure or found.asks or found.threads


def test_what_would_free_the_higher_figure_is_named(trade: Tables) -> None:
    """Frame and post: both must be told before 7 is allowed."""
    found = figures(trade, {"frame": {}, "seat post": {**COLLAR}}, "seat-collar")
    assert {(ask.part.kind.id, ask.fact.id) for ask in found.asks} == {
        ("frame", "material"),
        ("seat post", "material"),
    }
    half = figures(trade, {"frame": {"material": "steel"}, "seat post": {**COLLAR}}, "seat-collar")
    assert {(ask.part.kind.id, ask.fact.id) for ask in half.asks} == {("seat post", "material")}
    assert half.high == 5


@pytest.mark.parametrize(
    ("joint", "parts"),
    [
        ("stem-steerer-m6", {"stem": {"stem_kind": "two bolts M6"}, "fork": {"material": "carbon"}}),
        ("stem-face-2", {"stem": {"face_bolts": 2}, "handlebar": {"material": "carbon"}}),
        ("bar-end", {"bar ends": {}, "handlebar": {"material": "carbon"}}),
        ("child-seat-block", {"child seat": {}, "frame": {"material": "carbon"}}),
        ("kickstand", {"kickstand": {"two_legs": False}, "frame": {"material": "carbon"}}),
        ("saddle-clamp-1", {"seat post": {"saddle_clamp": "one bolt"}, "saddle": {"saddle_rail": "7x9"}}),
    ],
)
def test_where_carbon_may_not_be_clamped_so_no_table_stands_in(
    trade: Tables, joint: str, parts: dict[str, dict[str, object]]
) -> None:
    """Only the maker's word will do."""
    assert figures(trade, parts, joint).makers_figure_only


def test_a_shape_that_no_hand_overlooks_holds_nothing_up_while_it_is_not_known(trade: Tables) -> None:
    """An oval rail goes into no clamp for round ones; the question stays."""
    found = figures(trade, {"seat post": {"saddle_clamp": "one bolt"}, "saddle": {}}, "saddle-clamp-1")
    assert not found.makers_figure_only and found.high == 24
    assert [ask.fact.id for ask in found.asks] == ["saddle_rail"]


def test_a_joint_of_which_nothing_is_known_has_the_lowest_figures_of_all(trade: Tables) -> None:
    """Every case that lowers, none that raises."""
    for joint, cases in trade.cases_of.items():
        row = trade.joints[joint]
        found = lowest_figures(trade, row)
        may_be = [one for one in cases if not one.when_known]
        if any(one.makers_figure_only for one in may_be):
            assert found.makers_figure_only
        else:
            assert found.high == min([row.high, *(one.high for one in may_be)])


def test_more_known_never_lowers_the_figures(trade: Tables) -> None:
    """Whatever is found out of frame and post, nothing found out lowers what was taken before: it was the lowest already."""
    kinds = [{}, *({"material": word} for word in ("carbon", "steel", "aluminium", "other"))]
    blind = figures(trade, {"frame": {}, "seat post": {**COLLAR}}, "seat-collar").high
    for frame in kinds:
        for post in kinds:
            assert (
                figures(trade, {"frame": frame, "seat post": {**post, **COLLAR}}, "seat-collar").high >= blind
            )


def test_no_sentence_of_a_row_holds_a_figure_that_its_parts_decide(trade: Tables) -> None:
    """ "Carbon 4 to 5" in words is read by nobody who is in a hurry: figures stand in figures."""
    words = [
        row.id
        for row in trade.joints.values()
        if "arbon" in row.conflict
        and any(sign.isdigit() for sign in row.conflict)
        and row.id not in SAID_IN_WORDS
    ]
    assert words == []


# Where words hold a figure: the row has a twin for carbon, or the figure is no torque.
SAID_IN_WORDS = {
    "stem-face-4": "stem-face-4-carbon is its own row",
    "child-seat-block": "28 to 40 mm is the tube",
    "saddle-clamp-2": "7 x 9 mm are the rails' size",
    "rim-caliper-pivot": "turns of thread",
    "bb-threaded-cup": "M36 is not told apart yet; carbon has its case",
}
