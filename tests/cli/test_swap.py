"""Swaps, facts and the bins from the command line."""

import json
from decimal import Decimal
from pathlib import Path

import pytest

from pinchbolt.records.models import BinPart
from tests import story
from tests.cli.conftest import Run
from tests.story import Story
from tests.workshop.parts.test_swap import GRAVEL, HAND, PARTS, ROAD
from tests.workshop.parts.test_take_in_parts import THEIRS


@pytest.fixture
def two(arrived: Story, tmp_path: Path, run: Run) -> Path:
    """A road and a gravel bike, and a file of parts that was taken in; gives the folder."""
    story.checked_in("gravel-1x")
    for tag, facts in (("PB-001", ROAD), ("PB-002", GRAVEL)):
        story.know(tag, facts)
    (tmp_path / "parts.csv").write_text(PARTS, encoding="utf-8")
    assert run("catalogue", "import", str(tmp_path / "parts.csv"), "--as", "ines").code == 0
    return tmp_path


def test_a_wheel_is_planned_into_another_bike(two: Path, run: Run) -> None:
    """32.20 by hand: a spacer of 2.50, and 33 minutes at 54.00 an hour."""
    words = ["swap", "--into", "PB-002", "--move", "rear wheel", "--out-of", "PB-001"]
    told = run(*words, "--json").json
    assert (told["proved"], told["plans"][0]["cost"], told["standing"]["verdict"]) == (
        True,
        "32.20",
        "does not fit",
    )
    plain = run(*words).out
    assert "1. 32.20 GBP (2.50 and 33 min): " in plain and "needed: 1.85 mm spacer behind" in plain
    assert "PB-001 is then without its rear wheel." in plain


def test_no_way_is_exit_three_with_the_rules_that_clash(two: Path, run: Run) -> None:
    """Sound input, no answer."""
    ran = run("swap", "--into", "PB-002", "--want", "sprocket_small == 9")
    assert ran.code == 3 and "Nothing in bins or catalogue reaches the goal" in ran.out


def test_a_swap_is_planned_from_a_file(two: Path, run: Run) -> None:
    """Without bikes on record; what is no JSON is refused."""
    file = two / "swap.json"
    file.write_text(json.dumps(HAND), encoding="utf-8")
    assert run("swap", "--file", str(file), "--json").json["plans"][0]["cost"] == "46.00"
    assert run("swap", "--file", str(file)).out.startswith("1 way; the first is the best there is.")
    file.write_text("{", encoding="utf-8")
    assert "is no JSON" in run("swap", "--file", str(file)).err


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--into", "PB-002"], "give one of the two"),
        (["--into", "PB-002", "--move", "bell", "--out-of", "PB-001"], "is not moved from bike to bike"),
        (["--into", "PB-002", "--want", "sprocket_big >"], "a condition on facts"),
        (["--into", "PB-077", "--want", "sprocket_big > 1"], "No bike has the tag"),
    ],
)
def test_a_swap_of_no_sense_is_refused_in_its_sentence(
    two: Path, run: Run, words: list[str], sentence: str
) -> None:
    """Exit 2, nothing printed."""
    ran = run("swap", *words)
    assert (ran.code, ran.out) == (2, "") and sentence in ran.err


def test_a_file_with_bad_lines_is_tried_refused_and_taken_in_part(
    arrived: Story, run: Run, tmp_path: Path
) -> None:
    """Columns laid by --map; a dry run names the lines and writes nothing; --keep-good takes the rest."""
    file = tmp_path / "theirs.csv"
    file.write_text(THEIRS, encoding="utf-8")
    laid = [
        "--map",
        "number=Art. no",
        "--map",
        "words=What",
        "--map",
        "kind=Sort",
        "--map",
        "price=RRP",
        "--map",
        "cassette=Type",
    ]
    dry = run("catalogue", "import", str(file), *laid, "--dry-run")
    assert dry.code == 2 and "line 3 (A2): price" in dry.out and "columns not used: Colour" in dry.out
    whole = run("catalogue", "import", str(file), *laid, "--as", "ines")
    assert whole.code == 2 and "2 of 3 lines can't be read (lines 3, 4), so nothing was taken in" in whole.err
    assert BinPart.objects.count() == 0
    good = run("catalogue", "import", str(file), *laid, "--keep-good", "--as", "ines", "--json")
    assert (good.code, good.json["new"], len(good.json["refused"])) == (0, 1, 2)
    assert "A1  cassette: wide cassette, 65.50, to order" in run("catalogue", "list").out


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--map", "price"], "ours=theirs is needed"),
        (["--map", "colour=Colour"], '"colour" is no column of ours'),
        ([], "No column gives number and kind and words and price"),
    ],
)
def test_columns_that_are_laid_wrong_are_refused(
    arrived: Story, run: Run, tmp_path: Path, words: list[str], sentence: str
) -> None:
    """With the columns there are."""
    file = tmp_path / "theirs.csv"
    file.write_text(THEIRS, encoding="utf-8")
    ran = run("catalogue", "import", str(file), *words, "--dry-run")
    assert (ran.code, ran.out) == (2, "") and sentence in ran.err


def test_a_file_that_is_not_there_or_not_utf8_is_said(arrived: Story, run: Run, tmp_path: Path) -> None:
    """One sentence each."""
    assert "no such file" in run("catalogue", "import", str(tmp_path / "none.csv"), "--dry-run").err
    (tmp_path / "odd.csv").write_bytes(b"\xff\xfe\x00")
    assert "is not in UTF-8" in run("catalogue", "import", str(tmp_path / "odd.csv"), "--dry-run").err


def test_the_list_says_front_or_rear_before_the_part(arrived: Story, run: Run) -> None:
    """As every other sentence names a part."""
    BinPart.objects.create(number="B1", kind="rotor", place="rear", words="six-bolt", price=Decimal("20.00"))
    assert "B1  rear rotor: six-bolt, 20.00, to order" in run("catalogue", "list").out


def test_an_empty_bin_says_how_to_fill_it(arrived: Story, run: Run) -> None:
    """Not a blank."""
    assert run("catalogue", "list").out.startswith("Nothing lies in the bins.")


def test_a_fact_is_written_on_the_build_sheet(arrived: Story, run: Run) -> None:
    """And taken off again; a slip is refused."""
    words = ["fit", "note", arrived.tag, "--as", "ines", "--facts"]
    assert run(*words, '{"seat_tube": 27.2}').out.strip() == f"{arrived.tag}, seat_tube: 27.2"
    assert story.known(arrived.tag)["seat_tube"] == 27.2
    assert run(*words, '{"seat_tube": null}', "--json").json["facts"] == {"seat_tube": None}
    ran = run(*words, '{"seat_tubes": 27.2}')
    assert ran.code == 2 and "such as seat_tube" in ran.err


def test_a_move_is_written_down(two: Path, run: Run) -> None:
    """What went, what came back."""
    words = ["move", "rear wheel", "--out-of", "PB-001", "--into", "PB-002", "--exchange", "--as", "ines"]
    out = run(*words).out
    assert out.startswith("Into PB-002: ") and "Back to PB-001: " in out and "cassette" in out
    ran = run("move", "bell", "--out-of", "PB-001", "--into", "PB-002", "--as", "ines")
    assert ran.code == 2 and "is not moved from bike to bike" in ran.err
