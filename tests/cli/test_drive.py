"""Chain length, gears and tyres from the command line."""

import json

import pytest

from tests import story
from tests.cli.conftest import Run
from tests.story import Story

pytestmark = pytest.mark.django_db
ELEVEN = "11-12-13-14-16-18-20-22-25-28"


@pytest.mark.parametrize(
    ("stay", "ring", "sprocket", "pitches"),
    [(410, 50, 34, 110), (405, 53, 28, 108), (435, 32, 51, 114), (425, 40, 42, 110), (450, 38, 46, 116)],
)
def test_the_worked_chain_lengths_of_the_trade_table(
    run: Run, stay: int, ring: int, sprocket: int, pitches: int
) -> None:
    """Source: the worked cases of the rule `chain-length` (mechanics' form; geometry, one inch spare by common practice)."""
    words = ["--stay", str(stay), "--ring", str(ring), "--sprocket", str(sprocket)]
    told = run("chain-length", *words, "--json").json
    assert told["pitches"] == pitches
    assert told["length_mm"] == pytest.approx(pitches * 12.7, abs=0.05)
    assert any("taut loop" in line for line in told["working"]) and told["because"]
    assert run("chain-length", *words).out.startswith(f"Cut to {pitches} pitches")


def test_a_long_stay_by_hand(run: Run) -> None:
    """430 mm, 36 on 52. By hand: c = 16.929 in, 2 x sqrt(c^2 + 1.2736^2) + 22 + 1 = 56.95 in, so 57 in: 114 pitches."""
    assert (
        run("chain-length", "--stay", "430", "--ring", "36", "--sprocket", "52", "--json").json["pitches"]
        == 114
    )


def test_what_the_cage_must_take_up_is_counted_and_what_it_lacks_is_said(run: Run) -> None:
    """50/34 to 34/11: about 16 + 23 = 39 teeth; a cage for 33 is short of some six."""
    ran = run(
        "chain-length", "--stay", "410", "--ring", "50", "--sprocket", "34", "--small-ring", "34",
        "--small-sprocket", "11", "--capacity", "33", "--json",
    )  # fmt: skip
    assert ran.json["slack_teeth"] == pytest.approx(39, abs=0.5)
    assert ran.json["cage_short_teeth"] == pytest.approx(6, abs=0.5)
    assert any("teeth short" in words for words in ran.json["doubts"])


def test_suspension_growth_asks_for_a_longer_chain(run: Run) -> None:
    """20 mm of growth are 40 mm of chain, three pitches and a bit: four after rounding."""
    words = ["chain-length", "--stay", "440", "--ring", "32", "--sprocket", "52", "--json"]
    assert run(*words, "--growth", "20").json["pitches"] - run(*words).json["pitches"] == 4


def test_a_slot_takes_the_lengths_at_which_the_axle_stands_inside_it(run: Run) -> None:
    """Without a derailleur; a slot too short for any even chain has no answer."""
    words = ["chain-length", "--ring", "44", "--sprocket", "16", "--json"]
    told = run(*words, "--stay", "405", "--slot", "20").json
    assert [one["pitches"] for one in told["places"]] == [96]
    ran = run(*words, "--stay", "405", "--slot", "4")
    assert (ran.code, ran.json["status"]) == (3, 409)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--stay", "43", "--ring", "36", "--sprocket", "52"], "stay is 43 mm: 150 to 2000 mm"),
        (["--stay", "430", "--ring", "36", "--sprocket", "520"], "sprocket is 520 teeth: 7 to 80 teeth"),
        (
            ["--stay", "430", "--ring", "36", "--sprocket", "52", "--capacity", "40"],
            "the smallest sprocket is missing",
        ),
        (
            ["--stay", "430", "--ring", "36", "--sprocket", "11", "--small-sprocket", "52"],
            "Were they swapped?",
        ),
        (["--stay", "430", "--ring", "36"], "Missing option '--sprocket'"),
    ],
)
def test_a_chain_of_no_sense_is_refused(run: Run, words: list[str], sentence: str) -> None:
    """What is allowed is said, and nothing is printed."""
    ran = run("chain-length", *words)
    assert (ran.code, ran.out) == (2, "") and sentence in ran.err


