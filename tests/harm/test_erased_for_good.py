"""An erased owner is in no file of the home folder, byte by byte: not the database, its log, a backup or an export; bills alone keep them."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.new_home import lay_new

ROOT = Path(__file__).parents[2]
# How the person of the story was written down: by themselves, by mechanics, by their devices.
PERSON = (
    b"ellenby",
    b"ellenbie",
    b"dov@example.org",
    b"960123",
    b"960777",
    b"weir lane",
    b"chain is nearly new",
)
BILLS = "bill-buyers.csv"


def home_of(folder: Path, *words: str) -> dict[str, bytes]:
    """Every file of a home folder after the story, in small letters."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PINCHBOLT", "DJANGO", "COV"))
    }
    more = {
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
        "PINCHBOLT_HOME": str(lay_new(folder)),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
    }
    done = subprocess.run(
        [sys.executable, "-m", "tests.harm.erase_a_person", *words],
        env={**kept, **more}, cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return {
        path.relative_to(folder).as_posix(): path.read_bytes().lower()
        for path in folder.rglob("*")
        if path.is_file()
    }


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The home folder while the owner is known."""
    return home_of(tmp_path_factory.mktemp("known"))


@pytest.fixture(scope="module")
def after(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The same, with the owner erased, a backup and an export made since."""
    return home_of(tmp_path_factory.mktemp("erased"), "erase")


def test_before_the_person_is_there(before: dict[str, bytes]) -> None:
    """The search itself: every word of them is found while they are known."""
    files = b"".join(before.values())
    assert [words for words in PERSON if words not in files] == []


@pytest.mark.parametrize("words", PERSON)
def test_after_it_is_nowhere_but_on_bills(after: dict[str, bytes], words: bytes) -> None:
    """One name on one bill: once in the database, once in the backup, once in the export."""
    found = {name: data.count(words) for name, data in after.items() if words in data}
    on_a_bill = words == b"ellenby"
    databases = {name: count for name, count in found.items() if name.endswith(".sqlite3")}
    assert set(found) - set(databases) == ({f"out/{BILLS}"} if on_a_bill else set())
    assert all(count == 1 for count in found.values()), found
    assert len(databases) == (2 if on_a_bill else 0)
