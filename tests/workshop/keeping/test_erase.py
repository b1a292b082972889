"""An owner is erased: no file holds them any more but their bills, and what was done to the bike stays."""

import io
import json
import zipfile
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import transaction
from django.db.utils import IntegrityError

from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import Bike, Bill, Event, Owner, Person, Reading, Ride
from pinchbolt.workshop.keeping.erase import EraseRequest, erase_again, erase_owner, erase_view
from pinchbolt.workshop.keeping.erased_list import erased_numbers
from pinchbolt.workshop.keeping.held import HeldRequest, tell_what_we_hold
from pinchbolt.workshop.leaving.print_sheet import print_sheet
from pinchbolt.workshop.owners.merge import MergeRequest, merge_owners
from pinchbolt.workshop.rides.exposure import use_of
from pinchbolt.workshop.stays.payments import PaymentRequest, note_payment
from tests import story
from tests.story import NOW, PASSPHRASE
from tests.workshop.keeping.erase_story import gone, worked_and_signed
from tests.workshop.ride_story import ride_of, take


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


@pytest.mark.django_db
def test_what_was_done_to_the_bike_stays(marnie: Person, list_file: Path) -> None:
    """Readings, notes without the name, and the sheet pressed anew without the person; the bill keeps its buyer."""
    told = worked_and_signed(story.checked_in())
    readings = Reading.objects.count()
    owner = gone(told)
    erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    bike = Bike.objects.get(tag=told.tag)
    assert (bike.owner.name, bike.frame_number, Reading.objects.count()) == ("owner erased", "", readings)
    note = told.record.findings.get(words__endswith="Seat post stuck.")
    assert note.words == "Mr [erased] rings [erased] first. Seat post stuck."
    assert told.record.owner_words == "the owner's words were erased"
    assert print_sheet("handover", told.job, NOW).startswith(b"%PDF")
    assert Bill.objects.get().bought_by.name == "Dov Ellenby"
    assert Event.objects.get(kind="owner erased").said["owner"] == owner.pk


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
