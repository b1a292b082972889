"""An owner is erased: no file holds them any more but their bills, and what was done to the bike stays."""

import io
import json
import zipfile
from collections.abc import Iterable
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import transaction
from django.db.utils import IntegrityError

from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import Bike, Bill, Event, Owner, Paper, Person, Reading, Ride
from pinchbolt.workshop.came_up.call_off import TWICE, CallOffRequest, call_off
from pinchbolt.workshop.keeping.erase import EraseRequest, erase_again, erase_owner, erase_view
from pinchbolt.workshop.keeping.erased_list import erased_numbers, note_all_erased
from pinchbolt.workshop.keeping.held import HeldRequest, papers_of, tell_what_we_hold
from pinchbolt.workshop.leaving.print_sheet import print_sheet
from pinchbolt.workshop.owners.find import find_bikes
from pinchbolt.workshop.owners.merge import MergeRequest, merge_owners
from pinchbolt.workshop.owners.owner_view import owner_view
from pinchbolt.workshop.rides.exposure import use_of
from pinchbolt.workshop.stays.payments import PaymentRequest, note_payment
from tests import story
from tests.story import NOW, PASSPHRASE, open_shop
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
    assert erased_numbers() == (owner.pk, twin.pk)
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


@pytest.mark.django_db
def test_who_was_merged_and_erased_goes_again_by_themselves(marnie: Person, list_file: Path) -> None:
    """A copy of before the merge brings two owners back: both go, the one that was merged too."""
    told = worked_and_signed(story.checked_in())
    owner = gone(told)
    twin = Owner.objects.create(name="D. Ellenby", phone="01632 960777")
    merge_owners(MergeRequest(owner.pk, twin.pk), by=told.first, key=told.key(), now=NOW)
    erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    Owner.objects.filter(pk=twin.pk).update(
        name="D. Ellenby", phone="01632 960777", merged_into=None, erased_at=None
    )
    assert erase_again(erased_numbers(), NOW + timedelta(days=1)) == 1
    assert Owner.objects.get(pk=twin.pk).name == "owner erased" and not Owner.objects.get(pk=twin.pk).phone


@pytest.mark.django_db
def test_the_number_of_an_erased_owner_is_given_to_nobody(marnie: Person, list_file: Path) -> None:
    """In a copy of before they came it would be free, and the next new owner would be erased in their place."""
    before = Owner.objects.create(name="Ada Fenwick").pk
    assert erase_again((before + 3,), NOW) == 0
    assert Owner.objects.create(name="Zoë Müller").pk == before + 4


@pytest.mark.django_db
def test_a_list_that_was_lost_is_written_anew(marnie: Person, list_file: Path) -> None:
    """From who is erased on record; a second look adds nothing."""
    owner = Owner.objects.create(name="Ada Fenwick")
    open_shop()
    erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    list_file.unlink()
    note_all_erased()
    note_all_erased()
    assert erased_numbers() == (owner.pk,) and len(list_file.read_text().splitlines()) == 1


@pytest.mark.django_db
def test_every_sheet_of_a_handover_goes(marnie: Person, list_file: Path) -> None:
    """One that was made again has a sheet of its own; the bill stays, and is told of as page and as strip."""
    told = worked_and_signed(story.checked_in())
    owner = gone(told)
    for name in (f"handover {told.job}/99", "bill 2026-0001 strip", f"handover {told.job}9/1"):
        Paper.objects.create(name=name, at=NOW, pdf=b"%PDF Dov Ellenby")
    Paper.objects.get_or_create(name="bill 2026-0001", defaults={"at": NOW, "pdf": b"%PDF"})
    assert {f"handover {told.job}", f"handover {told.job}/99", "bill 2026-0001 strip"} <= {
        paper.name for paper in papers_of(owner.pk)
    }
    erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    assert set(Paper.objects.values_list("name", flat=True)) == {
        "bill 2026-0001", "bill 2026-0001 strip", f"handover {told.job}9/1",
    }  # fmt: skip


@pytest.mark.django_db
def test_an_erasing_asked_for_twice_is_done_once(marnie: Person, list_file: Path) -> None:
    """The same tap again, on a bad line, is no other act."""
    owner = gone(worked_and_signed(story.checked_in()))
    for _ in range(2):
        asked = EraseRequest(owner.pk, PASSPHRASE)
        assert erase_owner(asked, by=marnie.pk, key="erase-00001", now=NOW) == owner.pk
    assert Event.objects.filter(kind="owner erased").count() == 1


@pytest.mark.django_db
def test_a_job_that_was_called_off_stops_no_erasing(marnie: Person, list_file: Path) -> None:
    """The bike is not here any more, whichever way its stay ended."""
    told = story.checked_in()
    asked = CallOffRequest(told.job, TWICE)
    call_off(asked, by=told.first, key=told.key(), now=NOW)
    owner = told.record.bike.owner
    assert erase_view(owner.pk).stops == ()
    assert owner_view(owner.pk).bikes[0].where == ""
    assert not find_bikes(told.tag)[0].is_here


@pytest.mark.django_db
def test_a_name_that_is_a_part_takes_no_part_away(marnie: Person, list_file: Path) -> None:
    """Anna Post had a seat post clamped, Tom Bell a bell looked at: joints, items and kinds stay, notes lose the name."""
    told = worked_and_signed(story.checked_in())
    Owner.objects.filter(pk=told.record.bike.owner_id).update(name="Bell Post Caliper Stem")
    owner = gone(told)
    Owner.objects.filter(pk=owner.pk).update(name="Bell Post Caliper Stem")
    said = {"joint": "seat-post-clamp", "items": ["bell"], "what": "stem", "words": "Post rings first"}
    event = Event.objects.create(
        at=NOW, by=marnie, kind="found", key="by-hand-0001", job=told.record, said=said
    )
    codes = codes_of(Event.objects.filter(job=told.record).exclude(pk=event.pk))
    erase_owner(EraseRequest(owner.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=NOW)
    event.refresh_from_db()
    assert event.said == {**said, "words": "[erased] rings first"}
    assert codes_of(Event.objects.filter(job=told.record).exclude(pk=event.pk)) == codes
    assert any("stem" in one for one in codes)


def codes_of(events: Iterable[Event]) -> list[str]:
    """Every joint, item, part and operation that events name."""
    names = ("joint", "item", "items", "limit", "operation", "part", "place", "tool", "kind")
    return [str(event.said[name]) for event in events for name in names if name in event.said]
