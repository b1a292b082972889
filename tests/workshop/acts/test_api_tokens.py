"""Tokens of programs: told once, for looking or for working, for so many days, and gone with their person's passphrase."""

from datetime import timedelta

import pytest

from pinchbolt.errors import InputRefused, NotAllowed, NotFound, NotPossibleNow
from pinchbolt.records.models import Person, Role
from pinchbolt.workshop.acts.api_tokens import (
    LOOK,
    WORK,
    TokenEndRequest,
    TokenMade,
    TokenRequest,
    end_token,
    make_token,
    token_person,
    tokens_of,
)
from tests.story import NOW, open_shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def two(db: None) -> tuple[Person, Person]:
    """The owner of the workshop, and a mechanic."""
    ines, tobias = open_shop()
    Person.objects.filter(pk=ines.pk).update(role=Role.OWNER)
    return Person.objects.get(pk=ines.pk), tobias


def made(by: Person, scope: str = LOOK, days: int = 90, key: str = "token-0001") -> TokenMade:
    """A token for the screen at the door."""
    return make_token(TokenRequest("the door", scope, days), by=by.pk, key=key, now=NOW)


def test_a_token_to_look_looks_and_sends_nothing(two: tuple[Person, Person]) -> None:
    """One to work does both; whose it is comes out; what is none is nobody's."""
    look, work = made(two[1]), made(two[1], WORK, key="token-0002")
    assert token_person(look.token, NOW, looks=True) == two[1]
    with pytest.raises(NotAllowed, match='The token "the door" is for looking'):
        token_person(look.token, NOW, looks=False)
    assert token_person(work.token, NOW, looks=True) == token_person(work.token, NOW, looks=False) == two[1]
    assert token_person(f"{work.token}x", NOW, looks=True) is None


def test_a_token_ends_with_its_days_its_passphrase_and_its_person(two: tuple[Person, Person]) -> None:
    """To the second; a new passphrase, or a person who left, ends it too."""
    token = made(two[1], days=1).token
    last = NOW + timedelta(days=1)
    assert token_person(token, last - timedelta(seconds=1), looks=True) == two[1]
    assert token_person(token, last, looks=True) is None
    two[1].set_password("another three words")
    two[1].save(update_fields=["password"])
    assert token_person(token, NOW, looks=True) is None and tokens_of(two[1].pk, NOW) == ()
    other = made(two[0], key="token-0002").token
    Person.objects.filter(pk=two[0].pk).update(is_active=False)
    assert token_person(other, NOW, looks=True) is None


def test_one_s_own_token_is_ended_and_any_by_the_owner_of_the_workshop(two: tuple[Person, Person]) -> None:
    """The list is one's own, or everybody's; ended twice is ended once."""
    owner, mechanic = two
    mine, theirs = made(mechanic), made(owner, key="token-0002")
    assert [one.id for one in tokens_of(mechanic.pk, NOW)] == [mine.id]
    assert [one.id for one in tokens_of(owner.pk, NOW)] == [theirs.id, mine.id]
    with pytest.raises(NotAllowed, match=f"This token is {owner.name}'s"):
        end_token(TokenEndRequest(theirs.id), by=mechanic.pk, key="end-000001", now=NOW)
    for key in ("end-000002", "end-000003"):
        end_token(TokenEndRequest(mine.id), by=owner.pk, key=key, now=NOW)
    assert token_person(mine.token, NOW, looks=True) is None
    assert [one.id for one in tokens_of(owner.pk, NOW)] == [theirs.id]
    with pytest.raises(NotFound, match="There is no token 987654"):
        end_token(TokenEndRequest(987654), by=owner.pk, key="end-000004", now=NOW)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        (TokenRequest("the door", "all"), 'A token is for "all": look or work'),
        (TokenRequest("the door", LOOK, 0), "The token is for 0 days: 1 to 366 are allowed"),
        (TokenRequest("the door", LOOK, 367), "The token is for 367 days: 1 to 366 are allowed"),
        (TokenRequest(" "), "Fill in the name"),
    ],
)
def test_a_token_of_no_sense_is_refused(
    two: tuple[Person, Person], asked: TokenRequest, sentence: str
) -> None:
    """And a token is told once: the same request again does not tell it again."""
    with pytest.raises(InputRefused, match=sentence):
        make_token(asked, by=two[1].pk, key="token-0001", now=NOW)
    for days in (1, 366):
        made(two[1], days=days, key=f"token-1{days:03d}")
    with pytest.raises(NotPossibleNow, match="is told once only"):
        made(two[1], days=366, key="token-1366")
