"""Build templates: the flat build that they give the fit rules is what it was, and a part is there where it can be."""

import tomllib
from pathlib import Path

import pytest

from pinchbolt.engines.build import flat_facts, holds, joints_of
from pinchbolt.engines.fit import FitWord, check_build
from pinchbolt.reference import Tables
from pinchbolt.reference.rows.condition import condition
from tests.reference.templates_built import built, first_twelve

BEFORE = tomllib.loads((Path(__file__).parent / "templates-before.toml").read_text(encoding="utf-8"))[
    "template"
]
# What the fit rules are told besides, since it decides a joint or a limit, and from where the template knows it.
TOLD_BESIDES = {
    "bar_grip": "the plain words say drop or flat bar",
    "lever_clamp": "the joint list said which lever clamp",
    "derailleur_mount": "the joint list had the derailleur screwed to a hanger",
    "hanger": "the joint list had the hanger bolted to the frame; the child's had not",
    "speeds_cassette": "the count of sprockets that the template is for",
    "brake_kind_front": "what the brake works on decides its limits, and which wheel may be moved in",
    "brake_kind_rear": "as in front",
    "gears_inside": "a hub gear settles it: its shifter clicks no sprockets",
}
# The child's bike with one sprocket: other parts, hence other facts.
CHILD_WITHOUT_GEARS = {"lever_pull_rear": None, "brake_pull_rear": None, "body": "three-lug"}


def asked_by_rules(trade: Tables) -> set[str]:
    """The words in the places from which the fit rules take their inputs."""
    told = " ".join(str(at) for rule in trade.rules.values() for at in rule.at)
    return {word.strip("'\"{}(),:;=") for word in told.replace("(", " ").replace(")", " ").split()}


def test_the_fit_rules_are_told_what_they_were_told_before(trade: Tables) -> None:
    """Every fact of every template at every count of sprockets, by name and value."""
    for name, row in first_twelve(trade, BEFORE).items():
        for speeds in row.speeds:
            before = BEFORE[name]["facts"].get(str(speeds))
            now = flat_facts(built(trade, row, speeds))
            moved = {fact: now.get(fact) for fact, value in before.items() if now.get(fact) != value}
            assert moved == (CHILD_WITHOUT_GEARS if (name, speeds) == ("child", 1) else {}), (name, speeds)


def test_what_the_fit_rules_are_told_besides_is_told_with_a_reason(trade: Tables) -> None:
    """A fact that a template gains for a joint's sake may change a fit verdict: each is named."""
    asked, besides = asked_by_rules(trade), set()
    for name, row in first_twelve(trade, BEFORE).items():
        for speeds in row.speeds:
            now = flat_facts(built(trade, row, speeds))
            besides |= (now.keys() - BEFORE[name]["facts"][str(speeds)].keys()) & asked
    assert besides == set(TOLD_BESIDES)


def test_what_is_told_besides_makes_no_question_and_no_misfit(trade: Tables) -> None:
    """Levers sit on their bar, the derailleur on its hanger; no rule that was silent before now cannot tell."""
    for name, row in first_twelve(trade, BEFORE).items():
        for speeds in row.speeds:
            before = check_build(BEFORE[name]["facts"][str(speeds)], trade).checks
            known = {(check.rule, check.place) for check in before}
            for check in check_build(flat_facts(built(trade, row, speeds)), trade).checks:
                assert check.verdict is not FitWord.DOES_NOT_FIT, (name, check.rule, check.because)
                if (check.rule, check.place) not in known:
                    assert check.verdict is FitWord.FITS, (name, speeds, check.rule, check.because)


def test_a_template_guesses_no_fluid_no_hub_bearing_and_no_bottom_bracket_shell(trade: Tables) -> None:
    """What no template can know: fluid is read off the lid, bearings are felt, shells are measured."""
    for name, row in trade.templates.items():
        told = {fact for part in row.parts for fact in part.facts_at(row.speeds[0])}
        assert told.isdisjoint({"fluid", "bearing", "bb_shell", "seat_tube", "spindle"}), name


def test_a_part_stands_once_at_its_end(trade: Tables) -> None:
    """Of a kind with ends one is named at each; of the others there is one; whatever the count of sprockets."""
    for name, row in trade.templates.items():
        for speeds in range(1, 15):
            build = built(trade, row, speeds)
            places = [(part.kind.id, part.end) for part in build.parts]
            assert len(places) == len(set(places)), (name, speeds)
            for part in build.parts:
                assert bool(part.end) == (part.kind.ends == "each") or part.kind.ends == "any", (
                    name,
                    part.words,
                )


@pytest.mark.parametrize("speeds", [1, 6, 7, 8])
def test_a_child_s_bike_has_gears_or_a_coaster_brake(trade: Tables, speeds: int) -> None:
    """One sprocket: coaster brake behind, no shifter, derailleur, hanger or cable; else a derailleur and a hand brake behind."""
    build = built(trade, trade.templates["child"], speeds)
    kinds = {part.kind.id for part in build.parts}
    geared = {"rear derailleur", "hanger", "shifters", "gear cables", "freewheel"}
    assert (kinds & geared) == (geared if speeds > 1 else set())
    for feature, there in (
        ("coaster", speeds == 1),
        ("single speed", speeds == 1),
        ("derailleur gears", speeds > 1),
    ):
        assert holds(build, condition(feature)).answer is there, feature
    rear = [part.value("stops_on") for part in build.of_kind("brake", "rear")]
    assert rear == (["coaster"] if speeds == 1 else ["rim"])


def test_every_template_has_the_joints_that_can_throw_its_rider(trade: Tables) -> None:
    """Stem, bar, seat, saddle, both wheels, a brake, cranks and pedals: on each template, settled or asked for."""
    groups = [
        {"stem-face-4", "stem-face-2", "stem-face-1"},
        {"stem-steerer-2", "stem-steerer-m6", "quill-wedge"},
        {"seat-collar", "seat-wedge"},
        {"saddle-clamp-1", "saddle-clamp-2", "saddle-clamp-side", "saddle-tube-clamp"},
        {"thru-front", "quick-release", "axle-nut-front"},
        {"thru-rear", "quick-release", "axle-nut-rear", "axle-nut-motor"},
        {"lever-clamp-drop", "lever-clamp-flat"},
        {"caliper-post-mount", "caliper-flat-mount", "rim-caliper-pivot", "vbrake-arm"},
        {"crank-pinch-2", "crank-taper-bolt", "motor-crank-bolt"},
        {"pedal"},
    ]
    for name, row in trade.templates.items():
        for speeds in row.speeds:
            ids = {one.row.id for one in joints_of(built(trade, row, speeds))}
            assert [group for group in groups if not group & ids] == [], (name, speeds)


def test_what_a_template_tells_counts_as_not_looked_at(trade: Tables) -> None:
    """Nothing that comes from a template is confirmed, but what the kind itself settles."""
    for row in trade.templates.values():
        for part in built(trade, row, row.speeds[0]).parts:
            settled = part.kind.always or {}
            assert not part.confirmed
            assert [
                name for name, known in part.facts.items() if known.confirmed and name not in settled
            ] == []
