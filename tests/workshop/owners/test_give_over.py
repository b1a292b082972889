"""A bike changes hands: what was said and paid before stays with whose it was, what comes after is the new owner's."""

import io
import json
import zipfile
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import transaction

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bike, Bill, Event, Job, Owner, Person, Photo
from pinchbolt.workshop.keeping.erase import EraseRequest, erase_owner
from pinchbolt.workshop.keeping.held import HeldRequest, tell_what_we_hold
from pinchbolt.workshop.leaving.bike_sheet import bike_sheet
from pinchbolt.workshop.leaving.call_back import call_backs
from pinchbolt.workshop.owners.find import find_bikes
from pinchbolt.workshop.owners.give_over import (
    NOT_KNOWN,
    GiveOverRequest,
    UndoGiveOverRequest,
    give_over,
    givings_of,
    undo_give_over,
)
from pinchbolt.workshop.owners.merge import (
    MergeRequest,
    UndoMergeRequest,
    merge_owners,
    merges_of,
    undo_merge,
)
from pinchbolt.workshop.owners.owner_view import owner_view
from pinchbolt.workshop.stays.check_in import CheckInRequest, check_in
from tests import story
from tests.story import NOW, PASSPHRASE, Story
from tests.workshop.keeping.erase_story import gone, worked_and_signed

pytestmark = pytest.mark.django_db
Act = Callable[[], dict[str, object]]
SOLD = NOW + timedelta(days=10)
LATER = NOW + timedelta(days=20)


@pytest.fixture
def told() -> Story:
    """A stay of Dov Ellenby's bike with all that can hold words; the bike is gone."""
    here = worked_and_signed(story.checked_in())
    Photo.objects.create(
        event=Event.objects.filter(job=here.job).first(),
        job=here.record,
        about="bike",
        jpeg=b"\xff\xd8a photo",
    )
    gone(here)
    return here


@pytest.fixture
def mark(told: Story) -> Callable[..., dict[str, object]]:
    """Gives each act a mark of its own."""
    return lambda at=SOLD: {"by": told.first, "key": told.key(), "now": at}


def held(owner: Owner, mark: dict[str, object]) -> tuple[str, set[str]]:
    """What is handed out of an owner: all words of the data, and the names of the files."""
    with zipfile.ZipFile(io.BytesIO(tell_what_we_hold(HeldRequest(owner.pk), **mark))) as packed:  # type: ignore[arg-type]
        return json.dumps(json.loads(packed.read("everything.json"))), set(packed.namelist())


def back_again(told: Story, at: object, words: str = "It ticks.") -> Job:
    """The bike comes in once more."""
    asked = CheckInRequest(tag=told.tag, owner_words=words)
    return Job.objects.get(pk=check_in(asked, by=told.first, key=told.key(), now=at).job)  # type: ignore[arg-type]


def test_every_stay_stays_with_whose_it_was(told: Story, mark: Callable[..., dict[str, object]]) -> None:
    """Sold ten days after: the first stay, its bill, photo and sheets are Dov's, the second is Mara's; each is told their own."""
    dov, bill = told.record.bike.owner, str(Bill.objects.get())
    seen = give_over(GiveOverRequest(told.tag, name="Mara Quist", phone="01632 960555"), **mark())
    mara = Owner.objects.get(pk=seen.to)
    second = back_again(told, LATER)
    assert (told.record.whose, second.whose, Bike.objects.get().owner) == (dov, mara, mara)
    assert owner_view(dov.pk).bills == (bill,) and owner_view(mara.pk).bills == ()
    theirs, files = held(dov, mark(LATER))
    assert "slips under load" in theirs and "It ticks" not in theirs and "Mara" not in theirs
    assert any(name.startswith("photos/") for name in files) and any("handover" in name for name in files)
    hers, files = held(mara, mark(LATER))
    assert "It ticks" in hers and "slips under load" not in hers and "Ellenby" not in hers
    assert files == {"everything.json", "letter.pdf"}
    assert "somebody else's from" in " ".join(line.words for line in bike_sheet(told.tag, LATER).history)
    assert {one.owner for one in find_bikes(told.tag)} == {"Mara Quist"}


def test_the_call_back_goes_to_the_new_owner(told: Story, mark: Callable[..., dict[str, object]]) -> None:
    """The parts wear on under whoever rides; the old owner is not rung about a bike that is gone."""
    assert [one.owner for one in call_backs(SOLD)] == ["Dov Ellenby"]
    give_over(GiveOverRequest(told.tag, name="Mara Quist"), **mark())
    assert [one.owner for one in call_backs(SOLD)] == ["Mara Quist"]


