"""What the command line says to bad input: one sentence on stderr, its exit code, never a traceback."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import COMMAND, Run, outside, run_outside
from tests.story import Story

SET = ["torque", "set", "--cap", "5", "--tool", "2", "14", "--deviation", "6"]


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        ([*SET, "--floor", "x"], 2, "--floor: a number is needed. See: pinchbolt torque --help"),
        (SET, 2, "Missing option '--floor'. See: pinchbolt torque --help"),
        (["mend", "everything"], 2, "No such command 'mend'. See: pinchbolt --help"),
        (
            ["people"],
            2,
            "No such command 'people'. That is done on the screens: pinchbolt serve. See: pinchbolt --help",
        ),
        (["estimate"], 2, "No such command 'estimate'. That is done on the screens: pinchbolt serve"),
        (["job"], 2, "That is done on the screens: pinchbolt serve"),
        (["spokes"], 2, "No such command 'spokes'. Commands that speak of it: wheel. See: pinchbolt --help"),
        (
            ["rides", "impotr"],
            2,
            "No such command 'impotr'. Did you mean 'import'? See: pinchbolt rides --help",
        ),
        (
            ["rides", "said", "--bike", "X", "--from", "1.5.2026", "--to", "2026-05-02"],
            2,
            "--from: 1.5.2026 is no day: year, month and day are needed, such as 2026-05-01. See: pinchbolt rides --help",
        ),
        (
            [*SET, "--floor", "6"],
            3,
            "One part asks for at least 6 N·m and another allows at most 5 N·m, so no torque suits both.",
        ),
        (
            [*SET, "--floor", "-1"],
            2,
            "The least torque is -1 N·m: 0.1 to 400 N·m is possible. Measure and type it again.",
        ),
        (
            [*SET, "--floor", "nan"],
            2,
            "The least torque is nan N·m: 0.1 to 400 N·m is possible. Measure and type it again.",
        ),
        (
            [*SET, "--floor", "4.9"],
            3,
            "No safe setting at both ends: no tool here is sure to stay inside 4.9 to 5 N·m",
        ),
        (
            ["fit", "rule", "cassette-body", "--given", "{"],
            2,
            'What is given is "{": a JSON object of names and values',
        ),
        (
            ["fit", "rule", "cassette-body", "--given", '{"colour": 1}'],
            2,
            'the rule "cassette-body" does not ask for "colour"',
        ),
        (["fit", "rule", "no-such"], 2, "no-such"),
        (["serve", "--port", "99999"], 2, "--port: at most 65535 is possible. See: pinchbolt --help"),
    ],
)
@pytest.mark.django_db
def test_bad_input_ends_in_one_sentence_and_its_code(
    run: Run, words: list[str], code: int, sentence: str
) -> None:
    """2 for a value to fix, 3 where sound input has no safe answer."""
    ran = run(*words)
    assert (ran.code, ran.out) == (code, "")
    assert sentence in ran.err and "Traceback" not in ran.err and "\n" not in ran.err


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (["findings", "99"], 2, "There is no job 99. Choose one from the shop day."),
        (["findings", "one"], 2, "job: a whole number is needed. See: pinchbolt --help"),
        (["walk-round", "99"], 2, "There is no job 99. Choose one from the shop day."),
        (
            ["fit", "bike", "XX-1"],
            2,
            'No bike has the tag "XX-1". Look at the hang tag, or find the bike by its owner.',
        ),
        (
            ["check-in", "--tag", "PB-001"],
            2,
            "Say who you are: add --as NAME (ines, tobias), or set PINCHBOLT_AS.",
        ),
        (
            ["check-in", "--tag", "PB-001", "--as", "eve"],
            2,
            'Nobody here signs in as "eve": ines, tobias. Name one of them.',
        ),
        (["check-in", "--tag", "PB-001", "--as", "ines"], 2, "PB-001 is already here (on the rack)"),
        (
            ["check-in", "--template", "no", "--owner", "A", "--as", "ines"],
            2,
            'There is no kind "no"',
        ),
        (
            ["check-in", "--limit", "much", "--as", "ines"],
            2,
            'The limit without a call is "much": a sum such as 30 or 30.50',
        ),
        (
            ["check-in", "--tag", "PB-001", "--as", "ines", "--key", "short"],
            2,
            "The request mark has 5 characters: 8 to 64",
        ),
        (
            ["torque", "joint", "stem-face-4", "--marking", "stem"],
            2,
            'The marking is "stem": a part and its N·m are needed',
        ),
        (
            ["torque", "joint", "stem-face-4", "--marking", "saddle=5"],
            2,
            '"saddle" is not clamped by stem face plate',
        ),
        (["torque", "joint", "no-such"], 2, 'The joint "no-such" is not in the table.'),
        (
            ["sheet", "receipt", "1", "-o", "x.pdf"],
            2,
            'There is no sheet "receipt": estimate, job-card, torque-sheet, handover, not-safe',
        ),
        (
            ["sheet", "bill", "1", "-o", "x.pdf"],
            2,
            "PB-001 has no bill: it is made when the bike is handed over and work was done.",
        ),
        (["sheet", "estimate", "one", "-o", "x.pdf"], 2, 'The job is "one": a number is needed.'),
        (["demo"], 2, "This home folder holds a workshop already"),
    ],
)
def test_a_workshop_refuses_in_its_own_words(
    arrived: Story,
    run: Run,
    words: list[str],
    code: int,
    sentence: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The use case's sentence, whoever asks."""
    monkeypatch.chdir(tmp_path)
    ran = run(*words)
    assert (ran.code, ran.out) == (code, "")
    assert sentence in ran.err and "Traceback" not in ran.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.django_db
