"""What commands answer."""

import zlib
from pathlib import Path

import pytest

from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.stays.note_finding import findings_of
from tests.cli.conftest import Run
from tests.story import Story


@pytest.mark.django_db
def test_a_carbon_bar_under_a_click_wrench_six_percent_out(run: Run) -> None:
    """Source: worked by hand: 4 x 1.06 = 4.24, 5 x 0.94 = 4.70 (guarded acceptance, JCGM 106:2012, 8.3.2)."""
    ran = run(
        "torque", "set", "--floor", "4", "--cap", "5", "--tool", "2", "14", "--deviation", "6", "--json"
    )
    told = ran.json
    assert ran.code == 0
    assert (told["settable"], told["lowest"], told["highest"], told["set"]) == (True, 4.24, 4.7, 4.5)
    assert told["because"].endswith("gives the bolt 4.25 to 4.79 N·m; the joint accepts 4 to 5 N·m.")


def test_a_joint_of_the_table_with_its_markings(arrived: Story, run: Run) -> None:
    """The lower marking is the cap, and the marking is said to win."""
    words = ["torque", "joint", "stem-face-4", "--marking", "stem=6", "--marking", "handlebar=5"]
    told = run(*words, "--json").json
    assert (told["window"]["floor"], told["window"]["cap"]) == (4.0, 5.0)
    assert told["setting"]["applies"]["low"] >= 4.0 and told["setting"]["applies"]["high"] <= 5.0
    plain = run(*words).out
    assert (
        "The joint accepts 4 to 5 N·m." in plain
        and "The marking on the part and its maker's instructions win." in plain
    )


@pytest.mark.django_db
def test_a_nine_speed_cassette_on_a_longer_body_needs_a_spacer(run: Run) -> None:
    """Source: the rule's own worked case, 1.85 mm behind (common practice, no source)."""
    ran = run("fit", "rule", "cassette-body", "--given", '{"cassette": "c9", "body": "hg-11"}', "--json")
    assert (
        ran.json["verdict"] == "fits with" and "1.85 mm spacer" in ran.json["with"][0] and ran.json["because"]
    )


def test_a_bike_whose_facts_are_missing_can_not_be_told(arrived: Story, run: Run) -> None:
    """And the command says what to find out."""
    told = run("fit", "bike", arrived.tag, "--json").json
    assert told["verdict"] in ("cannot tell", "does not fit") and told["cannot_tell"]
    assert "to find out:" in run("fit", "bike", arrived.tag).out


def test_from_the_door_to_a_finding(arrived: Story, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Check-in, walk-round, one reading, its finding: by commands alone."""
    monkeypatch.setenv("PINCHBOLT_AS", "Tobias")
    job = run(
        "check-in", "--template", "hardtail", "--owner", "Nell Abernook", "--says", "squeals", "--json"
    ).json["job"]
    places = run("walk-round", str(job), "--json").json
    due = next(one for place in places for one in place["readings"] if one["part_kind"] == "rotor")
    ran = run("reading", str(job), str(due["part"]), due["limit"], "--value", "1.45", "--json")
    assert (
        ran.json["finding"]["verdict"] == "before it leaves" and ran.json["finding"]["by"] == "Tobias Quill"
    )
    assert run("findings", str(job)).out.startswith("before it leaves: rotor")
    assert "  because Limit 1.5 mm" in run("findings", str(job), "--why").out


def test_the_same_mark_again_opens_no_second_job(arrived: Story, run: Run) -> None:
    """A script may be run again after a cut."""
    words = [
        "check-in",
        "--template",
        "track",
        "--owner",
        "A",
        "--as",
        "ines",
        "--key",
        "script-0001",
        "--json",
    ]
    assert run(*words).json["job"] == run(*words).json["job"]


def test_findings_are_the_use_cases_own(asked_for: Story, run: Run) -> None:
    """Letter for letter."""
    assert run("findings", str(asked_for.job), "--json").json == as_json(findings_of(asked_for.record))


def test_a_sheet_is_written_once_and_never_over_another_file(
    asked_for: Story, run: Run, tmp_path: Path
) -> None:
    """The file is a PDF; a second go is refused and leaves it as it was."""
    file = tmp_path / "estimate.pdf"
    told = run("sheet", "estimate", str(asked_for.job), "-o", str(file), "--json").json
    before = zlib.crc32(file.read_bytes())
    assert file.read_bytes().startswith(b"%PDF-") and told["bytes"] == file.stat().st_size
    again = run("sheet", "estimate", str(asked_for.job), "-o", str(file))
    assert again.code == 2 and "is there already: nothing is overwritten" in again.err
    assert zlib.crc32(file.read_bytes()) == before


def test_a_hang_tag_is_a_sheet_of_a_bike(asked_for: Story, run: Run, tmp_path: Path) -> None:
    """By its tag, with the address that tablets open."""
    file = tmp_path / "tag.pdf"
    assert (
        run("sheet", "hang-tag", asked_for.tag, "-o", str(file), "--address", "http://10.0.0.5:8010").code
        == 0
    )
    assert file.read_bytes().startswith(b"%PDF-")


@pytest.mark.django_db
def test_the_demo_command_says_where_it_is(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """What it loads has tests of its own; here it only must be asked, and answer with a folder beside the workshop's own."""
    from pinchbolt.serving import making_demo

    monkeypatch.setattr(making_demo, "make_the_demo", lambda: 12)
    told = run("demo", "--json").json
    assert told["bikes"] == 12 and told["folder"].endswith("-demo")


@pytest.mark.django_db
def test_a_window_that_no_setting_keeps_is_answered_with_no(run: Run) -> None:
    """A program asks whether it can be set and reads why not; the exit code says that no answer is safe."""
    ran = run(*"torque set --floor 4 --cap 4.2 --tool 2 14 --deviation 6 --json".split())
    assert ran.code == 3
    assert ran.json["settable"] is False
    assert "it takes a tool that reaches this range and is 2.4 % or better" in ran.json["because"].lower()
    assert ran.err.strip() == ran.json["because"]
