"""pinchbolt rides: one file read, many taken in."""

import zipfile
from pathlib import Path

import pytest

from pinchbolt.records.models import Bike, Owner
from tests.cli.conftest import Run
from tests.engines.rides.fit_writer import fit_file, ride_messages
from tests.engines.rides.reference import SAMPLES
from tests.story import Story

START = 1_772_438_400  # 2026-03-02T08:00:00Z


@pytest.mark.django_db
def test_one_file_is_told_under_the_names_of_the_door(run: Run) -> None:
    """Figures of the reference parser for this file: 668.19 m, 113.15 s, timer 93.7 s, start 14:52:40."""
    ran = run("rides", "read", str(SAMPLES / "short-ride.fit"), "--json")
    assert ran.code == 0
    told = {
        name: ran.json[name] for name in "start distance_m moving_s elapsed_s ascent_m indoor damaged".split()
    }
    assert told == {
        "start": "2020-06-01T14:52:40Z",
        "distance_m": 668.19,
        "moving_s": 93.7,
        "elapsed_s": 113.15,
        "ascent_m": 1.0,
        "indoor": False,
        "damaged": [],
    }
    assert ran.json["device"].startswith("maker ")
    assert "0.67 km (device), 2 of 2 min" in run("rides", "read", str(SAMPLES / "short-ride.fit")).out


@pytest.mark.django_db
def test_a_cut_file_says_what_was_damaged(run: Run, tmp_path: Path) -> None:
    """The damage is in the JSON, on a line of its own in words, and the exit is that of a thing done."""
    cut = tmp_path / "cut.fit"
    cut.write_bytes(fit_file(ride_messages(START, [8.0] * 600))[:5000])
    ran = run("rides", "read", str(cut), "--json")
    assert ran.code == 0
    assert any(words.startswith("cut short") for words in ran.json["damaged"])
    assert "damaged: cut short" in run("rides", "read", str(cut)).out


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("a.fit", b"", "a.fit is empty: nothing can be read. Export it again."),
        (
            "a.png",
            b"\x89PNG....",
            "a.png is no ride file: FIT, GPX, TCX and CSV can be read. Choose another file.",
        ),
        (
            "b.csv",
            b"a,b\n1,2\n",
            "b.csv has the columns a, b: start and distance_km (or distance_m) are needed.",
        ),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_sentence(
    run: Run, tmp_path: Path, name: str, data: bytes, sentence: str
) -> None:
    """Exit 2 and one sentence, as JSON as well."""
    (tmp_path / name).write_bytes(data)
    ran = run("rides", "read", str(tmp_path / name), "--json")
    assert ran.code == 2
    assert ran.err.startswith(sentence)
    assert ran.json["error"] == ran.err


@pytest.mark.django_db
def test_what_is_not_there_or_not_one_file_is_refused(run: Run, tmp_path: Path) -> None:
    """A wrong name, a folder, an equals sign that is missing."""
    assert (
        "is not there: a ride file, a folder or a zip is needed"
        in run("rides", "read", str(tmp_path / "no.fit")).err
    )
    assert "is a folder: one file is read here" in run("rides", "read", str(tmp_path)).err
    (tmp_path / "a.csv").write_bytes(b"Tag,km\n2026-05-01,12\n")
    assert "ours=theirs is needed" in run("rides", "read", str(tmp_path / "a.csv"), "--map", "start").err
    mapped = ("--map", "start=Tag", "--map", "distance_km=km", "--json")
    assert run("rides", "read", str(tmp_path / "a.csv"), *mapped).json["distance_m"] == 12000.0


def test_a_zip_comes_in_and_comes_in_again(arrived: Story, run: Run, tmp_path: Path) -> None:
    """Files by name, doubles and all; the second time nothing is new, so what is kept is not said again."""
    export = tmp_path / "export.zip"
    with zipfile.ZipFile(export, "w") as archive:
        archive.writestr("a.fit", fit_file(ride_messages(START, [8.0] * 600)))
        archive.writestr("b.fit", fit_file(ride_messages(START + 5, [8.1] * 600, serial=9)))
        archive.writestr("c.gpx", b"<gpx></gpx>")
    words = ("rides", "import", str(export), "--bike", arrived.tag, "--as", "Ines")
    ran = run(*words, "--json")
    assert (ran.code, ran.json["came_in"], ran.json["km"]) == (0, 1, 4.8)
    assert [one["name"] for one in ran.json["doubled"]] == ["export.zip/b.fit"]
    assert [one["name"] for one in ran.json["refused"]] == ["export.zip/c.gpx"]
    again = run(*words).out
    assert "3 files: 0 rides came in" in again
    assert "2 files were taken in before" in again
    assert "We do not keep where the ride went" not in again


def test_nothing_comes_in_for_a_bike_that_is_not_there(arrived: Story, run: Run, tmp_path: Path) -> None:
    """An unknown tag and an empty folder are refused, exit 2."""
    (tmp_path / "a.fit").write_bytes(fit_file(ride_messages(START, [8.0] * 600)))
    ran = run("rides", "import", str(tmp_path), "--bike", "NO-00", "--as", "Ines")
    assert (ran.code, ran.err) == (
        2,
        'No bike has the tag "NO-00". Look at the hang tag, or find the bike by its owner.',
    )
    (tmp_path / "a.fit").unlink()
    ran = run("rides", "import", str(tmp_path), "--bike", arrived.tag, "--as", "Ines")
    assert ran.err.startswith("No ride file was given: FIT, GPX, TCX and CSV can be read")