def test_with_json_a_refusal_is_the_envelope(run: Run) -> None:
    """On stdout for programs, and the sentence on stderr for people."""
    ran = run(*SET, "--floor", "-1", "--json")
    sentence = "The least torque is -1 N·m: 0.1 to 400 N·m is possible. Measure and type it again."
    assert ran.json == {"error": sentence, "errors": {"floor": sentence}, "status": 422}
    assert ran.err == sentence and ran.code == 2


@pytest.mark.django_db
def test_two_parts_that_shut_each_other_out_name_both_and_no_setting(run: Run) -> None:
    """A least above a greatest is no slip of the pen: both sides are named, and nothing is set."""
    ran = run(*SET, "--floor", "6", "--json")
    assert ran.code == 3 and ran.json["status"] == 409 and "set" not in ran.json
    assert "6 N·m" in ran.json["errors"]["floor"] and "5 N·m" in ran.json["errors"]["cap"]


def test_markings_that_disagree_have_no_safe_answer(arrived: Story, run: Run) -> None:
    """A part marked under the least of the joint: exit 3, and no setting is printed."""
    ran = run("torque", "joint", "stem-face-4", "--marking", "handlebar=3", "--json")
    assert ran.code == 3 and ran.json["status"] == 409 and "set" not in ran.json


def test_an_empty_home_folder_says_what_to_do(tmp_path: Path) -> None:
    """Nothing is made in silence."""
    ran = run_outside(tmp_path, "findings", "1")
    assert ran.code == 2 and "Make it ready with: pinchbolt serve" in ran.err


def test_a_home_folder_that_can_not_be_made_is_said(tmp_path: Path) -> None:
    """A file where the folder should be: a sentence, no traceback."""
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    ran = run_outside(tmp_path / "file" / "home", "findings", "1")
    assert ran.code == 2 and "Traceback" not in ran.err and "then try again" in ran.err


def test_help_names_every_command_and_loads_no_engine() -> None:
    """So that it is there at once."""
    look = "import sys; from pinchbolt.cli import main; main(['--help']); print([m for m in sys.modules if m in ('django', 'numpy', 'scipy')])"
    told = subprocess.run(
        [sys.executable, "-c", look], env=outside(Path("unused")), capture_output=True, text=True, check=True
    )
    assert told.stdout.rstrip().endswith("[]")
    for command in (
        "serve",
        "demo",
        "check-in",
        "walk-round",
        "reading",
        "findings",
        "sheet",
        "doctor",
        "backup",
        "torque",
        "fit",
    ):
        assert f"  {command} " in told.stdout


def test_a_program_reads_only_json_from_stdout(home: Path) -> None:
    """Warnings of the machine go elsewhere."""
    told = subprocess.run(
        [*COMMAND, "findings", "1", "--json"], env=outside(home), capture_output=True, text=True, check=True
    )
    assert json.loads(told.stdout)[0]["verdict"] == "unsafe to ride"
