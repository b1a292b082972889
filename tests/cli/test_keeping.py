"""Everything out of one home folder and into another; a list from elsewhere, by command."""

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.cli.conftest import Run, run_outside

NEW = "four quite other words"
LIST = "Name;Mobile;Bike\nAda Fenwick;07700 900118;gravel bike\n;;road bike\n"


@pytest.fixture
def passphrase(tmp_path: Path) -> str:
    """A file with a passphrase in it."""
    file = tmp_path / "words"
    file.write_text(f"{NEW}\n", encoding="utf-8")
    return str(file)


def test_everything_goes_into_another_home_folder(home: Path, tmp_path: Path, passphrase: str) -> None:
    """Out, tried, in, and out again: the same files; a second time is refused, and so is a folder that is no export."""
    first, second, new = tmp_path / "first", tmp_path / "second.zip", tmp_path / "new-home"
    out = run_outside(home, "export", str(first), "--json")
    assert out.code == 0 and out.json["rows"] > 100, out.err
    nobody = run_outside(new, "import", str(first), "--passphrase-file", passphrase)
    assert nobody.code == 2 and "nobody in it owns the workshop" in nobody.err
    people = first / "people.csv"
    people.write_bytes(people.read_bytes().replace(b"mechanic", b"owner of the workshop", 1))
    tried = run_outside(new, "import", str(first), "--try")
    assert tried.code == 2 and "people.csv is not as it was written" in tried.err
    assert (
        run_outside(new, "import", str(first), "--try", "--changed", "--json").json["rows"]
        == out.json["rows"]
    )
    done = run_outside(new, "import", str(first), "--changed", "--passphrase-file", passphrase, "--json")
    assert done.code == 0 and done.json["rows"] == out.json["rows"], done.err
    assert run_outside(new, "export", str(second), "--json").json["rows"] == out.json["rows"]
    again = run_outside(new, "import", str(second), "--passphrase-file", passphrase)
    assert again.code == 2 and "There is a workshop here already" in again.err
    assert run_outside(new, "import", str(home), "--try").code == 2
    assert run_outside(home, "export", str(first)).code == 2


def test_going_out_waits_for_nobody_and_nobody_waits_for_it(home: Path, tmp_path: Path) -> None:
    """Somebody writes all the while: everything goes out as it stood before, and what they wrote is kept."""
    mine = tmp_path / "home"
    shutil.copytree(home, mine, ignore=shutil.ignore_patterns("serving.lock", "static", "tries"))
    with closing(sqlite3.connect(mine / "bench.sqlite3")) as other:
        if other.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            pytest.skip("this SQLite library is used without its write-ahead log")
        other.execute("BEGIN IMMEDIATE")
        other.execute("UPDATE records_owner SET note = 'written meanwhile'")
        out = run_outside(mine, "export", str(tmp_path / "out"), "--json")
        assert out.code == 0, out.err
        other.commit()
    assert "written meanwhile" not in (tmp_path / "out" / "owners.csv").read_text(encoding="utf-8")


@pytest.mark.django_db
def test_a_list_is_read_taken_and_taken_back(run: Run, tmp_path: Path) -> None:
    """Read says what would come; take takes it whole; back takes it back."""
    from pinchbolt.records.models import Owner, Person
    from tests import story

    story.open_shop()
    Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", story.PASSPHRASE)
    file = tmp_path / "owners.csv"
    file.write_text(LIST, encoding="utf-8")
    read = run("list", "read", str(file))
    assert (
        read.code == 0 and "Mobile: owner: phone" in read.out and "line 3: no name and no phone" in read.out
    )
    stopped = run("list", "take", str(file), "--as", "marnie")
    assert stopped.code == 2 and "1 of 2 rows stop it" in stopped.err
    done = run("list", "take", str(file), "--as", "marnie", "--without-stopped", "--json")
    assert (done.json["owners"], done.json["bikes"]) == (1, 1)
    map_file = tmp_path / "map.toml"
    map_file.write_text('rest_kind = "city"\n[columns]\nName = "name"\nMobile = "phone"\n', encoding="utf-8")
    assert run("list", "read", str(file), "--map", str(map_file), "--json").json["would"]["bikes"] == 0
    back = run("list", "back", str(done.json["event"]), "--as", "marnie", "--json")
    assert json.dumps(back.json) == '{"owners": 1, "bikes": 1, "stays": []}'
    assert not Owner.objects.filter(name="Ada Fenwick").exists()
