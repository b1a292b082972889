"""What an owner looks at without tools, by kind of bike: the lists written down first (common practice, no source)."""

import pytest

from pinchbolt.engines.build import Build, all_hold
from pinchbolt.reference import Tables
from tests.reference.templates_built import built, part_on

EVERYBODY = {"Brakes", "Wheels", "Air", "Tyres and wheels", "Frame"}
# What a kind of bike has besides, and what it must not be told.
BIKES = {
    "road-disc": (
        {"Disc pads", "Chain", "Front end"},
        {"Rim brakes", "Belt", "E-bike", "Hinges", "Tubeless"},
    ),
    "road-rim": ({"Rim brakes", "Chain", "Front end"}, {"Disc pads", "Stabilisers"}),
    "track": ({"Front end", "Chain"}, {"Disc pads", "Lights and bell work."}),
    "full-suspension": ({"Disc pads", "Tubeless"}, {"Rim brakes"}),
    "city-ebike": ({"E-bike", "Lights and bell work."}, {"Belt"}),
    "ebike-belt": ({"Belt", "E-bike"}, {"Chain", "Chain case"}),
    "cargo-ebike": ({"Stand", "E-bike"}, {"Hinges"}),
    "folding": ({"Hinges"}, {"E-bike"}),
    "child": ({"A parent does it"}, {"Front end", "E-bike"}),
    "child-small": ({"A parent does it", "Stabilisers"}, {"Front end", "Lights and bell work."}),
}
# What hangs on parts that not every bike has; the rest is what everybody does.
BY_PART = {"E-bike", "Lights and bell work.", "Electronic shifting", "Tubeless", "Stand", "Hinges", "Trailer",
           "Child seat or box", "Stabilisers"}  # fmt: skip


def told(build: Build) -> list[str]:
    """The first words of each line that the owner is given."""
    rows = build.tables.home_checks.values()
    return [row.words.partition(":")[0] for row in rows if all_hold(build, row.when).answer is not False]


@pytest.mark.parametrize("bike", BIKES)
def test_an_owner_is_told_what_this_bike_has(trade: Tables, bike: str) -> None:
    """Everybody's lines and those of its parts; nothing of parts that it has not; a sheet that is read."""
    row = trade.templates[bike]
    lines = told(built(trade, row, row.speeds[0]))
    there, never = BIKES[bike]
    assert EVERYBODY | there <= set(lines)
    assert never.isdisjoint(lines)
    assert len(set(lines)) == len(lines)
    assert 6 <= len(set(lines) - BY_PART) <= 8
    assert len(lines) <= 11


def test_a_back_pedal_brake_is_tried_by_pedalling_back(trade: Tables) -> None:
    """One line for the brakes of such a bike, and it is the right one."""
    row = trade.templates["child"]
    for speeds, back in ((7, False), (1, True)):
        build = built(trade, row, speeds)
        lines = [
            one.words
            for one in trade.home_checks.values()
            if one.words.startswith("Brakes") and all_hold(build, one.when).answer is not False
        ]
        assert ["pedal back" in words for words in lines] == [back]


def test_what_carries_people_and_what_folds_is_looked_at_before_each_ride(trade: Tables) -> None:
    """Child seat, trailer and hinge are no matter of months."""
    parts = ("hinge", "child seat", "hitch")
    build = Build(trade, "city", tuple(part_on(trade, name, {}, n) for n, name in enumerate(parts, start=1)))
    ride = {
        row.words.partition(":")[0]
        for row in trade.home_checks.values()
        if row.every == "each ride" and all_hold(build, row.when).answer
    }
    assert {"Hinges", "Child seat or box", "Trailer"} <= ride


def test_every_line_says_what_to_do_when_it_fails(trade: Tables) -> None:
    """Do not ride, bring it in, ring us, leave it behind: no line leaves an owner alone with what was found."""
    doing = ("ride", "riding", "bring it in", "ring", "leave it behind", "do not load", "fire service")
    for row in trade.home_checks.values():
        assert any(words in row.stop for words in doing), row.n
    by_feel = [row.stop for row in trade.home_checks.values() if "turn the bar" in row.words]
    assert by_feel and all("Never tighten by feel" in words for words in by_feel)


def test_nobody_is_told_to_pump_by_feel_or_to_throw_out_a_true_wheel(trade: Tables) -> None:
    """A wide tyre is soft under the thumb at its right pressure; a pencil lead is 0.5 mm, which every wheel has."""
    words = " ".join(row.words for row in trade.home_checks.values())
    assert "gauge, to the number on the sheet" in words and "Never over the number" in words
    assert "pencil" not in words and "2 mm" in words
    assert "by the door" not in words