def test_an_import_of_which_nothing_could_be_read_is_no_success(
    arrived: Story, run: Run, tmp_path: Path
) -> None:
    """One file that is none: exit 2, so that a script sees it; with a good one beside it the import is done."""
    (tmp_path / "a.fit").write_bytes(b"no ride at all")
    words = ("rides", "import", str(tmp_path), "--bike", arrived.tag, "--as", "Ines")
    assert run(*words).code == 2
    (tmp_path / "b.fit").write_bytes(fit_file(ride_messages(START, [8.0] * 600)))
    assert run(*words).code == 0


def test_rides_are_told_placed_and_put_beside_what_was_said(arrived: Story, run: Run, tmp_path: Path) -> None:
    """By commands alone: taken in, listed, placed for none, and the owner's word beside them."""
    for number in range(3):
        data = fit_file(ride_messages(START + 86400 * number, [8.0] * 1000))
        (tmp_path / f"{number}.fit").write_bytes(data)
    run("rides", "import", str(tmp_path), "--bike", arrived.tag, "--as", "Ines")
    told = run("rides", "of", arrived.tag, "--json").json
    assert (told["rides"], told["km"]) == (3, 24.0)
    days = ("--from", "2026-03-01", "--to", "2026-03-04")
    said = run("rides", "said", "--bike", arrived.tag, *days, "--km", "100", "--as", "Ines", "--json").json
    assert (
        "100 km were said (owner's word), ride files hold 24 km for all of its 3 days; they do not agree"
        in run("rides", "of", arrived.tag).out
    )
    right = ("--km", "24", "--corrects", str(said["distance"]))
    assert run("rides", "said", "--bike", arrived.tag, *days, *right, "--as", "Ines").code == 0
    assert "they agree" in run("rides", "of", arrived.tag).out
    ride = str(told["newest"][0]["id"])
    assert "1 rides placed: they count for none" in run("rides", "place", ride, "--as", "Ines").out
    assert run("rides", "of", arrived.tag, "--json").json["km"] == 16.0
    assert run("rides", "place", "999999", "--as", "Ines").code == 2
    twice = run(
        "rides", "said", "--bike", arrived.tag, *days, "--km", "1", "--km-a-week", "2", "--as", "Ines"
    )
    assert twice.err.startswith("A distance is so much in all, or so much a week: give one of both.")


def test_rides_of_another_person_are_moved_and_rides_are_taken_back_by_command(
    arrived: Story, run: Run, tmp_path: Path
) -> None:
    """Dropped on the wrong bike: the right one is told where they are, moves them, and a slip is taken back whole."""
    owner = Owner.objects.create(name="Ada Stone")
    Bike.objects.create(tag="ZZ-98", owner=owner, kind="road", words="")
    (tmp_path / "a.fit").write_bytes(fit_file(ride_messages(START, [8.0] * 1000)))
    (tmp_path / "b.fit").write_bytes(fit_file(ride_messages(START + 200, [8.0] * 500, serial=9)))
    words = ("rides", "import", str(tmp_path), "--as", "Ines", "--bike")
    first = run(*words, arrived.tag).out
    assert "asked: b.fit: 4.0 km on 02 Mar 2026" in first and "1 rides wait for an answer" in first
    assert "one ride, told twice? 1 rides, 4 km" in run("rides", "of", arrived.tag).out
    there = run(*words, "ZZ-98").out
    assert f"here already for {arrived.record.bike.owner.name} on {arrived.tag}: 2 rides, 12.0 km" in there
    ride = str(run("rides", "of", arrived.tag, "--json").json["newest"][0]["id"])
    assert (
        "1 ride moved to the owner of ZZ-98"
        in run("rides", "move", ride, "--bike", "ZZ-98", "--as", "Ines").out
    )
    assert run("rides", "of", "ZZ-98", "--json").json["km"] == 8.0
    assert run(*words, "ZZ-98", "--claim", "--json").json["elsewhere"] == []
    assert "2 rides taken back" in run("rides", "back", ride, "--whole-import", "--as", "Ines").out
    assert run("rides", "of", "ZZ-98", "--json").json["km"] == 0.0
    assert run(*words, "ZZ-98", "--json").json["km"] == 8.0


def test_one_parts_use_is_told_over_time(arrived: Story, run: Run) -> None:
    """From its fitting to today, without a kilometre while nobody has told any."""
    part = arrived.record.bike.fittings.get(part__kind="chain").part_id
    told = run("rides", "of", arrived.tag, "--part", str(part), "--json").json
    assert {one["km"] for one in told["points"]} == {0.0}
    assert "0 km give or take 0" in run("rides", "of", arrived.tag, "--part", str(part)).out
    assert run("rides", "of", arrived.tag, "--part", "999999").code == 2


def test_who_watches_sees_how_far_it_is(
    arrived: Story, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a terminal a bar on stderr, of all the files that lie there; in a pipe nothing but the answer."""
    for number in range(4):
        data = fit_file(ride_messages(START + 86400 * number, [8.0] * 60))
        (tmp_path / f"{number}.fit").write_bytes(data)
    words = ("rides", "import", str(tmp_path), "--bike", arrived.tag, "--as", "Ines")
    assert run(*words).err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    told = run(*words).err
    assert f"[{'=' * 20}{' ' * 20}] 2 of 4 files read" in told
    assert told.endswith(f"[{'=' * 40}] 4 of 4 files read")
