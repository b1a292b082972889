"""Everything out and in again: the same bytes, all of it or nothing, and a wrong cell named by file, line and column."""

import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from django.apps import apps
from django.contrib.auth.hashers import check_password
from django.db import IntegrityError, connection, transaction

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import (
    ApiToken,
    BikeCallBack,
    Erasing,
    Event,
    Job,
    JobHere,
    LookUp,
    Owner,
    Person,
    Workshop,
    now_amiss,
)
from pinchbolt.workshop.keeping._open_files import as_cell, columns_of, from_cell, tables_written
from pinchbolt.workshop.keeping.bring_in import bring_in, look_at_export
from pinchbolt.workshop.keeping.write_out import write_out
from pinchbolt.workshop.leaving.print_sheet import print_sheet
from pinchbolt.workshop.leaving.sign_off import sign_off_list
from pinchbolt.workshop.owners.change_owner import OwnerRequest, change_owner
from pinchbolt.workshop.owners.consent import may_reach
from pinchbolt.workshop.owners.find import find_bikes
from pinchbolt.workshop.owners.give_over import GiveOverRequest, give_over, givings_of
from pinchbolt.workshop.owners.say_consent import ConsentRequest, say_consent
from pinchbolt.workshop.owners.told_fields import MAIL, ReachWay
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from tests import story
from tests.story import NOW, PASSPHRASE, Story
from tests.workshop.ride_story import ride_of, take

pytestmark = pytest.mark.django_db
OURS = '[[limit]]\nid = "dropper-hours"\nlimit = 400\n'
NEW = "four quite other words"


@pytest.fixture(autouse=True)
def beside(tmp_path: Path, settings: object) -> None:
    """Own tables and the list of erased owners of this test's own."""
    settings.ERASED_LIST = tmp_path / "home" / "erased-owners.txt"  # type: ignore[attr-defined]
    settings.SHOP_TABLES = tmp_path / "home" / "tables"  # type: ignore[attr-defined]


@pytest.fixture
def told() -> Story:
    """A stay with nearly everything, one bill, a ride, an owner with an e-mail and words that try a file's form."""
    Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    told = story.checked_in()
    take(told, ("a.fit", ride_of(248, 40.0)))
    story.handed_over(story.signed_off(story.worked(story.answered(story.priced(story.walked_round(told))))))
    print_sheet("handover", told.job, NOW)
    words = '=SUM(1,2) "quoted", a line\\nand \u2028 another; Zoë 王小明'
    asked = OwnerRequest(told.record.bike.owner_id, {"note": words}, [ReachWay(MAIL, "dov@example.org")])
    change_owner(asked, by=told.first, key=told.key(), now=NOW)
    return told


def empty() -> None:
    """Take everything out of the records, as a new home has them."""
    tables = [model._meta.db_table for model in apps.get_app_config("records").get_models()]
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"TRUNCATE {', '.join(tables)} CASCADE")
            return
        cursor.execute("PRAGMA defer_foreign_keys = ON")
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        triggers = cursor.fetchall()
        for name, _ in triggers:
            cursor.execute(f"DROP TRIGGER {name}")
        for table in tables:
            cursor.execute(f"DELETE FROM {table}")
        for _, sql in triggers:
            cursor.execute(sql)


def files_of(place: Path) -> dict[str, bytes]:
    """Every file of an export but the manifest."""
    return {
        path.relative_to(place).as_posix(): path.read_bytes()
        for path in place.rglob("*")
        if path.is_file() and path.name != "manifest.json"
    }


def test_out_in_and_out_again_gives_the_same_bytes(told: Story, tmp_path: Path) -> None:
    """Every file but the manifest's day; the workshop works on, its owner with a new passphrase."""
    (tmp_path / "home" / "tables").mkdir(parents=True)
    (tmp_path / "home" / "tables" / "limits.toml").write_text(OURS, encoding="utf-8")
    first, second = tmp_path / "first", tmp_path / "second"
    done = write_out(first, NOW, "0.2.0")
    assert done.rows > 200
    listed = [one.id for one in sign_off_list(told.record, NOW).items]
    empty()
    assert not Owner.objects.exists()
    seen = bring_in(first, NEW, NOW)
    assert (seen.rows, seen.first_owner, seen.workshop) == (
        done.rows,
        "Marnie Oakes",
        "Mossgate Yard Workshop",
    )
    write_out(second, NOW, "0.2.0")
    before, after = files_of(first), files_of(second)
    assert before.keys() == after.keys()
    assert [name for name in before if before[name] != after[name]] == []
    assert "tables/limits.toml" in after and any(
        name.startswith("papers/") for name in after if name.endswith(".pdf")
    )
    assert check_password(NEW, Person.objects.get(sign_in="marnie").password)
    assert not Person.objects.get(sign_in="ines").has_usable_password()
    assert [one.id for one in sign_off_list(told.record, NOW).items] == listed
    assert [one.tag for one in find_bikes("ellenby")] == [told.tag]
    # Numbers go on counting, and what was written stays guarded.
    assert story.checked_in().job > told.job
    with pytest.raises(IntegrityError, match="not changed or removed"), transaction.atomic():
        Event.objects.update(kind="x")


