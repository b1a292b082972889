"""Minutes of work on this bike: what a mechanic would say before the program was asked (from memory)."""

import pytest

from pinchbolt.engines.build import Build, operation_on
from pinchbolt.reference import Tables
from tests.reference.templates_built import built, part_on

# Operation, template with its speeds, end: low, usual and high minutes.
SAID = [
    ("safety-check", "road-rim", 11, "", (25, 35, 50)),
    ("sealant-top-up", "gravel-1x", 12, "", (10, 14, 22)),
    ("pivots", "full-suspension", 12, "", (80, 130, 220)),
    ("full-service", "full-suspension", 12, "", (210, 260, 340)),
    ("full-service", "road-rim", 11, "", (150, 190, 260)),
    ("new-bike-build", "road-rim", 11, "", (60, 90, 150)),
    ("spoke-replace", "road-rim", 11, "front", (20, 28, 45)),
    ("spoke-replace", "road-rim", 11, "rear", (28, 38, 60)),
    ("hub-gear-adjust", "city-hub-gear", 8, "", (5, 8, 12)),
    ("gear-cables", "road-rim", 11, "", (32, 42, 60)),
    ("gear-cables", "hardtail", 12, "", (20, 30, 45)),
    # A motor bike's drive is made dead before its wheel comes out behind: three minutes, none before the front wheel.
    ("tyre-tubeless", "full-suspension", 12, "rear", (15, 20, 35)),
    ("pads-disc", "city-ebike", 9, "front", (12, 16, 25)),
    ("pads-disc", "city-ebike", 9, "rear", (15, 19, 28)),
    ("small-service", "city-ebike", 9, "", (62, 80, 105)),
    ("new-bike-build", "city-ebike", 9, "", (90, 130, 200)),
    ("new-bike-build", "cargo-ebike", 10, "", (150, 210, 300)),
]


def on(trade: Tables, name: str, speeds: int) -> Build:
    """The bike of a template."""
    return built(trade, trade.templates[name], speeds)


@pytest.mark.parametrize(("operation", "template", "speeds", "place", "minutes"), SAID)
def test_work_takes_what_it_takes_on_this_bike(
    trade: Tables, operation: str, template: str, speeds: int, place: str, minutes: tuple[int, int, int]
) -> None:
    """Low, usual and high, a trained hand with the parts at hand."""
    row = trade.operations[operation]
    assert operation_on(on(trade, template, speeds), row, place).minutes == minutes


def test_hoses_through_the_headset_make_a_headset_a_long_job(trade: Tables) -> None:
    """Two hours where it is known, the menu's time where nobody knows; the job card says why."""
    row = trade.operations["headset-replace"]
    for told, minutes, said in (({"hoses_through": True}, (120, 165, 240), True), ({}, row.minutes, False)):
        build = Build(trade, "road", (part_on(trade, "headset", dict(told), 1),))
        found = operation_on(build, row)
        assert found.minutes == minutes
        assert any("hoses run through the headset" in words for words in found.needs) is said


def test_the_drive_is_made_dead_first_and_charged_once(trade: Tables) -> None:
    """It is the first step on the card, and a shared block, so that two jobs pay for it once."""
    build = on(trade, "city-ebike", 9)
    for name in ("chain", "cassette", "gears-adjust"):
        found = operation_on(build, trade.operations[name])
        assert "battery out" in found.steps[0] and "drive-dead" in found.shares
    assert "drive-dead" not in operation_on(on(trade, "hardtail", 12), trade.operations["chain"]).shares
    check = operation_on(build, trade.operations["ebike-check"])
    assert check.shares.count("drive-dead") == 1


def test_every_figure_of_minutes_rises(trade: Tables) -> None:
    """Low is not above usual, usual not above high, on every template's bike."""
    for template in trade.templates.values():
        build = built(trade, template, template.speeds[0])
        for row in trade.operations.values():
            for place in ("", "front", "rear"):
                low, usual, high = operation_on(build, row, place).minutes
                assert 0 < low <= usual <= high
