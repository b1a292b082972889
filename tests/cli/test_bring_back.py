"""A new machine: an empty home folder gets its workshop back by the pages of the opening, from a copy or an export."""

import json
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from html import unescape
from pathlib import Path

import pytest

from tests.cli.conftest import outside, run_outside
from tests.new_home import lay_new
from tests.servers import GIVE_UP_S

WORD = "qwfpgj"
NEW = "four quite other words"
# Walks the pages as a browser on this machine, beside a connection that was open before; says what each answered.
_WALK = """
import json, sys
import django
django.setup()
# After the settings: they choose the library, and two of them on one file in one process spoil it.
import sqlite3
from pinchbolt.serving.migrating import migrate
migrate()
from django.conf import settings
from django.test import Client
beside = sqlite3.connect(str(settings.DATABASES["default"]["NAME"]))
before = beside.execute("SELECT count(*) FROM records_event").fetchone()[0]
browser = Client(headers={"host": "127.0.0.1"})
browser.get(f"/open/?word={sys.argv[2]}")
said = []
for sent in json.loads(sys.argv[1]):
    answer = browser.post("/open/back/", sent) if sent else browser.get("/open/back/")
    said.append([answer.status_code, answer.get("Location", ""), answer.content.decode()])
def all_of(rows):
    return rows.execute("SELECT count(*) FROM records_event").fetchone()[0]
shown = Client(headers={"host": "127.0.0.1"}).get("/", follow=True)
print(json.dumps({"said": said, "before": before, "after": all_of(beside), "shown": shown.content.decode()}))
"""


def walk(home: Path, *sent: dict[str, str]) -> dict[str, object]:
    """The pages in a process of their own, on a home folder on disk."""
    if not home.exists():
        lay_new(home)
    told = subprocess.run(
        [sys.executable, "-c", _WALK, json.dumps(sent), WORD],
        env=outside(home, DJANGO_SETTINGS_MODULE="pinchbolt.serving.settings", PINCHBOLT_OPENING_WORD=WORD),
        capture_output=True,
        text=True,
        timeout=GIVE_UP_S,
        check=False,
    )
    assert told.returncode == 0, told.stderr[-3000:]
    answer: dict[str, object] = json.loads(told.stdout)
    return answer


def pages(ran: dict[str, object]) -> list[tuple[int, str, str]]:
    """Status, where it leads, and the page of each step."""
    said = ran["said"]
    assert isinstance(said, list)
    return [(code, leads, unescape(page)) for code, leads, page in said]


def test_a_copy_comes_back_by_the_pages_into_an_empty_home(home: Path, tmp_path: Path) -> None:
    """Looked at first; then everything is there, for whoever had the file open too, and everybody signs in anew."""
    copy = run_outside(home, "backup", "--folder", str(tmp_path / "stick"), "--json").json
    new, place = tmp_path / "new", copy["file"]
    nowhere = {"place": "/media/nothing/bench.sqlite3"}
    ran = walk(
        new, {}, nowhere, {"place": place}, {"place": place, "sure": "yes"}, {"place": place, "sure": "yes"}
    )
    empty, missing, looked, done, again = pages(ran)
    assert "look at it" in empty[2] and 'action="/open/back/"' in empty[2]
    assert missing[0] == 422 and "is not there: write the whole path" in missing[2]
    assert f"{copy['events']:,} entries" in looked[2] and "Bring it back?" in looked[2]
    assert done[0] in (302, 303) and "sign-in" in done[1]
    assert "sign-in" in again[1]
    assert (ran["before"], ran["after"]) == (0, copy["events"])
    assert "Ines Holloway" in str(ran["shown"])
    assert not list(new.glob(".*coming*"))


def test_a_damaged_copy_changes_nothing(home: Path, tmp_path: Path) -> None:
    """The sentence of the command stands on the page, and the two doors are still there."""
    place = run_outside(home, "backup", "--folder", str(tmp_path / "stick"), "--json").json["file"]
    data = bytearray(Path(place).read_bytes())
    data[4096 : 4096 + 20_000] = bytes(20_000)
    Path(place).write_bytes(data)
    ran = walk(tmp_path / "new", {"place": place, "sure": "yes"})
    ((code, _, page),) = pages(ran)
    assert code in (409, 422) and ("can't be read" in page or "not whole" in page)
    assert ran["after"] == 0


@pytest.mark.parametrize("name", ["all", "all.zip"])
def test_an_export_comes_back_by_the_pages(home: Path, tmp_path: Path, name: str) -> None:
    """It holds no passphrases: its owner of the workshop gets a new one; one that is easy to guess changes nothing."""
    shop, place = tmp_path / "shop", tmp_path / name
    shutil.copytree(home, shop, ignore=shutil.ignore_patterns("serving.lock", "static", "tries"))
    with closing(sqlite3.connect(shop / "bench.sqlite3")) as here:
        here.execute("UPDATE records_person SET role = 'owner of the workshop' WHERE sign_in = 'ines'")
        here.commit()
    assert run_outside(shop, "export", str(place)).code == 0
    sure = {"place": str(place), "sure": "yes"}
    ran = walk(
        tmp_path / "new", {"place": str(place)}, {**sure, "passphrase": "easy"}, {**sure, "passphrase": NEW}
    )
    looked, easy, done = pages(ran)
    assert looked[0] == 200 and "It is for Ines Holloway" in looked[2] and "new passphrase" in looked[2]
    assert easy[0] == 422 and f'value="{place}"' in easy[2]
    assert done[0] in (302, 303) and "sign-in" in done[1]
    assert ran["after"] != 0 and "Ines Holloway" in str(ran["shown"])
