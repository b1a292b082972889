"""Tokens of programs: named, for looking or working, told once, ended at any time, kept as digests."""

from datetime import timedelta

import pytest
from django.db import OperationalError
from django.test import Client

from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import ApiToken, Event, Person
from pinchbolt.workshop.acts.api_tokens import (
    LOOK,
    WORK,
    TokenEndRequest,
    TokenRequest,
    end_token,
    make_token,
    token_person,
    tokens_of,
)
from pinchbolt.workshop.acts.change_people import (
    LeaveRequest,
    PassphraseRequest,
    retire_person,
    set_passphrase,
)
from tests.api.conftest import sign_in
from tests.story import NOW, PASSPHRASE, Story

pytestmark = pytest.mark.django_db


def made(story: Story, scope: str = WORK, days: int = 90) -> str:
    """A token of the first mechanic."""
    asked = TokenRequest("stock list", scope, days)
    return make_token(asked, by=story.first, key=story.key(), now=NOW).token


def opens(token: str, *, looks: bool = True, after: timedelta = timedelta()) -> bool:
    """Whether the token lets somebody in so long afterwards."""
    return token_person(token, NOW + after, looks=looks) is not None


def test_a_token_is_told_once_and_kept_as_a_digest(arrived: Story) -> None:
    """Neither the records nor the list hold it; the same request again is refused and makes no second one."""
    asked = TokenRequest("stock list", WORK)
    told = make_token(asked, by=arrived.first, key="token-0001", now=NOW)
    row = ApiToken.objects.get()
    kept = " ".join(str(getattr(row, field.attname)) for field in row._meta.concrete_fields)
    said = " ".join(str(one.said) + one.fingerprint for one in Event.objects.all())
    assert len(told.token) > 40 and told.token not in kept + said
    assert told.token not in str(tokens_of(arrived.first, NOW))
    with pytest.raises(NotPossibleNow, match="told once"):
        make_token(asked, by=arrived.first, key="token-0001", now=NOW)
    assert ApiToken.objects.count() == 1


def test_a_token_for_looking_writes_nothing(client: Client, arrived: Story) -> None:
    """403 with a sentence at everything that is sent; it reads as ever."""
    token = make_token(TokenRequest("wall clock"), by=arrived.first, key="token-0001", now=_today()).token
    bearer = {"Authorization": f"Bearer {token}"}
    assert client.get("/api/day", headers=bearer).status_code == 200
    answer = client.post(
        f"/api/job/{arrived.job}/limit",
        {"limit": "10.00"},
        content_type="application/json",
        headers={**bearer, "Idempotency-Key": "looking-0001"},
    )
    assert answer.status_code == 403 and "wall clock" in answer.json()["error"]
    assert not Event.objects.filter(kind="limit said").exists()


def _today() -> "object":
    from django.utils import timezone

    return timezone.now()


def test_a_token_ends_when_it_is_ended_and_by_itself(arrived: Story) -> None:
    """At once, at its day, with its person's passphrase, and when its person leaves."""
    token = made(arrived, days=3)
    assert opens(token) and opens(token, after=timedelta(days=2, hours=23))
    assert not opens(token, after=timedelta(days=3, seconds=1))
    end_token(TokenEndRequest(ApiToken.objects.get().pk), by=arrived.first, key=arrived.key(), now=NOW)
    assert not opens(token)
    second = made(arrived)
    new = PassphraseRequest(Person.objects.get(pk=arrived.first).sign_in, "lamp under seven stairs")
    set_passphrase(new, by=arrived.first, key=arrived.key(), now=NOW)
    assert not opens(second) and tokens_of(arrived.first, NOW) == ()
    third = made(arrived)
    owner = Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
    retire_person(LeaveRequest(new.sign_in), by=owner.pk, key=arrived.key(), now=NOW)
    assert not opens(third)


def test_somebody_elses_token_is_ended_by_the_owner_of_the_workshop_alone(arrived: Story) -> None:
    """A mechanic sees and ends their own; the owner all."""
    made(arrived)
    row, owner = (
        ApiToken.objects.get(),
        Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE),
    )
    assert tokens_of(arrived.second, NOW) == () and len(tokens_of(owner.pk, NOW)) == 1
    with pytest.raises(NotAllowed, match="the owner of the workshop does"):
        end_token(TokenEndRequest(row.pk), by=arrived.second, key=arrived.key(), now=NOW)
    end_token(TokenEndRequest(row.pk), by=owner.pk, key=arrived.key(), now=NOW)
    assert tokens_of(owner.pk, NOW) == ()


@pytest.mark.parametrize(
    "asked",
    [
        TokenRequest(""),
        TokenRequest("x" * 61),
        TokenRequest("a", "all"),
        TokenRequest("a", LOOK, 0),
        TokenRequest("a", LOOK, 367),
    ],
)
def test_a_token_without_name_scope_or_end_is_refused(arrived: Story, asked: TokenRequest) -> None:
    """Nothing is made."""
    with pytest.raises(InputRefused):
        make_token(asked, by=arrived.first, key=arrived.key(), now=NOW)
    assert not ApiToken.objects.exists()


@pytest.mark.parametrize("token", ["", "pb_", "pb_" + "x" * 43, "\ud800", "x" * 10_000])
def test_what_is_no_token_opens_nothing(arrived: Story, token: str) -> None:
    """Nonsense of any length."""
    made(arrived)
    assert not opens(token)


def test_the_json_door_lists_and_ends_tokens(client: Client, arrived: Story) -> None:
    """One that a sign-in gave is among them, and is ended like any other."""
    bearer = {"Authorization": f"Bearer {sign_in(client).json()['token']}"}
    (one,) = client.get("/api/tokens", headers=bearer).json()
    assert one["name"] == "" and one["scope"] == "work"
    ended = client.post(f"/api/token/{one['id']}/end", headers={**bearer, "Idempotency-Key": "ending-0001"})
    assert ended.status_code == 200
    assert client.get("/api/tokens", headers=bearer).status_code == 401


def test_a_token_looks_where_nothing_can_be_written(arrived: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    """That it was used is not worth a refusal: the disk is full, and the day is read all the same."""
    token = made(arrived)

    def full(*_: object, **__: object) -> None:
        raise OperationalError("database or disk is full")

    monkeypatch.setattr("django.db.models.query.QuerySet.update", full)
    assert opens(token)