def test_gears_before_and_after_a_cassette(run: Run) -> None:
    """34/28 to 34/36 is 28/36: 22 % lower, by hand; the highest gear stays."""
    ran = run("gears", "--rings", "50/34", "--sprockets", ELEVEN, "--tyre", "28-622", "--crank", "172.5",
              "--after-sprockets", "11-13-15-17-19-21-24-28-32-36", "--json")  # fmt: skip
    assert ran.json["compared"]["lowest"] == pytest.approx(28 / 36 - 1, rel=1e-12)
    assert ran.json["compared"]["words"][1] == "the highest gear is the same"
    highest = ran.json["now"]["highest"]
    assert highest["ratio"] == pytest.approx(50 / 11, rel=1e-12) and highest["metres_per_pedal_metre"] > 0
    assert highest["speed_km_h"] == pytest.approx(highest["development_m"] * 90 * 0.06, rel=1e-12)


def test_a_hill_says_whether_the_lowest_gear_is_low_enough(run: Run) -> None:
    """Before: too high; after: low enough. The words are the engine's own."""
    words = [
        "gears",
        "--rings",
        "50/34",
        "--sprockets",
        ELEVEN,
        "--tyre",
        "28-622",
        "--gradient",
        "9",
        "--mass",
        "85",
    ]
    ran = run(*words, "--power", "200", "--after-sprockets", "11-36")
    assert "too high" in ran.out and "low enough" in ran.out
    assert "Only the ends" not in run(*words, "--power", "200").out
    refused = run(*words)
    assert refused.code == 2 and "A hill takes all three" in refused.err


def test_the_slant_of_the_chain_is_told_where_the_lines_are_given(run: Run) -> None:
    """One ring at 49 mm over sprockets from 41 to 49 mm: straight on the smallest."""
    ran = run("gears", "--rings", "40", "--sprockets", "11-21-36", "--tyre", "40-622", "--ring-line", "49",
              "--rear-line", "45", "--pitch", "4", "--stay", "430", "--json")  # fmt: skip
    assert [round(one["off_mm"], 6) for one in ran.json["slants"]] == [0, 4, 8]


def test_the_gears_of_a_bike_come_from_its_build_sheet(arrived: Story, run: Run) -> None:
    """What is not on it is named; what is given stands in for it."""
    missing = run("gears", "--bike", arrived.tag)
    assert missing.code == 3 and "the chainrings and the sprockets are not on the build sheet" in missing.err
    story.add_facts(arrived.tag, {"rings": "50/34", "sprocket_big": 34, "sprocket_small": 11})
    told = run("gears", "--bike", arrived.tag, "--json").json
    assert told["now"]["lowest"]["ratio"] == 1.0 and "Only the ends" in told["doubts"][0]


def test_a_tyre_is_told_on_its_rim_and_in_its_frame(run: Run) -> None:
    """28-622 on a hookless rim of 21 mm: 5.0 bar is the ceiling whatever the tyre says (ISO 5775-2)."""
    ran = run("tyre", "28-622", "--rim-inner", "21", "--rim-seat", "622", "--hookless", "--allowed-hookless",
              "--mass", "120", "--tyre-max", "8", "--opening", "40", "--racing", "--json")  # fmt: skip
    told = ran.json
    assert ran.code == 0
    assert (told["pressure"]["ceiling"], told["pressure"]["start"]["high"]) == (5.0, 5.0)
    assert [check["rule"] for check in told["on_rim"]] == ["tyre-diameter", "tyre-width"]
    assert told["room"]["enough"] is True
    assert told["doubts"] == [
        "The rim's greatest pressure is not known: read its marking; where it is lower, it is the ceiling."
    ]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--mass", "80"], "Whether the rim has hooks is not known"),
        (["--mass", "80", "--hookless"], "must be allowed there by its maker"),
        (["--mass", "80", "--hooked"], "the greatest pressure of tyre and rim is not known"),
    ],
)
def test_no_pressure_is_given_where_its_ceiling_is_not_known(
    run: Run, words: list[str], sentence: str
) -> None:
    """Exit 3, the sentence says what to read, and the rest of the answer is one JSON value."""
    ran = run("tyre", "32-622", *words, "--json")
    assert ran.code == 3 and sentence in ran.err
    assert json.loads(ran.out)["pressure"] is None and sentence in ran.json["no_pressure"]


@pytest.mark.parametrize(
    ("marking", "sentence"),
    [
        ("26 in", "26 in may be 559, 571, 584, 590, 597, 599 mm"),
        ("fat", '"fat" is not in the table'),
        ("", "two figures in mm"),
        ("280-622", "width is 280 mm: 15 to 140 mm"),
    ],
)
def test_a_name_in_inches_is_no_marking(run: Run, marking: str, sentence: str) -> None:
    """The seats that it may mean are said."""
    ran = run("tyre", marking)
    assert (ran.code, ran.out) == (2, "") and sentence in ran.err
