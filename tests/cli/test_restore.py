"""Going back to a copy: what is lost is said first, everything comes back, and what was there is set aside."""

import json
import shutil
import sqlite3
from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest

from tests.cli.conftest import run_outside

OWN = '[[limit]]\nid = "bottom-bracket-play"\nnote = "Ours."\n'


_ASIDE = shutil.ignore_patterns("serving.lock", "static", "tries")


@pytest.fixture
def shop(home: Path, tmp_path: Path) -> Path:
    """A home folder of its own with a table of the workshop's own."""
    return laid(home, tmp_path / "home")


def laid(home: Path, mine: Path) -> Path:
    """A home folder laid down once more, with a table of its own."""
    shutil.copytree(home, mine, ignore=_ASIDE)
    (mine / "tables").mkdir(exist_ok=True)
    (mine / "tables" / "notes.txt").write_text(OWN, encoding="utf-8")
    return mine


@pytest.fixture(scope="module")
def backed_up(home: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A home of which a backup was made, and the backup: made by the command once, laid down for each test."""
    folder = tmp_path_factory.mktemp("backed-up")
    mine = laid(home, folder / "home")
    ran = run_outside(mine, "backup", "--folder", str(folder / "stick"), "--json")
    assert ran.json["own_tables"] == 1
    return mine, Path(ran.json["file"])


@pytest.fixture
def copy(shop: Path, backed_up: tuple[Path, Path], tmp_path: Path) -> Path:
    """A backup of it."""
    mine, file = backed_up
    shutil.rmtree(shop)
    shutil.copytree(mine, shop)
    shutil.copytree(file.parent, tmp_path / "stick")
    return tmp_path / "stick" / file.name


def entries(shop: Path) -> list[str]:
    """Marks of all that is on record."""
    with closing(sqlite3.connect(shop / "bench.sqlite3")) as here:
        return [row[0] for row in here.execute("SELECT key FROM records_event ORDER BY id")]


def one_more(shop: Path) -> None:
    """Something happens after the copy."""
    with closing(sqlite3.connect(shop / "bench.sqlite3")) as here:
        here.execute(
            "INSERT INTO records_event (at, kind, key, fingerprint, said, by_id) "
            "SELECT max(at), 'found', 'after-the-copy', '', '{}', max(by_id) FROM records_event"
        )
        here.commit()


def test_a_copy_comes_back_on_another_machine_whole(shop: Path, copy: Path, tmp_path: Path) -> None:
    """An empty home folder: records and own tables are there, and nothing of the copy's own table stays."""
    new = tmp_path / "new-machine"
    ran = run_outside(new, "restore", str(copy), "--replace", "--json")
    assert ran.code == 0, ran.err
    assert entries(new) == entries(shop) and len(entries(new)) == ran.json["events"] > 10
    assert (new / "tables" / "notes.txt").read_text(encoding="utf-8") == OWN
    with closing(sqlite3.connect(new / "bench.sqlite3")) as here:
        assert here.execute("SELECT count(*) FROM sqlite_master WHERE name = 'kept_files'").fetchone() == (0,)
    assert run_outside(new, "backup", "--json").json["events"] == ran.json["events"]


def test_what_going_back_would_lose_is_said_and_nothing_changes(shop: Path, copy: Path) -> None:
    """Without --replace it only looks."""
    one_more(shop)
    before = (shop / "bench.sqlite3").read_bytes()
    ran = run_outside(shop, "restore", str(copy))
    assert (
        ran.code == 0
        and "Here are 1 entries that are not in it." in ran.out
        and "Nothing was changed." in ran.out
    )
    assert (shop / "bench.sqlite3").read_bytes() == before


def test_what_was_there_is_set_aside_and_can_come_back(shop: Path, copy: Path) -> None:
    """The changed mind: there and back again, own tables too."""
    one_more(shop)
    (shop / "tables" / "notes.txt").write_text("changed since", encoding="utf-8")
    ran = run_outside(shop, "restore", str(copy), "--replace", "--json")
    assert ran.code == 0 and ran.json["lost"] == 1 and "after-the-copy" not in entries(shop)
    assert (shop / "tables" / "notes.txt").read_text(encoding="utf-8") == OWN
    again = run_outside(shop, "restore", ran.json["set_aside"], "--replace", "--json")
    assert again.code == 0 and "after-the-copy" in entries(shop)
    assert (shop / "tables" / "notes.txt").read_text(encoding="utf-8") == "changed since"


def test_a_damaged_database_is_no_wall(shop: Path, copy: Path) -> None:
    """The day on which a copy is needed: the damaged bytes are kept, the records are back."""
    before = entries(shop)
    (shop / "bench.sqlite3").write_bytes(b"no database at all" * 1000)
    ran = run_outside(shop, "restore", str(copy), "--replace", "--json")
    assert ran.code == 0, ran.err
    assert entries(shop) == before
    assert Path(ran.json["set_aside"]).read_bytes().startswith(b"no database at all")


def test_no_copy_no_change(shop: Path, copy: Path, tmp_path: Path) -> None:
    """Not there, not a database, of a later release, half of one: a sentence each, and the records stay."""
    before = entries(shop)
    no_copy, half, later = tmp_path / "a.txt", tmp_path / "half.sqlite3", tmp_path / "later.sqlite3"
    no_copy.write_text("no copy", encoding="utf-8")
    half.write_bytes(copy.read_bytes()[: copy.stat().st_size // 2])
    shutil.copy(copy, later)
    with closing(sqlite3.connect(later)) as there:
        there.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('records', '0099_future', '2027-01-01')"
        )
        there.commit()
    for file, told in (
        (tmp_path / "nothing.sqlite3", "there is no such file"),
        (no_copy, "can't be read as a copy of the records"),
        (half, ""),
        (later, "was written by a newer pinchbolt (0099_future). Update pinchbolt first"),
    ):
        ran = run_outside(shop, "restore", str(file), "--replace")
        assert ran.code == 2 and told in ran.err and "Traceback" not in ran.err, file
        assert entries(shop) == before


def test_a_served_workshop_is_not_replaced_under_its_users(shop: Path, copy: Path) -> None:
    """The lock that a server holds."""
    fcntl = pytest.importorskip("fcntl")
    with (shop / "serving.lock").open("a+b") as held:
        fcntl.flock(held.fileno(), fcntl.LOCK_EX)
        ran = run_outside(shop, "restore", str(copy), "--replace")
    assert ran.code == 2 and "is being served: stop pinchbolt there" in ran.err


def test_records_of_a_later_release_are_not_worked_on(shop: Path) -> None:
    """doctor says so, and every command stops."""
    with closing(sqlite3.connect(shop / "bench.sqlite3")) as here:
        here.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('records', '0099_future', '2027-01-01')"
        )
        here.commit()
    told = "These records were written by a newer pinchbolt (0099_future). Update pinchbolt first"
    ran = run_outside(shop, "doctor", "--json")
    database = next(one for one in ran.json["checks"] if one["what"] == "database")
    assert ran.code == 2 and database["words"].startswith(told)
    assert told in run_outside(shop, "backup").err


def test_a_copy_and_a_home_are_for_this_user_alone(shop: Path, copy: Path, tmp_path: Path) -> None:
    """Owners' names stand in both."""
    run_outside(tmp_path / "fresh" / "home", "restore", str(copy), "--replace")
    assert copy.stat().st_mode & 0o077 == 0
    assert (tmp_path / "fresh" / "home").stat().st_mode & 0o077 == 0


def signed_in(file: Path, mark: str) -> None:
    """Somebody is signed in, by a mark that is their way in."""
    with closing(sqlite3.connect(file)) as here:
        here.execute("INSERT INTO django_session VALUES (?, 'said', '2027-11-28')", (mark,))
        here.commit()


def test_nobody_is_signed_in_in_a_copy(shop: Path, copy: Path, tmp_path: Path) -> None:
    """Neither in a new one, down to its bytes, nor after an older one that still holds them came back."""
    mark = "q" * 32
    signed_in(shop / "bench.sqlite3", mark)
    made = run_outside(shop, "backup", "--folder", str(tmp_path / "second"), "--json").json["file"]
    assert mark.encode() in (shop / "bench.sqlite3").read_bytes() + _log_of(shop)
    assert mark.encode() not in Path(made).read_bytes()
    signed_in(copy, mark)
    assert run_outside(tmp_path / "new", "restore", str(copy), "--replace").code == 0
    assert mark.encode() not in (tmp_path / "new" / "bench.sqlite3").read_bytes()


def _log_of(shop: Path) -> bytes:
    log = shop / "bench.sqlite3-wal"
    return log.read_bytes() if log.exists() else b""


def test_an_erased_owner_goes_again_in_the_records_that_came_back(shop: Path, copy: Path) -> None:
    """At once, in the new file and not in the one that was set aside."""
    with closing(sqlite3.connect(shop / "bench.sqlite3")) as here:
        first = here.execute("SELECT key FROM records_event ORDER BY id").fetchone()[0]
        owner, name = here.execute("SELECT id, name FROM records_owner").fetchone()
        here.execute("UPDATE records_person SET role = 'owner of the workshop'")
        here.commit()
    copy.unlink()
    copy = Path(run_outside(shop, "backup", "--folder", str(copy.parent), "--json").json["file"])
    line = {"workshop": sha256(first.encode()).hexdigest()[:16], "owner": owner, "day": "2026-11-28"}
    (shop / "erased-owners.txt").write_text(json.dumps(line) + "\n", encoding="utf-8")
    ran = run_outside(shop, "restore", str(copy), "--replace")
    assert ran.code == 0, ran.err
    with closing(sqlite3.connect(shop / "bench.sqlite3")) as here:
        assert here.execute("SELECT name FROM records_owner").fetchone()[0] == "owner erased" != name
