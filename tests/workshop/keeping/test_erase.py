"""An owner is erased: no file holds them any more but their bills, and what was done to the bike stays."""

import io
import json
import sqlite3
import zipfile
from contextlib import closing
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import connection, transaction
from django.db.utils import IntegrityError

from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import Bike, Bill, Event, Owner, Person, Reading, Ride
from pinchbolt.workshop.keeping.erase import EraseRequest, erase_again, erase_owner, erase_view
from pinchbolt.workshop.keeping.erased_list import erased_numbers
from pinchbolt.workshop.keeping.held import HeldRequest, tell_what_we_hold
from pinchbolt.workshop.leaving.hand_over import HandOverRequest, hand_over
from pinchbolt.workshop.leaving.print_sheet import print_sheet
from pinchbolt.workshop.owners.change_owner import OwnerRequest, change_owner
from pinchbolt.workshop.owners.consent import ConsentRequest, say_consent
from pinchbolt.workshop.owners.merge import MergeRequest, merge_owners
from pinchbolt.workshop.owners.told_fields import MAIL, PHONE, Way
from pinchbolt.workshop.rides.exposure import use_of
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.payments import PaymentRequest, note_payment
from tests import story
from tests.story import NOW, PASSPHRASE, Story
from tests.workshop.ride_story import ride_of, take

PERSON = (
    b"ellenby",
    b"dov",
    b"960123",
    b"960777",
    b"dov@example.org",
    b"weir lane",
    b"chain is nearly new",
)


@pytest.fixture
def marnie() -> Person:
    """The owner of the workshop."""
    return Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)


@pytest.fixture
def list_file(tmp_path: Path, settings: object, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A list of erased numbers of this test's own; the test's transaction never ends, so what follows one is done at once."""
    file = tmp_path / "erased-owners.txt"
    settings.ERASED_LIST = file  # type: ignore[attr-defined]
    monkeypatch.setattr(transaction, "on_commit", lambda then: then())
    return file


def gone(told: Story, *, paid: str = "cash") -> Owner:
    """A stay with everything that can hold a person's words, and the bike handed over."""
    owner = told.record.bike.owner
    by = {"by": told.first, "now": NOW}
    change_owner(
        OwnerRequest(
            owner.pk, {"name": "Dov Ellenbie", "address": "3 Weir Lane"}, [Way(MAIL, "dov@example.org")]
        ),
        key=told.key(),
        **by,
    )
    change_owner(
        OwnerRequest(owner.pk, {"name": "Dov Ellenby"}, [Way(PHONE, "+44 1632 960777", "Dov at work")]),
        key=told.key(),
        **by,
    )
    say_consent(ConsentRequest(owner.pk, "news", "text", True), key=told.key(), **by)
    hand_over(HandOverRequest(told.job, acknowledged=True, paid=paid), key=told.key(), **by)
    print_sheet("handover", told.job, NOW)
    owner.refresh_from_db()
    return owner


def worked_and_signed(told: Story) -> Story:
    """A road bike worked on and signed off."""
    worked = story.worked(story.answered(story.priced(story.walked_round(told))))
    said = FindingRequest(
        told.job, "Mr Ellenby rings 01632 960123 first. Seat post stuck.", "keep an eye on it"
    )
    note_finding(said, by=told.first, key=told.key(), now=NOW)
    return story.signed_off(worked)


def bytes_of_the_database(file: Path) -> bytes:
    """Every byte of a copy of the database, free corners too, as a backup takes it."""
    with closing(sqlite3.connect(file)) as copy:
        connection.connection.backup(copy)
    return file.read_bytes()


@pytest.mark.django_db
def test_nothing_holds_the_person_afterwards_but_bills(
    marnie: Person, list_file: Path, tmp_path: Path
) -> None:
    """Database and backup are searched byte by byte for name, phones, e-mail, address and what the owner said."""
    told = worked_and_signed(story.checked_in())
    owner = gone(told)
    take(told, ("dov-ellenby-home.fit", ride_of(248, 40.0)))
    readings = Reading.objects.count()
    before = bytes_of_the_database(tmp_path / "before.sqlite3").lower()
    assert all(words in before for words in PERSON)
    number = erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    assert number == owner.pk
    held = bytes_of_the_database(tmp_path / "after.sqlite3").lower()
    bills = b"".join(
        json.dumps(bill.said).lower().encode() + bill.bought_by.name.lower().encode()
        for bill in Bill.objects.all()
    )
    for words in PERSON:
        assert held.count(words) == bills.count(words), words
    assert bills.count(b"dov ellenby") and list_file.read_bytes().lower().count(b"ellenby") == 0
    # What was done to the bike stays.
    bike = Bike.objects.get(tag=told.tag)
    assert (bike.owner.name, bike.frame_number, Reading.objects.count()) == ("owner erased", "", readings)
    assert "Seat post stuck." in told.record.findings.latest("pk").words
    assert told.record.owner_words == "the owner's words were erased"
    assert print_sheet("handover", told.job, NOW).startswith(b"%PDF")


@pytest.mark.django_db
def test_the_kilometres_stay_without_the_rides(marnie: Person, list_file: Path) -> None:
    """A part's use before and after is the same to a tenth of a kilometre a year; no ride is left."""
    told = worked_and_signed(story.checked_in())
    take(
        told,
        *(
            (f"{day}.fit", ride_of(day, km))
            for day, km in ((-130, 150.0), (-30, 100.0), (100, 200.0), (240, 250.0))
        ),
    )
    chain = next(iter(Bike.objects.get(tag=told.tag).fittings.filter(part__kind="chain"))).part
    first = chain.fittings.get()
    first.since_said = "all along"
    first.save()
    used = use_of(chain, NOW.date()).km
    assert used >= 700.0
    owner = gone(told)
    erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    assert Ride.objects.count() == 0
    assert use_of(chain, NOW.date()).km == pytest.approx(used, abs=1.0)


@pytest.mark.django_db
def test_it_is_refused_while_something_is_open(marnie: Person, list_file: Path) -> None:
    """A bike that is here and a bill that is not settled, each with its door; nothing is taken out."""
    told = worked_and_signed(story.checked_in())
    owner = told.record.bike.owner
    assert erase_view(owner.pk).stops == (f"{told.tag} is here (ready): hand it over first.",)
    with pytest.raises(NotPossibleNow, match="is here \\(ready\\): hand it over first"):
        erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    gone(told, paid="not yet")
    (stop,) = erase_view(owner.pk).stops
    assert stop.startswith("Bill 2026-0001 of PB-001 is not settled")
    bill = Bill.objects.get()
    note_payment(
        PaymentRequest(told.job, "paid", Decimal(str(bill.said["to_pay"])), "cash"),
        by=marnie.pk,
        key="paid-00001",
        now=NOW,
    )
    assert erase_view(owner.pk).stops == ()
    assert owner.__class__.objects.get(pk=owner.pk).name == "Dov Ellenby"


@pytest.mark.django_db
def test_only_the_owner_of_the_workshop_with_their_passphrase(marnie: Person, list_file: Path) -> None:
    """A mechanic may not, and a wrong passphrase takes nothing out."""
    told = worked_and_signed(story.checked_in())
    owner = gone(told)
    with pytest.raises(NotAllowed, match="this is for the owner of the workshop"):
        erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=told.first, key="erase-00001", now=NOW)
    with pytest.raises(InputRefused, match="This is not your passphrase"):
        erase_owner(EraseRequest(owner.pk, "three plain word"), by=marnie.pk, key="erase-00002", now=NOW)
    assert Owner.objects.get(pk=owner.pk).erased_at is None and erased_numbers() == ()


