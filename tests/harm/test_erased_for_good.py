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


@pytest.fixture(scope="module")
def homes(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The home folder while the owner is known, and the same with the owner erased, a backup and an export made since."""
    folder = tmp_path_factory.mktemp("erased")
    before, after = folder / "before", folder / "after"
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PINCHBOLT", "DJANGO", "COV"))
    }
    more = {
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
        "PINCHBOLT_HOME": str(lay_new(after)),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
    }
    done = subprocess.run(
        [sys.executable, "-m", "tests.harm.erase_a_person", str(before)],
        env={**kept, **more}, cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return before, after


def files_of(home: Path) -> dict[str, bytes]:
    """Every file of a home folder, in small letters."""
    return {
        path.relative_to(home).as_posix(): path.read_bytes().lower()
        for path in home.rglob("*")
        if path.is_file()
    }


@pytest.fixture(scope="module")
def after(homes: tuple[Path, Path]) -> dict[str, bytes]:
    """What lies there once the owner is erased."""
    return files_of(homes[1])


def test_before_the_person_is_there(homes: tuple[Path, Path]) -> None:
    """The search itself: every word of them is found while they are known."""
    files = b"".join(files_of(homes[0]).values())
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
