"""Two at the settings at once: who changed it meanwhile is said, with what it was and what it is, as far as it fits."""

import pytest

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Event, Person, Workshop
from pinchbolt.workshop.acts.describe_shop import ShopRequest, describe_shop
from pinchbolt.workshop.acts.money_terms import BillTermsRequest
from tests.story import NOW, PASSPHRASE, open_shop

pytestmark = pytest.mark.django_db
FIRST, SECOND = "1 Mill Lane, " + "a" * 100, "2 Mill Lane, " + "b" * 100


@pytest.fixture
def owners(db: None) -> tuple[Person, Person]:
    """Two who own the workshop together."""
    open_shop()
    role = "owner of the workshop"
    return Person.objects.make("marnie", "Marnie Oakes", role, PASSPHRASE), Person.objects.make(
        "orla", "Orla Penhale", role, PASSPHRASE
    )


def say(by: Person, key: str, seen: int | None = None, **said: object) -> None:
    """The page of the shop is sent."""
    describe_shop(ShopRequest(seen=seen, **said), by=by.pk, key=key, now=NOW)  # type: ignore[arg-type]


def test_what_somebody_else_changed_is_said_in_so_many_letters(owners: tuple[Person, Person]) -> None:
    """The first 80 of either address; theirs stays until it is sent once more."""
    marnie, orla = owners
    say(marnie, "shop-00001", papers=BillTermsRequest(address=FIRST))
    seen = Event.objects.latest("pk").pk
    say(orla, "shop-00002", papers=BillTermsRequest(address=SECOND))
    with pytest.raises(NotPossibleNow) as refused:
        say(marnie, "shop-00003", seen=seen, papers=BillTermsRequest(address="3 Mill Lane"))
    assert refused.value.sentence == (
        f"Orla Penhale changed this meanwhile: {FIRST[:80]} to {SECOND[:80]}. Keep theirs, or take yours."
    )
    say(
        marnie,
        "shop-00004",
        seen=Event.objects.latest("pk").pk,
        papers=BillTermsRequest(address="3 Mill Lane"),
    )


def test_what_nobody_else_touched_is_no_matter(owners: tuple[Person, Person]) -> None:
    """One changed the town, the other the name."""
    marnie, orla = owners
    say(marnie, "shop-00001", town="Ostermere")
    seen = Event.objects.latest("pk").pk
    say(orla, "shop-00002", name="Another Yard")
    say(marnie, "shop-00003", seen=seen, town="Ostermouth")
    shop = Workshop.objects.get()
    assert (shop.name, shop.town) == ("Another Yard", "Ostermouth")


@pytest.mark.parametrize("mail", ["no at sign", "two@places,here.example", "name@nowhere", "@place.example"])
def test_an_address_that_no_mail_reaches_is_refused(owners: tuple[Person, Person], mail: str) -> None:
    """With what is expected."""
    with pytest.raises(InputRefused, match=r"name@place\.something is expected"):
        say(owners[0], "shop-00001", mail=mail)


def test_an_address_has_two_hundred_letters_at_most(owners: tuple[Person, Person]) -> None:
    """One more is refused at its field; none at all is none."""
    longest = f"{'n' * 186}@place.example"
    assert len(longest) == 200
    say(owners[0], "shop-00001", mail=longest)
    with pytest.raises(InputRefused, match="has 201 characters: 200 are allowed"):
        say(owners[0], "shop-00002", mail=f"n{longest}")
    say(owners[0], "shop-00003", mail="")
