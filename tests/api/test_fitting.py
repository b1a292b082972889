"""Swaps, gears, chain length, tyres and bins through the JSON door."""

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.records.models import BinPart, Event
from pinchbolt.workshop.questions.ask_chain_length import ChainRequest, chain_to_cut
from pinchbolt.workshop.questions.ask_wheel_length import WheelLengthRequest, wheel_length
from tests.api.conftest import Send
from tests.story import Story
from tests.workshop.parts.test_take_in_parts import COLUMNS, GOOD, THEIRS


def test_a_chain_is_cut_to_the_same_length_through_every_door(arrived: Story, send: Send) -> None:
    """430 mm, 36 on 52: 114 pitches, as on the command line; a refusal says the same sentence."""
    status, told = send("POST", "/chain-length", {"stay_mm": 430, "ring": 36, "sprocket": 52})
    assert (status, told["pitches"]) == (200, 114) and told["working"]
    with pytest.raises(InputRefused) as no:
        chain_to_cut(ChainRequest(43, 36, 52))
    assert send("POST", "/chain-length", {"stay_mm": 43, "ring": 36, "sprocket": 52}) == (
        422,
        no.value.envelope(),
    )


def test_gears_and_a_tyre_are_asked_by_json(arrived: Story, send: Send) -> None:
    """The hill is an object of its own."""
    hill = {"gradient_percent": 9, "mass_kg": 85, "power_w": 200}
    asked = {
        "rings": "50/34",
        "sprockets": "11-13-15-18-21-24-28",
        "tyre": "28-622",
        "after_sprockets": "11-36",
        "hill": hill,
    }
    status, told = send("POST", "/gears", asked)
    assert status == 200 and told["hill"]["enough"] is False and told["hill_after"]["enough"] is True
    status, told = send("POST", "/tyre", {"marking": "28-622", "rim_seat_mm": 630})
    assert (status, told["on_rim"][0]["verdict"]) == (200, "does not fit")


def test_a_fact_that_settles_a_doubt_is_written_and_asked_with(arrived: Story, send: Send) -> None:
    """What could not be told can be told afterwards."""
    before = send("POST", f"/bike/{arrived.tag}/fit", {"changes": {"seat_post": 27.2}})[1]
    assert before["verdict"] == "cannot tell"
    status, told = send("POST", f"/bike/{arrived.tag}/facts", {"facts": {"seat_tube": 31.6}}, "facts-0001")
    assert (status, told) == (200, {"seat_tube": 31.6})
    after = send("POST", f"/bike/{arrived.tag}/fit", {"changes": {"seat_post": 27.2}})[1]
    assert after["shopping"] == ["shim 27.2 to 31.6"]


def test_parts_are_tried_then_taken_in_then_planned_with(arrived: Story, send: Send) -> None:
    """A bad file writes nothing; a good one is part of the next plan."""
    status, told = send("POST", "/bins/try", {"text": THEIRS, "columns": COLUMNS})
    assert status == 200 and [one["line"] for one in told["refused"]] == [3, 4]
    assert send("POST", "/bins/import", {"text": THEIRS, "columns": COLUMNS}, "parts-0001")[0] == 422
    assert BinPart.objects.count() == 0
    assert send("POST", "/bins/import", {"text": GOOD}, "parts-0002")[1]["new"] == 3
    assert send("POST", "/bins/import", {"text": GOOD}, "parts-0002")[0] == 200
    assert Event.objects.filter(kind="parts taken in").count() == 1
    assert [one["number"] for one in send("GET", "/bins?kind=cassette")[1]] == ["C-11", "C-12"]
    asked = {"into": arrived.tag, "want": ["sprocket_big >= 32"], "without_doubt": False}
    status, told = send("POST", "/swap", asked)
    assert status == 200 and told["proved"] is True
    assert send("POST", "/swap", {"into": arrived.tag})[0] == 422


def test_a_wheel_is_asked_by_json_with_the_same_sentences(arrived: Story, send: Send) -> None:
    """Length and plan; a lacing that cannot be is refused in the words of the command line."""
    asked = {"erd_mm": 602, "circle_mm": 45, "offset_mm": 17.4, "hole_mm": 2.5, "spokes": 32, "crossings": 3}
    status, told = send("POST", "/wheel/length", asked)
    assert status == 200 and told["length_mm"] == pytest.approx(292.39, abs=0.01)
    with pytest.raises(InputRefused) as no:
        wheel_length(WheelLengthRequest(17.4, 32, 4, erd_mm=602, circle_mm=45, hole_mm=2.5))
    assert send("POST", "/wheel/length", {**asked, "crossings": 4}) == (422, no.value.envelope())
    facts = {
        "spokes": 16, "erd_mm": 602, "circle_left_mm": 45, "circle_right_mm": 45, "offset_left_mm": 35, "offset_right_mm": 35,
        "crossings_left": 1, "crossings_right": 1,
    }  # fmt: skip
    round_read = {"side_mm": [1.0, *[0.0] * 15], "up_mm": [0.0] * 16, "tension_n": [800.0] * 16}
    status, told = send("POST", "/wheel/plan", {"wheel": facts, "rounds": [round_read]})
    assert status == 200 and told["now"]["side_mm"] == 1.0 and told["cautions"]