@pytest.mark.django_db
def test_who_was_merged_into_them_goes_too_and_a_backup_brought_back_is_erased_again(
    marnie: Person, list_file: Path
) -> None:
    """The list outside the records has the number alone; after a restore the same owner goes once more."""
    told = worked_and_signed(story.checked_in())
    owner = gone(told)
    twin = Owner.objects.create(name="D. Ellenby", phone="01632 960777")
    merge_owners(MergeRequest(owner.pk, twin.pk), by=told.first, key=told.key(), now=NOW)
    erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    assert set(Owner.objects.values_list("name", flat=True)) == {"owner erased"}
    assert erased_numbers() == (owner.pk,)
    # As it stood in a backup of before.
    Owner.objects.filter(pk=owner.pk).update(name="Dov Ellenby", erased_at=None)
    assert erase_again(erased_numbers(), NOW + timedelta(days=1)) == 1
    assert Owner.objects.get(pk=owner.pk).name == "owner erased"
    assert erase_again(erased_numbers(), NOW + timedelta(days=2)) == 0


@pytest.mark.django_db
def test_outside_an_erasing_nothing_that_was_written_is_changed(marnie: Person, list_file: Path) -> None:
    """The database stands aside for the one transaction, and for no other."""
    told = worked_and_signed(story.checked_in())
    erase_owner(EraseRequest(gone(told).pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    for act in (
        lambda: Event.objects.update(kind="x"),
        lambda: Event.objects.filter(kind="checked in").delete(),
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            act()


@pytest.mark.django_db
def test_everything_we_hold_is_one_file(list_file: Path) -> None:
    """The data with what the owner said and what it said before, the letter, and the papers that were handed out."""
    told = worked_and_signed(story.checked_in())
    owner = gone(told)
    packed = zipfile.ZipFile(
        io.BytesIO(tell_what_we_hold(HeldRequest(owner.pk), by=told.first, key=told.key(), now=NOW))
    )
    names = packed.namelist()
    assert names[:2] == ["everything.json", "letter.pdf"]
    assert any(name.startswith("papers/handover") for name in names) and packed.read("letter.pdf").startswith(
        b"%PDF"
    )
    held = json.loads(packed.read("everything.json"))
    text = json.dumps(held, ensure_ascii=False)
    for said in (
        "Dov Ellenby",
        "Dov Ellenbie",
        "01632 960123",
        "+44 1632 960777",
        "dov@example.org",
        "3 Weir Lane",
        "Chain is nearly new",
    ):
        assert said in text
    assert held["bikes"][0]["tag"] == told.tag and held["bills"][0]["number"] == "2026-0001"
    assert Event.objects.filter(kind="told what we hold").latest("pk").said == {"owner": owner.pk}
