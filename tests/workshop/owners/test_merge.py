"""Two owners merged and taken apart: nothing is lost, nothing is let, and any merges may be undone in any order."""

import os
from collections.abc import Callable
from datetime import timedelta
from random import Random

import pytest
from django.db import transaction

from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import ABOUT, BY_WAY, Bike, Event, Owner, Person
from pinchbolt.workshop.owners.change_owner import OwnerRequest, change_owner, newest_word
from pinchbolt.workshop.owners.consent import consents_of, may_reach
from pinchbolt.workshop.owners.find import find_bikes
from pinchbolt.workshop.owners.merge import (
    MERGED,
    MergeRequest,
    UndoMergeRequest,
    merge_owners,
    merges_of,
    undo_merge,
)
from pinchbolt.workshop.owners.say_consent import ConsentRequest, say_consent
from pinchbolt.workshop.owners.told_fields import MAIL, PHONE, ReachWay
from tests.story import NOW, open_shop

pytestmark = pytest.mark.django_db
Act = Callable[[], dict[str, object]]


@pytest.fixture
def mechanic() -> Person:
    """Somebody who works here."""
    return open_shop()[0]


@pytest.fixture
def mark(mechanic: Person) -> Act:
    """Gives each act a mark of its own."""
    count = iter(range(100_000))
    return lambda: {"by": mechanic.pk, "key": f"merge-{next(count):06d}", "now": NOW}


def owner(name: str, phone: str, *tags: str) -> Owner:
    """An owner with these bikes."""
    made = Owner.objects.create(name=name, phone=phone)
    for tag in tags:
        Bike.objects.create(tag=tag, owner=made, kind="road", words="road bike")
    return made


def test_one_person_written_down_twice_becomes_one(mark: Act) -> None:
    """Bikes, phones and what was empty come along; the other is found under the kept name, and both are there again after undo."""
    ada, ada_too = (
        owner("Ada Fenwick", "01632 960118", "PB-014"),
        owner("Ada Fenwik", "01632 960555", "PB-020"),
    )
    change_owner(
        OwnerRequest(ada_too.pk, {"belongs_to": "Ostermere Wheelers"}, [ReachWay(MAIL, "ada@example.org")]),
        **mark(),
    )
    assert merge_owners(MergeRequest(ada.pk, ada_too.pk), **mark()) == ada.pk
    ada.refresh_from_db()
    assert (ada.name, ada.phone, ada.belongs_to) == ("Ada Fenwick", "01632 960118", "Ostermere Wheelers")
    assert [way["value"] for way in ada.ways] == ["01632 960555", "ada@example.org"]
    assert {bike.tag for bike in ada.bikes.all()} == {"PB-014", "PB-020"}
    assert {one.owner for one in find_bikes("960555")} == {"Ada Fenwick"}
    assert find_bikes("fenwik") == ()
    (merge,) = merges_of(ada.pk)
    assert (merge.gone, merge.by) == ("Ada Fenwik", "Ines Holloway")
    undo_merge(UndoMergeRequest(merge.merge), **mark())
    ada.refresh_from_db()
    assert (ada.belongs_to, ada.ways, [bike.tag for bike in ada.bikes.all()]) == ("", [], ["PB-014"])
    assert {one.tag for one in find_bikes("fenwik")} == {"PB-020"}


def test_what_came_after_the_merge_stays_and_is_told(mark: Act) -> None:
    """A field written after the merge is nobody's to take away; undo names it."""
    ada, ada_too = owner("Ada Fenwick", "", "PB-014"), owner("Ada Fenwik", "01632 960555", "PB-020")
    merge_owners(MergeRequest(ada.pk, ada_too.pk, ["name"]), **mark())
    change_owner(OwnerRequest(ada.pk, {"called": "Mrs F."}), **mark())
    (merge,) = merges_of(ada.pk)
    apart = undo_merge(UndoMergeRequest(merge.merge), **mark())
    ada.refresh_from_db()
    assert (ada.name, ada.called, ada.phone) == ("Ada Fenwick", "Mrs F.", "")
    assert apart.after == ("called changed by Ines Holloway on 25 Nov 2026",)