def test_a_bike_that_was_given_over_comes_back_with_whose_each_stay_was(told: Story, tmp_path: Path) -> None:
    """Dov's stay, then Mara's: out and in, the same bytes; each stay, word, consent and rows of now are whose they were."""
    dov = told.record.bike.owner_id
    say_consent(ConsentRequest(dov, "call-backs", "text", yes=True), by=told.first, key=told.key(), now=NOW)
    sold = NOW + timedelta(days=10)
    asked = GiveOverRequest(told.tag, name="Mara Quist", phone="01632 960555")
    mara = give_over(asked, by=told.first, key=told.key(), now=sold).to
    later = sold + timedelta(days=1)
    second = check_in(
        CheckInRequest(tag=told.tag, owner_words="It ticks."), by=told.first, key=told.key(), now=later
    )
    write_out(tmp_path / "first", later, "0.2.0")
    empty()
    bring_in(tmp_path / "first", NEW, later)
    write_out(tmp_path / "second", later, "0.2.0")
    assert files_of(tmp_path / "first") == files_of(tmp_path / "second")
    assert [(job.pk, job.whose.name) for job in Job.objects.order_by("pk")] == [
        (told.job, "Dov Ellenby"),
        (second.job, "Mara Quist"),
    ]
    (giving,) = givings_of(told.record.bike)
    assert (giving.gone_from, giving.gone_to, giving.day) == ("Dov Ellenby", "Mara Quist", sold.date())
    assert may_reach(dov, "call-backs", "text") and not may_reach(mara, "call-backs", "text")
    assert [one.owner for one in find_bikes(told.tag)] == ["Mara Quist"]
    assert JobHere.objects.get().job_id == second.job and now_amiss() == ()


