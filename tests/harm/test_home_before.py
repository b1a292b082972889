"""A home folder of the release before opens with nothing lost: every row, every fact, every marking."""

import json
import lzma
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
# The invented workshop as the release before made it, 12 bikes with a year of visits; a dump, so that the text packs well.
DUMP = Path(__file__).with_name("home-of-the-release-before.sql.xz")
ENDS = ("front", "rear")
# Rows that come besides: four tubeless bikes whose sheets had a valve nut and no valve, a longtail whose words tell of two
# child seats, with a torque that was read off the block of one, and a belt bike whose words tell of its hub gear.
BESIDES = {"records_part": 10, "records_fitting": 10}
# Tables that no home of the release before had.
NEW_TABLES = {
    f"records_{name}"
    for name in (
        "partdescription", "cornercheck", "notseen", "lookanswer", "toldcomplaint", "complainttest", "complaintclosed",
        "peg", "display", "bill", "billbuyer", "paper", "senttext", "taxrate", "ownerwords", "consent", "lookup", "erasing",
        "apitoken", "supplierpart",
        "earliertag", "photo", "supplier", "wantedpart", "wantedmove", "binmove", "jobhere", "bikecallback",
        "wheelsaid", "wheelreading", "nippleturn", "spokesheard", "brokenspoke", "metertable", "metercheck",
        "warranty", "claim", "claimmove", "proofphoto",
    )
}  # fmt: skip


@dataclass(frozen=True)
class Home:
    """The old home, opened by today's program, with what it held before and what was told of it."""

    folder: Path
    before: dict[str, int]
    facts: dict[str, dict[str, Any]]
    told: dict[str, Any]

    def connect(self) -> sqlite3.Connection:
        """Its database."""
        return sqlite3.connect(self.folder / "bench.sqlite3")


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """The old home, opened once for all that is asked of it."""
    folder = tmp_path_factory.mktemp("home")
    with sqlite3.connect(folder / "bench.sqlite3") as made:
        made.executescript(lzma.decompress(DUMP.read_bytes()).decode())
        facts = {tag: json.loads(told) for tag, told in made.execute("SELECT tag, facts FROM records_bike")}
    return Home(folder, rows(folder), facts, opened(folder))


def opened(home: Path, *words: str) -> dict[str, Any]:
    """What today's program finds in it."""
    surroundings = {
        **{name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"},
        "PINCHBOLT_HOME": str(home),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    asked = [sys.executable, "-m", "tests.harm.open_home", *words]
    told: dict[str, Any] = json.loads(subprocess.check_output(asked, cwd=ROOT, env=surroundings, text=True))
    return told


def rows(home: Path) -> dict[str, int]:
    """How many rows each of our tables has."""
    with sqlite3.connect(home / "bench.sqlite3") as there:
        named = there.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE 'records_%'")
        return {
            name: there.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for (name,) in named.fetchall()
        }


def flat(parts: list[tuple[str, str, dict[str, Any]]]) -> Iterator[tuple[str, Any]]:
    """Facts of parts by the names that the fit rules use, worked out by hand and not by the program."""
    renamed = {
        ("fork", "frame_axle"): "frame_front", ("frame", "frame_axle"): "frame_rear", ("wheel", "hub"): "{end}_hub",
        ("brake fluid", "fluid"): "brake_fluid_{end}", ("cassette", "sprockets_behind"): "speeds_cassette",
        ("freewheel", "sprockets_behind"): "speeds_cassette", ("sprocket", "sprockets_behind"): "speeds_cassette",
    }  # fmt: skip
    at_the_end_of = {"fork": "front", "frame": "rear"}
    of_the_ends = ("mount", "native", "max_rotor")
    for kind, place, facts in parts:
        for fact, (value, _) in facts.items():
            end = place or (at_the_end_of.get(kind, "") if fact in of_the_ends else "")
            unended = kind in ("freehub", "cassette") or not end or fact == "lever_clamp"
            yield renamed.get((kind, fact), fact if unended else f"{fact}_{{end}}").format(end=end), value


def expected(name: str) -> tuple[str, ...]:
    """The names under which a flat fact may be found again: its own, or that of each end."""
    both = {"rotor_mount": "hub_rotor_mount", "fluid": "brake_fluid"}.get(name, name)
    return (name, *(f"{both}_{end}" for end in ENDS))


def test_no_row_and_no_fact_is_lost(home: Home) -> None:
    """Row by row as many as before; every fact of every bike is with a part, under a name that gives it back."""
    before, told, after = home.before, home.told, rows(home.folder)
    assert {name: after[name] - count for name, count in before.items() if after[name] != count} == BESIDES
    assert set(after) - set(before) == NEW_TABLES
    for tag, known in home.facts.items():
        assert told[tag]["facts"] == known
        now: Mapping[str, Any] = dict(flat([tuple(part) for part in told[tag]["parts"]]))  # type: ignore[misc]
        for name, value in known.items():
            found = [now[one] for one in expected(name) if one in now]
            assert found and set(found) == {value}, f"{tag}: {name} {value}"
    with home.connect() as there:
        assert there.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert there.execute("PRAGMA foreign_key_check").fetchall() == []


def test_a_marking_governs_the_part_it_was_read_on(home: Home) -> None:
    """Stem 6, bar 5 N·m: 5 at most, as before; the 10 N·m of the child seat's block are the seat's own."""
    assert home.told["MY-05"]["windows"]["stem-face-4"] == [
        5.0,
        ["stem marked 6 N·m max", "handlebar marked 5 N·m max"],
    ]
    with home.connect() as there:
        marked = there.execute(
            "SELECT m.part, p.kind FROM records_marking m LEFT JOIN records_part p ON p.id = m.on_part_id ORDER BY 1"
        ).fetchall()
        assert marked == [("block", "child seat"), ("handlebar", "handlebar"), ("stem", "stem")]
        with pytest.raises(sqlite3.IntegrityError, match="not changed or removed"):
            there.execute("UPDATE records_marking SET greatest = 60")


def test_what_came_from_a_template_says_so_and_what_was_typed_does_not(home: Home) -> None:
    """The rotor behind is 140 mm on record where the template has 160; in front it is the template's; none was read by a hand."""
    parts = {(kind, place): facts for kind, place, facts in home.told["MY-01"]["parts"]}
    assert parts["rotor", "front"]["rotor"] == [160, "template"]
    assert parts["rotor", "rear"]["rotor"] == [140, "records"]
    assert parts["handlebar", ""]["material"] == ["carbon", "records"]
    assert parts["cassette", ""]["sprockets_behind"] == [12, "template"]
    assert {source for facts in parts.values() for _, source in facts.values()} == {"template", "records"}


def test_going_back_and_forth_again_ends_the_same(home: Home) -> None:
    """The old columns were not touched, so the way back is free and the second way forth finds the same."""
    counted = rows(home.folder)
    assert opened(home.folder, "twice") == home.told
    assert rows(home.folder) == counted
    with home.connect() as there, pytest.raises(sqlite3.IntegrityError, match="not changed or removed"):
        there.execute("UPDATE records_marking SET greatest = 60")