def test_nothing_is_overwritten_unseen(mark: Act) -> None:
    """Two at once: the second reads who was first, and saves again to take theirs."""
    ada = owner("Ada Fenwick", "01632 960118")
    seen = newest_word(ada.pk)
    change_owner(OwnerRequest(ada.pk, {"phone": "01632 960119"}, seen=seen), **mark())
    with pytest.raises(
        NotPossibleNow, match="Ines Holloway changed this owner since the page was opened \\(phone\\)"
    ):
        change_owner(OwnerRequest(ada.pk, {"note": "rings twice"}, seen=seen), **mark())
    change_owner(OwnerRequest(ada.pk, {"note": "rings twice"}, seen=newest_word(ada.pk)), **mark())
    ada.refresh_from_db()
    assert (ada.phone, ada.note) == ("01632 960119", "rings twice")


@pytest.mark.parametrize("seen", [2**31, 2**63, 10**400], ids=["a word", "two words", "400 figures"])
def test_an_act_that_nobody_can_have_seen_is_after_all(mark: Act, seen: int) -> None:
    """Typed into the address of a form: a number past every column is no fault, whatever it was meant to be."""
    ada = owner("Ada Fenwick", "01632 960118")
    change_owner(OwnerRequest(ada.pk, {"phone": "01632 960119"}), **mark())
    change_owner(OwnerRequest(ada.pk, {"note": "rings twice"}, seen=seen), **mark())
    ada.refresh_from_db()
    assert ada.note == "rings twice"


def test_no_word_of_a_person_stands_in_an_event(mark: Act) -> None:
    """The event says which fields; the words stand in a row that erasing reaches."""
    made = change_owner(
        OwnerRequest(
            None, {"name": "Ada Fenwick", "phone": "01632 960118"}, [ReachWay(PHONE, "01632 960700", "work")]
        ),
        **mark(),
    )
    say_consent(ConsentRequest(made.owner, "news", "text", True), **mark())
    told = " ".join(
        str(said) for said in Event.objects.filter(kind__startswith="owner").values_list("said", flat=True)
    )
    assert "name" in told and "Fenwick" not in told and "9601" not in told and "960700" not in told


@pytest.mark.parametrize(
    ("told", "ways", "sentence"),
    [
        ({"name": ""}, None, "Fill in the owner's name"),
        ({"name": "x" * 121}, None, "121 characters: 120 are allowed"),
        ({"not_before": "25:00"}, None, 'Not before is "25:00": an hour such as 9:00'),
        ({}, [ReachWay(MAIL, "ada at home")], 'The e-mail is "ada at home"'),
        ({}, [ReachWay(PHONE, "home")], 'The phone number is "home": figures is the shape'),
    ],
)  # fmt: skip
def test_a_field_that_makes_no_sense_is_refused(
    mark: Act, told: dict[str, str], ways: list[ReachWay] | None, sentence: str
) -> None:
    """The sentence says what is allowed, and nothing is written."""
    ada = owner("Ada Fenwick", "01632 960118")
    before = Event.objects.count()
    with pytest.raises(InputRefused, match=sentence.replace("(", "\\(")):
        change_owner(OwnerRequest(ada.pk, told, ways), **mark())
    assert Event.objects.count() == before


def test_after_a_day_a_merge_is_undone_by_the_owner_of_the_workshop(mark: Act, mechanic: Person) -> None:
    """A mechanic undoes their slip of the day; an older one is for the owner."""
    marnie = Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", "three plain words")
    one, other = owner("A", ""), owner("B", "")
    merge_owners(MergeRequest(one.pk, other.pk), **mark())
    late = {"key": "late-undo-1", "now": NOW + timedelta(days=2)}
    asked = UndoMergeRequest(merges_of(one.pk)[0].merge)
    with pytest.raises(NotAllowed, match="is undone by the owner of the workshop"):
        undo_merge(asked, by=mechanic.pk, **late)
    undo_merge(asked, by=marnie.pk, **late)
    assert merges_of(one.pk) == ()


