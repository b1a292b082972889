"""What one owner agreed to, said or was named in goes no further than their own time with a bike."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.db import transaction

from pinchbolt.errors import NotPossibleNow
from pinchbolt.records.models import Bike, Event, Finding, Job, Owner, Person
from pinchbolt.workshop.came_up.come_back import REST, CameBackRequest, come_back
from pinchbolt.workshop.came_up.split_job import SplitRequest, split_job
from pinchbolt.workshop.came_up.undo_act import UndoRequest, undo_act
from pinchbolt.workshop.keeping.erase import EraseRequest, erase_owner, erase_view
from pinchbolt.workshop.leaving.back_said import GONE, NO, BackSaidRequest, say_of_call_back
from pinchbolt.workshop.leaving.call_back import call_backs
from pinchbolt.workshop.owners.give_over import (
    GiveOverRequest,
    UndoGiveOverRequest,
    give_over,
    givings_of,
    undo_give_over,
)
from pinchbolt.workshop.owners.outbox import outbox_folder
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from pinchbolt.workshop.stays.next_visit import visit_of
from pinchbolt.workshop.stays.note_finding import FindingRequest, note_finding
from pinchbolt.workshop.stays.rest import rest_of_bike
from tests import story
from tests.story import NOW, PASSPHRASE, Story
from tests.workshop.asking_back.test_due_back import called_back
from tests.workshop.keeping.erase_story import gone, worked_and_signed

pytestmark = pytest.mark.django_db
Marks = Callable[..., dict[str, object]]
AFTERNOON = NOW + timedelta(hours=4)
SOLD = NOW + timedelta(days=10)
LATER = NOW + timedelta(days=20)
TO_MARA = "Mara Quist"


@pytest.fixture
def told() -> Story:
    """A stay of Dov Ellenby's bike; the bike is gone."""
    here = worked_and_signed(story.checked_in())
    gone(here)
    return here


@pytest.fixture
def mark(told: Story) -> Marks:
    """Gives each act a mark of its own."""
    return lambda at=SOLD: {"by": told.first, "key": told.key(), "now": at}


@pytest.fixture
def eraser(
    tmp_path: Path, settings: SimpleNamespace, monkeypatch: pytest.MonkeyPatch
) -> Callable[[Owner], int]:
    """The owner of the workshop, who erases; what follows an act follows at once."""
    settings.ERASED_LIST, settings.OUTBOX = tmp_path / "erased.txt", tmp_path / "outbox"
    monkeypatch.setattr(transaction, "on_commit", lambda then: then())
    marnie = Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    return lambda one: erase_owner(
        EraseRequest(one.pk, PASSPHRASE), by=marnie.pk, key=f"erase-{one.pk:06}", now=LATER
    )


def newest(bike: Bike) -> int:
    """The giving over that may be taken back."""
    return givings_of(bike)[0].giving


@pytest.mark.parametrize("word", [GONE, NO])
def test_what_the_old_owner_said_of_a_call_back_keeps_nobody_from_asking_the_new_one(
    told: Story, mark: Marks, word: str
) -> None:
    """ "The bike is sold" was tapped first, then to whom: she is asked, and no more once it turns out that it was not."""
    say_of_call_back(BackSaidRequest(told.tag, word), **mark())
    assert call_backs(SOLD) == ()
    give_over(GiveOverRequest(told.tag, name=TO_MARA), **mark())
    assert [one.owner for one in call_backs(SOLD)] == [TO_MARA]
    undo_give_over(UndoGiveOverRequest(newest(told.record.bike)), **mark())
    assert call_backs(SOLD) == ()


def test_a_visit_that_the_old_owner_agreed_to_is_nobody_else_s(told: Story, mark: Marks) -> None:
    """What waiting costs is not weighed until a day of which the new owner knows nothing; the call-back says whose it was."""
    day = (NOW + timedelta(days=60)).date()
    said = {"job": told.job, "day": day.isoformat(), "waiting": {}}
    Event.objects.create(
        at=NOW, by_id=told.first, kind="visit agreed", key="agreed-01", job=told.record, bike=told.record.bike, said=said
    )  # fmt: skip
    called_back(told, 60)
    bike = told.record.bike
    assert visit_of(bike) == day
    give_over(GiveOverRequest(told.tag, name=TO_MARA), **mark())
    assert visit_of(bike) is None
    assert call_backs(SOLD)[0].call_back.reason.endswith("Agreed with whoever had the bike before.")
    undo_give_over(UndoGiveOverRequest(newest(bike)), **mark())
    assert visit_of(bike) == day
    assert "whoever" not in call_backs(SOLD)[0].call_back.reason


def test_work_that_the_old_owner_agreed_to_is_not_begun_for_the_new_one() -> None:
    """A line was put off, the bike is sold: she comes in with it, and nothing is agreed before she is asked."""
    on = story.answered(story.priced(story.walked_round(story.checked_in())))
    put_off = on.record.lines.exclude(verdict="unsafe to ride").order_by("pk")[0]
    split_job(
        SplitRequest(on.job, (put_off.pk,), (NOW + timedelta(days=9)).date(), "not in"), by=on.first, key=on.key(), now=NOW
    )  # fmt: skip
    Event.objects.create(
        at=NOW,
        by_id=on.first,
        kind="handed over",
        key="it-left-01",
        job=on.record,
        bike=on.record.bike,
        said={},
    )
    bike = on.record.bike
    assert rest_of_bike(bike) is not None
    give_over(GiveOverRequest(on.tag, name=TO_MARA), by=on.first, key=on.key(), now=SOLD)
    assert rest_of_bike(bike) is None
    with pytest.raises(NotPossibleNow, match="Nothing of an earlier stay"):
        come_back(CameBackRequest(on.job, REST), by=on.first, key=on.key(), now=LATER)
    assert Job.objects.count() == 1


