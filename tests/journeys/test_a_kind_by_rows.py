"""A kind of part that no program text knows goes the whole way: build sheet, reading, finding, estimate, torque, sign-off.

Nothing is written but rows in a folder of the workshop's own tables. Doors are used by turns: commands, JSON, screens.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from pinchbolt.cli import main
from pinchbolt.reference import check
from tests import story
from tests.api.conftest import enter, sign_in
from tests.house.contributing import lists
from tests.journeys.kind_by_rows import OWN_KINDS, SLIPS, OwnKind, read_again, trade_without, write
from tests.story import NOW, Story
from tests.workshop.ride_story import ride_of, take

pytestmark = pytest.mark.django_db

FITTED = "2026-11-10"
# Worked by hand: a price of 31.50 on the shelf, 15 minutes at 54.00 an hour are 13.50.
PRICE, LABOUR = "31.50", "13.50"


@pytest.fixture(params=OWN_KINDS, ids=lambda own: own.kind)
def own(request: pytest.FixtureRequest) -> OwnKind:
    """A kind that the workshop brings."""
    return request.param  # type: ignore[no-any-return]


@pytest.fixture
def folder(own: OwnKind, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The workshop's own tables, over trade tables that have no such kind; time stands on the morning of the story."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    monkeypatch.setattr("django.conf.settings.SHOP_TABLES", str(tmp_path))
    with trade_without(own):
        write(tmp_path, own)
        read_again()
        yield tmp_path
    read_again()


class Doors:
    """The three doors to one workshop."""

    def __init__(self, capsys: pytest.CaptureFixture[str]) -> None:
        story.open_shop()
        self.capsys, self.marks = capsys, 0
        self.screens, self.program = Client(), Client()
        enter(self.screens)
        self.token = sign_in(self.program).json()["token"]

    def key(self) -> str:
        """A request mark that was not used yet."""
        self.marks += 1
        return f"by-rows-{self.marks:04d}"

    def command(self, *words: str, acts: bool = False) -> Any:
        """The answer of a command as JSON."""
        self.capsys.readouterr()
        code = main([*words, *(["--as", "ines"] if acts else []), "--json"])
        told = self.capsys.readouterr()
        assert code == 0, told.err
        return json.loads(told.out)

    def refused(self, *words: str) -> str:
        """The sentence with which a command is refused."""
        self.capsys.readouterr()
        assert main([*words, "--as", "ines"]) == 2
        return self.capsys.readouterr().err

    def get(self, path: str) -> Any:
        """The answer of the JSON door."""
        return self._json("GET", path)

    def post(self, path: str, body: dict[str, Any] | None = None) -> Any:
        """The answer of the JSON door to an act."""
        return self._json("POST", path, body or {})

    def _json(self, method: str, path: str, body: dict[str, Any] | None = None) -> Any:
        headers = {"Authorization": f"Bearer {self.token}", "Idempotency-Key": self.key()}
        sent = b"" if body is None else json.dumps(body).encode()
        told = self.program.generic(
            method, f"/api{path}", sent, content_type="application/json", headers=headers
        )
        assert told.status_code == 200, told.content
        return told.json()

    def page(self, path: str) -> str:
        """A screen, opened."""
        told = self.screens.get(path)
        while told.status_code == 302:
            told = self.screens.get(told["Location"])
        assert told.status_code == 200, (path, told.content.decode()[-1500:])
        return told.content.decode()

    def press(self, path: str, **fields: object) -> None:
        """A form of a screen, sent."""
        told = self.screens.post(path, {**fields, "key": self.key()})
        assert told.status_code in (200, 204, 302, 303) and b"data-refused" not in told.content, told.content


@pytest.fixture
def doors(folder: Path, capsys: pytest.CaptureFixture[str]) -> Doors:
    """A workshop that works by these tables."""
    return Doors(capsys)


def test_the_files_that_were_written_are_those_that_the_list_names(own: OwnKind) -> None:
    """CONTRIBUTING.md names every table of a kind of part, and nothing but rows was needed."""
    told = lists()["a kind of part"]
    assert set(own.files) == told.tables and told.tables_always == {"part-kinds.toml"}
    assert not any(path.endswith(".py") for path in told.always)


def test_the_rows_as_they_are_are_sound(
    own: OwnKind, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The check finds nothing wrong, and says whose rows they are."""
    assert check.main([str(folder)]) == 0
    assert f'part-kinds.toml, row "{own.kind}": a row of the workshop\'s own.' in capsys.readouterr().out


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_in_a_row_is_refused_by_file_row_and_field(
    own: OwnKind, folder: Path, slip: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With one word wrong in the same rows the check names the place."""
    file, right, wrong, field = SLIPS[slip]
    text = own.files[file]
    assert right in text
    (folder / file).write_text(text.replace(right, wrong), encoding="utf-8")
    assert check.main([str(folder)]) == 1
    said = capsys.readouterr().err
    assert any(
        f"{folder}/{file}, row " in line and f'field "{field}"' in line for line in said.splitlines()
    ), said


def test_a_kind_by_rows_goes_the_whole_way(own: OwnKind, doors: Doors) -> None:
    """From nothing to handed over, and the same bike without the part is asked for none of it."""
    job, tag = begun(own, doors)
    other, other_tag = begun(own, doors)
    part = put_on(own, doors, tag)
    read_and_found(own, doors, job, tag, part)
    asked_for_work(own, doors, job)
    tightened(own, doors, job, other)
    new = replaced(own, doors, job, tag, part)
    signed_off(doors, job)
    assert to_another_bike(own, doors, other_tag, new) == new


def begun(own: OwnKind, doors: Doors) -> tuple[str, str]:
    """A bike of its kind is begun from nothing by a command."""
    taken = doors.command("check-in", "--kind", own.bike_kind, "--owner", f"Ada {doors.key()}", acts=True)
    return str(taken["job"]), taken["tag"]


def put_on(own: OwnKind, doors: Doors, tag: str) -> int:
    """The kind is offered with its question; a slip is refused; the part stands at its corner with its fact."""
    (kind,) = doors.command("kinds", own.kind)
    (asked,) = kind["facts"]
    assert asked["fact"] == own.fact and f'ask = "{asked["ask"]}"' in own.fact_row
    assert kind["own"] and {one["limit"] for one in kind["limits"]} == {
        f"{own.mark}-play",
        f"{own.mark}-crack",
    }
    assert own.refused in doors.refused("add", tag, own.kind, "--fact", f"{own.fact}=plenty")
    part = doors.command(
        "add", tag, own.kind, "--fact", f"{own.fact}={own.told}", "--since", FITTED, acts=True
    )["part"]
    corners = {corner["id"]: corner["parts"] for corner in doors.get(f"/bike/{tag}/build")["corners"]}
    (shown,) = (one for one in corners[own.corner] if one["id"] == part)
    assert shown["in_table"] and shown["joints"] == [joint_of(own)]
    known = {one["fact"]: (one["shown"], one["source"]) for one in shown["facts"]}
    assert known[own.fact] == (own.told, "read off the part")
    assert own.kind in doors.page(f"/bike/{tag}/")
    return int(part)


def joint_of(own: OwnKind) -> str:
    """The name of its bolt on a bike: it stands once, so no end is said."""
    return f"{own.mark}-bolt"


def read_and_found(own: OwnKind, doors: Doors, job: str, tag: str, part: int) -> None:
    """Both limits come at the station of the kind; play becomes a forecast, a marking governs, a crack is unsafe."""
    ridden(doors, job, tag)
    station = next(place for place in doors.get(f"/job/{job}/walk-round") if place["id"] == own.station)
    due = {one["limit"]: one for one in station["readings"] if one["part"] == part}
    play, crack = f"{own.mark}-play", f"{own.mark}-crack"
    assert set(due) == {play, crack}
    assert due[play]["km_known"] == pytest.approx(own.rode)
    page = doors.page(f"/job/{job}/walk-round/{own.station}/")
    assert f"play of the {own.kind}" in page and f"crack in the {own.kind}" in page
    (caliper,) = (number for number, name in due[play]["instruments"] if "caliper" in name)

    read = {"part": part, "limit": play, "instrument": caliper, "value": 3.1}
    taken = doors.post(f"/job/{job}/reading", read)
    found = taken["finding"]
    assert found["verdict"] == "before it leaves" and found["forecast"]["law"]["driver"] == "km"
    # The instrument may be out, so the reading is as wide as its doubt: the caliper's spread and the hand's.
    assert found["forecast"]["present"]["wide"]["low"] < 3.1 < found["forecast"]["present"]["wide"]["high"]

    marked = doors.command("mark-limit", str(part), play, "4", acts=True)
    assert (marked["value"], marked["table"]) == (4.0, 2.0)
    again = doors.post(f"/job/{job}/reading", {**read, "corrects": taken["reading"]})["finding"]
    assert again["verdict"] != "before it leaves"
    assert any("4 mm" in reason["words"] and "mark" in reason["words"] for reason in again["reasons"])

    cracked = doors.command("reading", job, str(part), crack, "--word", "yes", acts=True)["finding"]
    assert (cracked["verdict"], cracked["safety"]) == ("unsafe to ride", True)
    stops = doors.command("safety-list", job)["stops"]
    assert any(words.startswith("Unsafe to ride") and own.kind in words for words in stops)


def ridden(doors: Doors, job: str, tag: str) -> None:
    """160 km outdoors and 50 on the trainer from 11 to 23 November, by the files of a device."""
    from pinchbolt.workshop.acts.manage_people import person_named

    ines = person_named("ines").id
    at_work = Story(int(job), tag, ines, ines, marks=500)
    outdoors = ((f"{day}.fit", ride_of(day, 40.0)) for day in (254, 258, 262, 266))
    take(at_work, *outdoors, ("in.fit", ride_of(264, 50.0, indoor=True)))


def asked_for_work(own: OwnKind, doors: Doors, job: str) -> None:
    """The worst finding proposes the operation with the part at the shelf price; the owner agrees."""
    (wanted,) = (one for one in doors.get(f"/job/{job}/suggestions") if one["operation"] == f"{own.mark}-new")
    assert wanted["why"] == "A crack does not stop by itself."
    assert [(part["name"], part["each"]) for part in wanted["parts"]] == [
        (f"{own.kind}, of our shelf", PRICE)
    ]
    assert f"new {own.kind}" in doors.page(f"/job/{job}/findings/")
    doors.press(f"/job/{job}/findings/line/", operation=wanted["operation"], finding=wanted["finding"])
    (line,) = doors.post(f"/job/{job}/ask")["lines"]
    assert (line["money"]["parts_total"], line["money"]["labour"]) == (PRICE, LABOUR)
    doors.post(f"/job/{job}/answer", {"answers": {str(line["id"]): True}, "how": "by text"})
    doors.press(f"/job/{job}/work/stand/", stand=1, start="yes")


def tightened(own: OwnKind, doors: Doors, job: str, other: str) -> None:
    """Its bolt is on the torque sheet inside 5 to 7 N·m; its item is on this bike's list and not on the other's."""
    (joint,) = (
        one for one in doors.command("torque", "sheet", job)["joints"] if one["joint"] == joint_of(own)
    )
    assert 5.0 <= joint["setting"]["set"] <= 7.0
    item = f"so-{own.mark}"
    mine = {one["id"]: one for one in doors.get(f"/job/{job}/safety-list")["items"]}
    theirs = {one["id"] for one in doors.get(f"/job/{other}/safety-list")["items"]}
    assert mine[item]["open_joints"] == [joint_of(own)] and mine[item]["why"] == [own.kind]
    assert mine[item]["who_looks"] == "one person, and a second look by somebody else" and set(
        mine
    ) - theirs == {item}
    value, tool = str(joint["setting"]["set"]), str(joint["setting"]["tool"])
    doors.command("torque", "done", job, joint_of(own), "--value", value, "--tool", tool, acts=True)
    after = {one["id"]: one for one in doors.get(f"/job/{job}/safety-list")["items"]}
    assert after[item]["open_joints"] == []


def replaced(own: OwnKind, doors: Doors, job: str, tag: str, part: int) -> int:
    """The line done: another one stands there, and what was found on the old one speaks of it no longer."""
    (line,) = doors.get(f"/job/{job}/estimate")["lines"]
    doors.press(f"/job/{job}/work/line/", line=line["id"])
    parts = [one for corner in doors.command("build", tag)["corners"] for one in corner["parts"]]
    (new,) = (one for one in parts if one["kind"] == own.kind)
    assert new["id"] != part and new["markings"] == []
    assert not any("Unsafe" in words for words in doors.command("safety-list", job)["stops"])
    (seen,) = (one for one in doors.get(f"/bike/{tag}")["parts"] if one["kind"] == own.kind)
    assert seen["last"] == []
    return int(new["id"])


def signed_off(doors: Doors, job: str) -> None:
    """Everything looked at, twice where it must be: ready."""
    doors.command("confirm", doors.get(f"/job/{job}")["tag"], acts=True)
    items = doors.get(f"/job/{job}/safety-list")["items"]
    doors.post(f"/job/{job}/look", {"items": [item["id"] for item in items]})
    second = [item["id"] for item in items if item["needs_second"]]
    doors.post(f"/job/{job}/look", {"items": second, "second": True, "after_break": True})
    assert doors.command("safety-list", job)["stops"] == []
    assert doors.post(f"/job/{job}/sign-off")["where"] == "ready"


def to_another_bike(own: OwnKind, doors: Doors, other: str, part: int) -> int:
    """Off into the bins with its life, and out of them onto the other bike: the same part."""
    doors.command("take-off", str(part), "bins", "--price", "9.50", acts=True)
    (row,) = (one for one in doors.get("/bins") if one["kind"] == own.kind)
    doors.command("add", other, own.kind, "--bin", row["number"], acts=True)
    parts = [one for corner in doors.command("build", other)["corners"] for one in corner["parts"]]
    (there,) = (one["id"] for one in parts if one["kind"] == own.kind)
    return int(there)


def test_own_tables_that_are_taken_away_leave_every_page_and_sheet_open(
    own: OwnKind, doors: Doors, folder: Path
) -> None:
    """The kind is in no table any more: what was written down stays readable and says so."""
    job, tag = begun(own, doors)
    part = put_on(own, doors, tag)
    read_and_found(own, doors, job, tag, part)
    asked_for_work(own, doors, job)
    for name in own.files:
        (folder / name).unlink()
    read_again()
    for path in PAGES:
        doors.page(path.format(job=job, tag=tag))
    for sheet in ("estimate", "job-card", "torque-sheet"):
        assert doors.screens.get(f"/paper/job/{job}/{sheet}.pdf").content.startswith(b"%PDF-"), sheet
    parts = [one for corner in doors.command("build", tag)["corners"] for one in corner["parts"]]
    (shown,) = (one for one in parts if one["id"] == part)
    assert not shown["in_table"]
    assert {one["fact"]: one["shown"] for one in shown["facts"]}[own.fact] == own.told
    assert "shown and not read" in plain(doors, "build", tag)
    (joint,) = doors.command("torque", "sheet", job)["joints"]
    assert joint["setting"] is None and "in no table of joints any more" in joint["refused"]
    stops = " ".join(doors.command("safety-list", job)["stops"])
    assert "Unsafe to ride" in stops and f"{own.mark.replace('-', ' ')} bolt: torque not saved yet" in stops
    for path in ("/bike/{tag}", "/job/{job}/findings", "/job/{job}/estimate", "/job/{job}/safety-list"):
        doors.get(path.format(job=job, tag=tag))


PAGES = (
    "/", "/bike/{tag}/", "/bike/{tag}/rides/", "/bike/{tag}/bolt-round/", "/job/{job}/check-in/", "/job/{job}/walk-round/",
    "/job/{job}/findings/", "/job/{job}/findings/counter/", "/job/{job}/estimate/",
    "/job/{job}/work/", "/job/{job}/work/torque/", "/job/{job}/sign-off/", "/job/{job}/handover/", "/swap/?into={tag}",
)  # fmt: skip


def plain(doors: Doors, *words: str) -> str:
    """What a command says to people."""
    doors.capsys.readouterr()
    assert main(list(words)) == 0
    return doors.capsys.readouterr().out