def test_no_wins_and_nobody_is_asked_twice_in_silence(mark: Act) -> None:
    """Yes and no is no; yes and nothing said is nothing said, until the one person is asked."""
    ada, other = owner("Ada", ""), owner("Ada F", "")
    for whose, about, yes in ((ada, "news", True), (other, "news", False), (ada, "call-backs", True)):
        say_consent(ConsentRequest(whose.pk, about, "text", yes), **mark())
    merge_owners(MergeRequest(ada.pk, other.pk), **mark())
    stands = {(one.about, one.by_way): one.yes for one in consents_of(ada.pk)}
    assert stands["news", "text"] is False and stands["call-backs", "text"] is None
    say_consent(ConsentRequest(ada.pk, "call-backs", "text", True), **mark())
    assert may_reach(ada.pk, "call-backs", "text")


def state() -> tuple[object, ...]:
    """All that stands of all owners."""
    fields = (*MERGED, "ways", "merged_into")
    consents = tuple(
        (pk, consents_of(pk)) for pk in Owner.objects.order_by("pk").values_list("pk", flat=True)
    )
    rows = tuple(Owner.objects.order_by("pk").values_list("pk", *fields))
    return rows, tuple(Bike.objects.order_by("tag").values_list("tag", "owner", "came_with")), consents


def allowed(pk: int) -> set[tuple[str, str]]:
    """What an owner may be written to about, and by which way."""
    return {(one.about, one.by_way) for one in consents_of(pk) if one.yes}


def test_merges_and_undos_in_any_order_give_the_first_state(mark: Act) -> None:
    """Drawn with a fixed seed: after each merge no more is allowed than both had allowed; with all of them undone, all is as it was."""
    draw = Random(19)
    for number in range(8):
        made = owner(
            f"Owner {number}",
            draw.choice(["", f"01632 96{number:04d}"]),
            f"PB-{number:03d}",
            f"PB-1{number:02d}",
        )
        told = {name: f"{name} {number}" for name in draw.sample(["called", "address", "note", "reach"], 2)}
        ways = [
            ReachWay(PHONE, f"01632 97{draw.randrange(3):04d}"),
            ReachWay(MAIL, f"a{draw.randrange(4)}@example.org"),
        ]
        change_owner(OwnerRequest(made.pk, told, ways), **mark())
        for about, way in draw.sample([(about, way) for about in ABOUT for way in BY_WAY], 5):
            say_consent(ConsentRequest(made.pk, about, way, draw.random() < 0.7), **mark())
    first = state()
    # Longer: PINCHBOLT_MERGES=25 is a thousand.
    for _ in range(int(os.environ.get("PINCHBOLT_MERGES", "4"))):
        before = transaction.savepoint()
        forty_merges_and_undos(draw, mark)
        assert state() == first
        transaction.savepoint_rollback(before)


def forty_merges_and_undos(draw: Random, mark: Act) -> None:
    """Merges and undos as they are drawn, and at the end what still stands undone in any order."""
    standing: list[int] = []
    for _ in range(40):
        roots = list(Owner.objects.filter(merged_into__isnull=True).values_list("pk", flat=True))
        if len(roots) > 1 and (not standing or draw.random() < 0.6):
            kept, gone = draw.sample(roots, 2)
            most = allowed(kept) & allowed(gone)
            merge_owners(MergeRequest(kept, gone, draw.sample(MERGED, draw.randrange(4))), **mark())
            standing.append(Event.objects.filter(kind="owners merged").latest("pk").pk)
            assert allowed(kept) <= most
        else:
            undo_merge(UndoMergeRequest(standing.pop(draw.randrange(len(standing)))), **mark())
    draw.shuffle(standing)
    for merge in standing:
        undo_merge(UndoMergeRequest(merge), **mark())