def test_the_old_owner_s_words_are_not_handed_on_when_the_bike_comes_back(told: Story, mark: Marks) -> None:
    """ "Again: ..." repeats what was said by whose bike it still is, and by nobody else."""
    give_over(GiveOverRequest(told.tag, name=TO_MARA), **mark())
    new = come_back(CameBackRequest(told.job, "same complaint"), **mark(LATER))
    assert "slips" in told.record.owner_words
    assert Job.objects.get(pk=new).owner_words == ""


def test_a_handover_is_not_taken_back_once_the_bike_is_somebody_else_s(told: Story, mark: Marks) -> None:
    """Sold in the afternoon: the stay of the morning is not opened again under who has it now."""
    give_over(GiveOverRequest(told.tag, name=TO_MARA), **mark(AFTERNOON))
    left = Event.objects.get(job=told.record, kind="handed over")
    with pytest.raises(NotPossibleNow, match="somebody else's since"):
        undo_act(UndoRequest(told.job, left.pk), **mark(AFTERNOON))
    undo_give_over(UndoGiveOverRequest(newest(told.record.bike)), **mark(AFTERNOON))
    undo_act(UndoRequest(told.job, left.pk), **mark(AFTERNOON))


def test_what_may_be_spent_without_a_call_is_said_by_who_brings_the_bike(told: Story, mark: Marks) -> None:
    """Neither the old owner's standing limit nor that of nobody known counts: hers does."""
    Owner.objects.filter(pk=told.record.bike.owner_id).update(spend_limit=90)
    seen = give_over(GiveOverRequest(told.tag), **mark())
    Owner.objects.filter(pk=seen.to).update(spend_limit=70)
    mara = Owner.objects.create(name=TO_MARA, spend_limit=25)
    job = Job.objects.get(pk=check_in(CheckInRequest(tag=told.tag, owner=mara.pk), **mark(LATER)).job)
    assert (job.whose, job.spend_limit) == (mara, 25)


def test_a_letter_to_the_old_owner_is_gone_with_the_bike(
    told: Story, mark: Marks, eraser: Callable[[Owner], int]
) -> None:
    """Not when somebody looks into the outbox next: it holds an address."""
    folder = outbox_folder()
    folder.mkdir(parents=True)
    (folder / "7.eml").write_text("To: dov@example.org")
    give_over(GiveOverRequest(told.tag, name=TO_MARA), **mark())
    assert list(folder.iterdir()) == []


def test_who_was_erased_is_named_in_no_stay_of_whoever_had_the_bike_after(
    told: Story, mark: Marks, eraser: Callable[[Owner], int]
) -> None:
    """His whole name and phone go from her stay; her own words stay, and so does her own name where they share one."""
    dov = told.record.bike.owner
    mara = Owner.objects.get(pk=give_over(GiveOverRequest(told.tag, name="Mara Ellenby"), **mark()).to)
    asked = CheckInRequest(
        tag=told.tag,
        owner_words="Bought from Dov Ellenby, it ticks.",
        seen_words="Dov Ellenby says 01632 960777.",
    )
    second = Job.objects.get(pk=check_in(asked, **mark(LATER)).job)
    note_finding(
        FindingRequest(second.pk, "Mara Ellenby had Dov Ellenby's pedals on.", "keep an eye on it"),
        **mark(LATER),
    )
    assert not any("pedals" in one for one in erase_view(dov.pk).notes)
    eraser(dov)
    second.refresh_from_db()
    assert (second.owner_words, second.seen_words) == (
        "Bought from [erased], it ticks.",
        "[erased] says [erased].",
    )
    assert Finding.objects.get(job=second).words == "Mara Ellenby had [erased]'s pedals on."
    everywhere = repr(list(Event.objects.values_list("said", flat=True)))
    assert "Dov Ellenby" not in everywhere and "960777" not in everywhere
    assert mara.name == "Mara Ellenby"


def test_who_had_a_bike_that_was_never_here_meanwhile_is_erased_from_it_too(
    told: Story, mark: Marks, eraser: Callable[[Owner], int]
) -> None:
    """From Dov to Mara to Bo, without a stay of hers: the bike's note names her, and the digest of her name goes."""
    mara = Owner.objects.get(pk=give_over(GiveOverRequest(told.tag, name=TO_MARA), **mark()).to)
    give_over(GiveOverRequest(told.tag, name="Bo Tarn"), **mark())
    Bike.objects.update(note=f"{TO_MARA} had it for a month.")
    eraser(mara)
    assert Bike.objects.get().note == "[erased] had it for a month."
    prints = Event.objects.filter(kind="bike given over").order_by("pk").values_list("fingerprint", flat=True)
    assert prints[0] == "erased"