def test_whoever_comes_second_with_a_workshop_changes_nothing(
    told: Story, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two bring one back at the same moment, or one opens a book of their own: while ours was proved, another is in. All of it stands."""
    write_out(tmp_path / "ours", NOW, "0.2.0")
    empty()

    def proved(words: str, known: tuple[str, ...]) -> None:
        monkeypatch.undo()
        Workshop.objects.create(name="Tollgate Bench", town="", labour_an_hour=54, tax_percent=20, stands=2)

    monkeypatch.setattr("pinchbolt.workshop.keeping.bring_in.good_passphrase", proved)
    with pytest.raises(NotPossibleNow, match="There is a workshop here already"):
        bring_in(tmp_path / "ours", NEW, NOW)
    assert [one.name for one in Workshop.objects.all()] == ["Tollgate Bench"]
    assert not Event.objects.exists() and not Owner.objects.exists()


def test_a_zip_is_the_same(told: Story, tmp_path: Path) -> None:
    """One file in place of a folder."""
    done = write_out(tmp_path / "all.zip", NOW, "0.2.0")
    empty()
    assert bring_in(tmp_path / "all.zip", NEW, NOW).rows == done.rows
    assert Job.objects.count() == 1


def test_no_passphrase_pin_or_token_goes_out(told: Story, tmp_path: Path) -> None:
    """People come with name and role alone."""
    write_out(tmp_path / "out", NOW, "0.2.0")
    header, *rows = (tmp_path / "out" / "people.csv").read_text(encoding="utf-8").splitlines()
    assert header == "id,sign_in,name,role,stand,is_active,may_sign,gives_percent" and len(rows) == 3
    secrets = [one.password.encode() for one in Person.objects.all()]
    for name, data in files_of(tmp_path / "out").items():
        assert not any(secret in data for secret in secrets), name


def test_every_table_goes_out_or_is_found_anew(told: Story) -> None:
    """A table that a later release adds is written without anybody's memory."""
    models = set(apps.get_app_config("records").get_models())
    assert models - set(tables_written().values()) == {LookUp, Erasing, ApiToken, JobHere, BikeCallBack}
    assert all(columns_of(model) for model in models)


def test_every_cell_reads_back_as_it_was(told: Story) -> None:
    """Of every column of every row: what is written is what is read."""
    for model in tables_written().values():
        for row in model._default_manager.all():
            for column in columns_of(model):
                value = getattr(row, column.attname)
                assert from_cell(column, as_cell(column, value)) == value, (model, column.name)


def test_two_quotes_are_an_empty_text_that_is_known(told: Story) -> None:
    """In a column that may be unknown, nothing, an empty text and quotes themselves stay apart."""
    column = next(one for one in columns_of(tables_written()["answers.csv"]) if one.name == "said_by")
    for value, cell in ((None, ""), ("", '""'), ('""', '""""'), ("Lotte", "Lotte")):
        assert (as_cell(column, value), from_cell(column, cell)) == (cell, value)


Spoil = Callable[[Path], None]


def put(file: str, old: str, new: str, line: int = 2) -> Spoil:
    """Put something else into a line of a file."""

    def spoil(place: Path) -> None:
        lines = (place / file).read_bytes().decode().split("\r\n" if file.endswith(".csv") else "\n")
        assert old in lines[line - 1], lines[line - 1]
        lines[line - 1] = lines[line - 1].replace(old, new, 1)
        (place / file).write_bytes(("\r\n" if file.endswith(".csv") else "\n").join(lines).encode())

    return spoil


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (put("tools.csv", "1,", "one,"), r'tools.csv, line 2, column id: "one", and a whole number is needed'),
        (put("bikes.csv", "PB-001", "PB-001-much-too-long"), r"bikes.csv, line 2, column tag: .* 12 characters are allowed"),
        (put("jobs.csv", "2026-11-25", "25 Nov 2026"), r"jobs.csv, line 2, column opened_at: .* a time with its offset"),
        (put("workshop.csv", "54.00", "fifty"), r'workshop.csv, line 2, column labour_an_hour: "fifty", and an amount'),
        (put("people.csv", "true", "yes"), r'people.csv, line 2, column is_active: "yes", and true or false is needed'),
        (put("bikes.csv", "id,tag", "id,tog", 1), r'bikes.csv, line 1: column "tog" is not known'),
        (put("events.ndjson", '"kind"', '"kind', 3), r"events.ndjson, line 3: a JSON object is needed"),
        (put("answers.csv", ",", ",9,", 3), r"answers.csv, line 3: \d+ cells, and \d+ columns"),
        (put("owners.csv", "Dov", "Dova"), r"owners.csv is not as it was written"),
        (lambda place: (place / "jobs.csv").unlink(), r"is missing|there is no row"),
        (lambda place: next((place / "papers").iterdir()).unlink(), r"papers/\d+.pdf is missing"),
        (lambda place: (place / "owners.csv").write_bytes(b"\xff\xfe"), r"owners.csv: byte 0 is no UTF-8"),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named_and_nothing_comes_in(
    told: Story, tmp_path: Path, spoil: Spoil, sentence: str
) -> None:
    """By file, line and column, before a row is written."""
    write_out(tmp_path / "out", NOW, "0.2.0")
    empty()
    ids = json.loads((tmp_path / "out" / "manifest.json").read_text(encoding="utf-8"))
    assert ids["format"] == 1
    spoil(tmp_path / "out")
    with pytest.raises(InputRefused, match=sentence):
        bring_in(tmp_path / "out", NEW, NOW)
    assert not Person.objects.exists()


def test_a_reference_that_leads_nowhere_is_named(told: Story, tmp_path: Path) -> None:
    """A bike whose owner does not come along."""
    write_out(tmp_path / "out", NOW, "0.2.0")
    owner = told.record.bike.owner_id
    put("bikes.csv", f"PB-001,{owner},", "PB-001,4711,")(tmp_path / "out")
    with pytest.raises(
        InputRefused, match=r"bikes\.csv, line 2, column owner: there is no row 4711 for it to point at"
    ):
        look_at_export(tmp_path / "out")


def test_it_comes_into_an_empty_workshop_alone(told: Story, tmp_path: Path) -> None:
    """Nothing is laid over a workshop that works; a later format is left for a later release; nothing is overwritten."""
    write_out(tmp_path / "out", NOW, "0.2.0")
    with pytest.raises(NotPossibleNow, match="There is a workshop here already"):
        bring_in(tmp_path / "out", NEW, NOW)
    with pytest.raises(NotPossibleNow, match="nothing is overwritten"):
        write_out(tmp_path / "out", NOW, "0.2.0")
    manifest = tmp_path / "out" / "manifest.json"
    manifest.write_text(
        manifest.read_text(encoding="utf-8").replace('"format": 1', '"format": 2'), encoding="utf-8"
    )
    with pytest.raises(NotPossibleNow, match=r"This was written by a newer pinchbolt \(pinchbolt 0\.2\.0\)"):
        look_at_export(tmp_path / "out")


@pytest.mark.parametrize("name", ["tables/limits.toml", "erased-owners.txt", "photos/4711.jpg"])
def test_a_file_that_was_slipped_in_is_refused(told: Story, tmp_path: Path, name: str) -> None:
    """What the manifest does not name comes in only where somebody says that it was added on purpose."""
    out = tmp_path / "out"
    write_out(out, NOW, "0.2.0")
    (out / name).parent.mkdir(exist_ok=True)
    (out / name).write_text(OURS, encoding="utf-8")
    (out / ".hidden").write_text("of the machine", encoding="utf-8")
    with pytest.raises(InputRefused, match=f"{name} is not in the manifest"):
        look_at_export(out)
    look_at_export(out, changed=True)


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        (
            "limits.toml",
            OURS.replace("400", '"late"'),
            r'tables/limits.toml, row "dropper-hours", field "limit"',
        ),
        ("limitz.toml", OURS, r"tables/limitz.toml"),
    ],
)
def test_a_row_of_the_workshops_own_that_is_not_sound_is_named(
    told: Story, tmp_path: Path, name: str, text: str, sentence: str
) -> None:
    """Before anything is written: no row and no file comes in."""
    out, tables = tmp_path / "out", tmp_path / "home" / "tables"
    write_out(out, NOW, "0.2.0")
    (out / "tables").mkdir()
    (out / "tables" / name).write_text(text, encoding="utf-8")
    empty()
    with pytest.raises(InputRefused, match=sentence):
        bring_in(out, NEW, NOW, changed=True)
    assert not Person.objects.exists() and not tables.exists()


