"""Taking a change of the settings back: what stood before stands again, whatever was changed, and in whatever order."""

import random
from collections.abc import Callable, Iterator
from datetime import timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.forms.models import model_to_dict

from pinchbolt.errors import NotAllowed, NotFound, NotPossibleNow
from pinchbolt.records.models import Event, Person, Workshop
from pinchbolt.workshop.acts.change_people import (
    LeaveRequest,
    PersonChangeRequest,
    change_person,
    retire_person,
)
from pinchbolt.workshop.acts.describe_shop import (
    ClosedRequest,
    DaysRequest,
    SchoolRequest,
    ShopRequest,
    close_days,
    closed_days,
    describe_shop,
    set_days,
    set_school,
)
from pinchbolt.workshop.acts.money_terms import (
    BillTermsRequest,
    LabourRequest,
    TaxRequest,
    labour_on_day,
    set_labour,
    set_tax,
    tax_on_day,
)
from pinchbolt.workshop.common.trade_tables import read_tables_again, tables
from pinchbolt.workshop.settings.change_rows import FillRequest, RowRequest, change_row, fill_prices
from pinchbolt.workshop.settings.take_back import TakeBackRequest, take_back
from pinchbolt.workshop.settings.words_on_papers import WordsRequest, set_words
from tests.story import NOW, PASSPHRASE, TODAY, open_shop

pytestmark = pytest.mark.django_db
Change = Callable[..., object]
CHANGES: tuple[tuple[Change, object], ...] = (
    (describe_shop, ShopRequest(name="Another Yard", papers=BillTermsRequest(address="2 Mill Lane"))),
    (set_days, DaysRequest({"Mon": ("08:00", "12:00")}, 5)),
    (close_days, ClosedRequest(TODAY, TODAY + timedelta(days=3), "fair")),
    (set_tax, TaxRequest("standard", Decimal("8.1"), TODAY)),
    (set_labour, LabourRequest(Decimal("61"), TODAY)),
    (set_school, SchoolRequest("late")),
    (set_words, WordsRequest({"hours": "Tue to Sat"}, "pay by card")),
    (change_person, PersonChangeRequest("tobias", "Tobias Q.", "counter", may_sign=False)),
    (retire_person, LeaveRequest("ines")),
    (change_row, RowRequest("limit", "dish", {"warn": "0.4"})),
    (change_row, RowRequest("operation", "safety-check", {"fixed_price": "40"})),
    (fill_prices, FillRequest(Decimal("1.17"))),
)


@pytest.fixture
def owner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Person]:
    """A workshop with its owner, and a home folder of its own."""
    monkeypatch.setattr("django.conf.settings.SHOP_TABLES", str(tmp_path / "tables"))
    read_tables_again()
    open_shop()
    yield Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    monkeypatch.undo()
    read_tables_again()


def everything() -> dict[str, object]:
    """What the settings say today."""
    used = tables()
    return {
        "shop": model_to_dict(Workshop.objects.get()),
        "people": [
            (one.name, one.role, one.is_active, one.may_sign) for one in Person.objects.order_by("pk")
        ],
        "labour": labour_on_day(TODAY),
        "tax": tax_on_day(TODAY),
        "closed": closed_days(TODAY),
        "limit": used.limits["dish"],
        "operation": used.operations["safety-check"],
        "prices": {row.id: row.price for row in used.prices.values()},
    }


@pytest.mark.parametrize("seed", range(3))
def test_what_stood_before_stands_again(owner: Person, seed: int) -> None:
    """Every kind of change in a random order, taken back in another: everything as before, and each act still on record."""
    chance = random.Random(seed)
    before = everything()
    made = []
    for number, (change, request) in enumerate(chance.sample(CHANGES, len(CHANGES))):
        change(request, by=owner.pk, key=f"change-{seed}-{number:03d}", now=NOW)
        made.append(Event.objects.order_by("-pk")[0].pk)
    changed = everything()
    assert all(changed[name] != before[name] for name in before)
    for number, event in enumerate(chance.sample(made, len(made))):
        take_back(TakeBackRequest(event), by=owner.pk, key=f"back-{seed}-{number:05d}", now=NOW)
    assert everything() == before
    assert Event.objects.filter(pk__in=made).count() == len(CHANGES)


def test_a_change_is_taken_back_once_and_by_the_owner_alone(owner: Person) -> None:
    """A mechanic may not; twice is refused; the same mark again is the same act; what is no change is not found."""
    set_labour(LabourRequest(Decimal("61"), TODAY), by=owner.pk, key="labour-001", now=NOW)
    event = Event.objects.get(kind="labour set").pk
    mechanic = Person.objects.get(sign_in="ines")
    with pytest.raises(NotAllowed):
        take_back(TakeBackRequest(event), by=mechanic.pk, key="back-00001", now=NOW)
    for _ in range(2):
        assert take_back(TakeBackRequest(event), by=owner.pk, key="back-00002", now=NOW) == "prices"
    with pytest.raises(NotPossibleNow):
        take_back(TakeBackRequest(event), by=owner.pk, key="back-00003", now=NOW)
    with pytest.raises(NotFound):
        take_back(TakeBackRequest(10**6), by=owner.pk, key="back-00004", now=NOW)


def test_taking_back_never_leaves_a_shop_without_an_owner(owner: Person) -> None:
    """The second owner was made one, the first retired: neither step back may leave nobody."""
    change_person(
        PersonChangeRequest("ines", "Ines Holloway", "owner of the workshop"),
        by=owner.pk,
        key="own-00001",
        now=NOW,
    )
    raised = Event.objects.order_by("-pk")[0].pk
    retire_person(LeaveRequest("marnie"), by=owner.pk, key="own-00002", now=NOW)
    ines = Person.objects.get(sign_in="ines")
    with pytest.raises(NotPossibleNow, match="Somebody must own the workshop"):
        take_back(TakeBackRequest(raised), by=ines.pk, key="own-00003", now=NOW)
    assert Person.objects.get(sign_in="ines").role == "owner of the workshop"
