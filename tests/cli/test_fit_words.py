"""The fit desk from the command line: the list, questions in words, which part fits, and how little a first answer loads."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests import story
from tests.cli.conftest import Run, outside
from tests.story import Story


def test_the_list_says_every_rule_in_words_with_what_it_needs(run: Run) -> None:
    """No code is needed to find one."""
    told = run("fit").out
    assert "cassette on freehub body (cassette-body)" in told and "needs: cassette; freehub body" in told
    rules = run("fit", "--json").json
    assert len(rules) > 45 and all(rule["needs"] and rule["words"] for rule in rules)


def test_a_question_in_words_is_answered_with_the_codes_behind_the_words(run: Run) -> None:
    """Both readings of an 11-speed cassette."""
    told = run("fit", "find", "11 speed cassette on 10 speed body").out
    assert told.startswith("cassette on freehub body (cassette-body)")
    assert "body 1.85 mm too short" in told and "(c11-overhang)" in told
    assert (
        run("fit", "find", "27.2 seat post in 31.6 frame", "--json").json[0]["readings"][0]["verdict"]
        == "fits with"
    )


def test_what_was_asked_for_is_said_first(run: Run) -> None:
    """How long a valve: that is the answer, and what else is not known stands below it."""
    told = run("fit", "find", "valve length for 50 mm rim").out
    assert told.index("would fit: 62 mm and more") < told.index("cannot tell")


def test_rings_that_are_written_with_a_dash_are_rings(run: Run) -> None:
    """36-46 is a double crank, and no sprocket has 46 teeth because of it; what is lacking is the cassette."""
    told = run("fit", "find", "36-46 rings on a mech with capacity 33").out
    assert "biggest chainring: 46 teeth" in told and "smallest chainring: 36 teeth" in told
    assert "cannot tell" in told and "say also: biggest sprocket; smallest sprocket" in told


def test_what_no_rule_knows_is_refused(run: Run) -> None:
    """With what to do next."""
    ran = run("fit", "find", "xyzzy")
    assert (ran.code, ran.out) == (2, "") and "pinchbolt fit" in ran.err


def test_because_names_this_pair(run: Run) -> None:
    """1.85 mm, and no paragraph on splines."""
    told = run("fit", "rule", "cassette-body", "--given", '{"cassette": "c9", "body": "HG-11"}').out
    assert "1.85 mm longer" in told and "Splines must be" not in told


def test_a_whole_bike_leads_with_what_is_known(arrived: Story, run: Run) -> None:
    """What nobody looked at is one line; asked for, it is all there, each once."""
    story.know(
        arrived.tag,
        {"chain": "ch-9", "drive": "10", "headset_upper": "ZS44/28.6", "stem": "28.6", "bar": "31.8"},
    )
    told = run("fit", "bike", arrived.tag).out
    assert told.splitlines()[0].endswith("does not fit")
    assert "does not fit. 0.7 mm too wide outside" in told.splitlines()[1]
    assert told.count("to find out") == 1 and "facts of other parts are not known" in told
    whole = run("fit", "bike", arrived.tag, "--all").out
    asks = [line.strip() for line in whole.splitlines() if "to find out" in line]
    assert asks and len(asks) == len(set(asks))


def test_which_part_fits_a_bike(arrived: Story, run: Run) -> None:
    """The post for this tube; what is not known is named."""
    story.know(arrived.tag, {"seat_tube": 27.2})
    told = run("fit", "which", "seat post", "--bike", arrived.tag).out
    assert "fits: 27.2 mm" in told
    story.know(arrived.tag, {"seat_post": "27.2"})
    told = run("fit", "which", "seat post", "--bike", arrived.tag)
    assert "not known, and it decides as well" in told.out or told.code == 2


@pytest.mark.parametrize(
    "words",
    [
        ["fit", "rule", "seat-post", "--given", '{"post": 27.2, "tube": 27.2}'],
        ["fit", "find", "27.2 post in 27.2"],
    ],
)
def test_a_first_answer_loads_neither_records_nor_numbers_nor_other_tables(
    tmp_path: Path, words: list[str]
) -> None:
    """0.7 s of processor time were asked for; what costs it is not loaded."""
    look = (
        "import sys; from pinchbolt.cli import main; code = main(sys.argv[1:]); "
        "print([name for name in ('numpy', 'scipy', 'django.db.models', 'pinchbolt.reference.loader') if name in sys.modules]); "
        "sys.exit(code)"
    )
    env = outside(tmp_path, DJANGO_SETTINGS_MODULE="pinchbolt.serving.settings")
    done = subprocess.run(
        [sys.executable, "-c", look, *words], env=env, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


def test_a_gradient_that_is_a_share_is_asked_about(run: Run) -> None:
    """0.09 is hardly a hill of 0.09 %."""
    ran = run(
        "gears",
        "--rings",
        "50/34",
        "--sprockets",
        "11-34",
        "--tyre",
        "28-622",
        "--gradient",
        "0.09",
        "--mass",
        "85",
        "--power",
        "200",
    )
    assert ran.code == 2 and "Was 9 % meant?" in ran.err


def test_the_gears_of_a_hub(run: Run) -> None:
    """Three gears of 38 on 20 at 0.75, 1 and 1.333: 1.425, 1.9 and 2.533 by hand."""
    words = [
        "gears",
        "--rings",
        "38",
        "--sprockets",
        "20",
        "--tyre",
        "40-622",
        "--hub-ratios",
        "0.75/1/1.3333",
    ]
    told = run(*words, "--json").json
    assert [round(gear["ratio"], 3) for gear in told["now"]["gears"]] == [1.425, 1.9, 2.533]
    assert "hub  1" in run(*words).out
    assert run(*words[:-1], "0.75/0.75").code == 2


@pytest.mark.parametrize(
    ("words", "sentence"), [(["/nowhere/at/all.csv"], "no such file"), (["/"], "this is a folder")]
)
def test_a_file_that_is_none_is_said_for_what_it_is(
    arrived: Story, run: Run, words: list[str], sentence: str
) -> None:
    """Not a want of room."""
    assert sentence in run("catalogue", "import", *words, "--dry-run").err


def test_a_tyre_that_does_not_fit_is_exit_three_and_leads(run: Run) -> None:
    """No pressure; the misfit is the first line."""
    ran = run("tyre", "28-622", "--rim-inner", "25", "--hookless", "--allowed-hookless", "--mass", "85")
    assert ran.code == 3 and "does not fit" in ran.out.splitlines()[0]
    assert "Start from" not in ran.out and "No pressure: the tyre does not fit" in ran.err