def test_files_come_in_after_the_records_alone(
    told: Story, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What breaks in the midst of the records leaves no own tables behind: a file is not taken back with them."""
    (tmp_path / "home" / "tables").mkdir(parents=True)
    (tmp_path / "home" / "tables" / "limits.toml").write_text(OURS, encoding="utf-8")
    write_out(tmp_path / "out", NOW, "0.2.0")
    (tmp_path / "home" / "tables" / "limits.toml").unlink()
    empty()

    def breaks(*owners: int) -> None:
        raise IntegrityError("the disk is full")

    monkeypatch.setattr("pinchbolt.workshop.keeping.bring_in.note_look_up", breaks)
    with pytest.raises(IntegrityError), transaction.atomic():
        bring_in(tmp_path / "out", NEW, NOW)
    assert not (tmp_path / "home" / "tables" / "limits.toml").exists() and not Person.objects.exists()


def test_a_zip_larger_than_the_disk_is_refused(
    told: Story, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the disk takes is the bound: a shop with photos of years comes in."""
    write_out(tmp_path / "all.zip", NOW, "0.2.0")
    monkeypatch.setattr("pinchbolt.workshop.keeping._export_files._room", lambda: 1000)
    with pytest.raises(
        InputRefused, match=r"holds 0\.0 GB, and the disk of the home folder has 0\.0 GB free"
    ):
        look_at_export(tmp_path / "all.zip")


def test_a_damaged_zip_is_said_by_its_file(told: Story, tmp_path: Path) -> None:
    """A stick that lost some bytes: which file can't be unpacked is named, and nothing comes in."""
    place = tmp_path / "all.zip"
    write_out(place, NOW, "0.2.0")
    packed = bytearray(place.read_bytes())
    at = packed.index(b"owners.csv") + len("owners.csv") + 20
    packed[at : at + 8] = bytes(8)
    place.write_bytes(packed)
    with pytest.raises(InputRefused, match=r"owners\.csv can't be unpacked: the zip is damaged"):
        look_at_export(place)


def test_what_goes_out_is_for_this_user_alone(told: Story, tmp_path: Path) -> None:
    """Owners' names stand in it: each file of the folder, and the zip."""
    write_out(tmp_path / "out", NOW, "0.2.0")
    write_out(tmp_path / "all.zip", NOW, "0.2.0")
    written = [path for path in (tmp_path / "out").rglob("*") if path.is_file()]
    assert all(path.stat().st_mode & 0o077 == 0 for path in (*written, tmp_path / "all.zip"))