def test_erasing_goes_by_whose_it_was(
    told: Story,
    mark: Callable[..., dict[str, object]],
    tmp_path: Path,
    settings: object,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The old owner's words and photo go, the new one's stay, and so does the frame number; then the other way round."""
    settings.ERASED_LIST = tmp_path / "erased.txt"  # type: ignore[attr-defined]
    monkeypatch.setattr(transaction, "on_commit", lambda then: then())
    marnie = Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    Bike.objects.update(frame_number="WTU123")
    dov = told.record.bike.owner
    mara = Owner.objects.get(pk=give_over(GiveOverRequest(told.tag, name="Mara Quist"), **mark()).to)
    second = back_again(told, LATER)
    # Her bike is here: his erasing does not wait for it.
    erase_owner(EraseRequest(dov.pk, PASSPHRASE), by=marnie.pk, key="erase-00001", now=LATER)
    told.record.refresh_from_db(), second.refresh_from_db()
    assert (told.record.owner_words, second.owner_words) == ("the owner's words were erased", "It ticks.")
    bike = Bike.objects.get()
    assert (bike.frame_number, bike.owner.name, Photo.objects.count()) == ("WTU123", "Mara Quist", 0)
    assert (told.record.whose.name, second.whose) == ("owner erased", mara)
    with pytest.raises(NotPossibleNow, match="is here"):
        erase_owner(EraseRequest(mara.pk, PASSPHRASE), by=marnie.pk, key="erase-00002", now=LATER)
    with pytest.raises(NotPossibleNow, match="was here on"):
        undo_give_over(UndoGiveOverRequest(givings_of(bike)[0].giving), **mark(LATER))


def test_undo_leads_back_and_only_the_newest_goes(
    told: Story, mark: Callable[..., dict[str, object]]
) -> None:
    """Twice in other hands, then both taken back one after the other: as it was."""
    dov = told.record.bike.owner
    one = give_over(GiveOverRequest(told.tag, name="Mara Quist"), **mark())
    two = give_over(GiveOverRequest(told.tag), **mark(LATER))
    assert (two.gone_from, two.gone_to, two.may_undo) == ("Mara Quist", NOT_KNOWN, True)
    assert [seen.may_undo for seen in givings_of(Bike.objects.get())] == [True, False]
    with pytest.raises(NotPossibleNow, match="newest"):
        undo_give_over(UndoGiveOverRequest(one.giving), **mark(LATER))
    for giving in (two, one):
        asked = {**mark(LATER), "key": f"undo-giving-{giving.giving}"}
        assert undo_give_over(UndoGiveOverRequest(giving.giving), **asked) == told.tag
        assert undo_give_over(UndoGiveOverRequest(giving.giving), **asked) == told.tag
    assert (Bike.objects.get().owner, Job.objects.get().owner, givings_of(Bike.objects.get())) == (
        dov,
        None,
        (),
    )
    with pytest.raises(NotPossibleNow):
        undo_give_over(UndoGiveOverRequest(one.giving), **mark(LATER))


def test_told_late_a_stay_goes_to_who_had_it_by_then(
    told: Story, mark: Callable[..., dict[str, object]]
) -> None:
    """Sold on day 10, here on day 20 under the old name, told on day 30: that stay was the new owner's. A giving of before is refused."""
    stay = back_again(told, LATER)
    with pytest.raises(NotPossibleNow, match="end this stay first"):
        give_over(GiveOverRequest(told.tag, name="Mara Quist"), **mark(LATER))
    ended = Event(
        at=LATER, by_id=told.first, kind="called off", key="it-ended-here", job=stay, bike=stay.bike, said={}
    )
    ended.save()
    at = LATER + timedelta(days=10)
    seen = give_over(GiveOverRequest(told.tag, name="Mara Quist", day=SOLD.date()), **mark(at))
    stay.refresh_from_db()
    assert (stay.whose.name, told.record.whose.name) == ("Mara Quist", "Dov Ellenby")
    for day, why in (
        (SOLD.date() - timedelta(days=1), "came to Mara Quist on"),
        (at.date() + timedelta(days=1), "after today"),
    ):
        with pytest.raises(InputRefused, match=why):
            give_over(GiveOverRequest(told.tag, name="Bo Tarn", day=day), **mark(at))
    with pytest.raises(InputRefused, match="is Mara Quist's already"):
        give_over(GiveOverRequest(told.tag, to=seen.to), **mark(at))


def test_who_brings_a_bike_of_nobody_known_says_whose_it_is(
    told: Story, mark: Callable[..., dict[str, object]]
) -> None:
    """Sold to somebody unknown; it comes in with a name, and the stay of before stays the first owner's."""
    give_over(GiveOverRequest(told.tag), **mark())
    asked = CheckInRequest(tag=told.tag, owner_name="Bo Tarn", owner_words="Bought it last week.")
    job = Job.objects.get(pk=check_in(asked, **mark(LATER)).job)
    assert (job.whose.name, told.record.whose.name) == ("Bo Tarn", "Dov Ellenby")
    assert [one.gone_to for one in givings_of(job.bike)] == ["Bo Tarn", NOT_KNOWN]


def test_merges_before_and_after_lead_to_the_one_who_stands(
    told: Story, mark: Callable[..., dict[str, object]]
) -> None:
    """The old owner turns out to be known twice: his stays are found under the kept name, and go back when taken apart."""
    dov = told.record.bike.owner
    give_over(GiveOverRequest(told.tag, name="Mara Quist"), **mark())
    twice = Owner.objects.create(name="D. Ellenby")
    merge_owners(MergeRequest(twice.pk, dov.pk), **mark())
    assert told.record.whose == twice and owner_view(twice.pk).bills == (str(Bill.objects.get()),)
    undo_merge(UndoMergeRequest(merges_of(twice.pk)[0].merge), **mark())
    assert told.record.whose == dov and owner_view(twice.pk).bills == ()
