"""Tokens by which programs come in at the JSON door: named, for looking or for working, and ended at any time.

A token says itself once, when it is made; kept is its digest. It is 256 bits by chance, so that a quick digest is enough (NIST
SP 800-63B, 3.1.2.2: look-up secrets of 112 bits and more need no slow one).
"""

import secrets
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256

from django.db import DatabaseError, transaction
from django.utils.crypto import constant_time_compare

from pinchbolt.errors import InputRefused, NotAllowed, NotFound, NotPossibleNow
from pinchbolt.records.models import ApiToken, Person, Role
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act, one_at_a_time
from pinchbolt.workshop.common.checks import short

LOOK, WORK = "look", "work"
SCOPES = (LOOK, WORK)
"""What a token is for: only looking, or whatever its person may do."""
HOURS_SIGNED_IN = 12
MOST_DAYS = 366
_USED_EVERY = timedelta(hours=1)
_BEGINS = "pb_"


@dataclass(frozen=True, slots=True)
class TokenRequest:
    """A token for a program: what it is called, whether it only looks, and for how many days."""

    name: str
    scope: str = LOOK
    days: int = 90


@dataclass(frozen=True, slots=True)
class TokenEndRequest:
    """A token to end."""

    token: int


@dataclass(frozen=True, slots=True)
class TokenView:
    """A token as it is listed: never itself. `name` is empty for one that a sign-in gave."""

    id: int
    name: str
    person: str
    scope: str
    made_at: datetime
    ends_at: datetime
    last_used: datetime | None


@dataclass(frozen=True, slots=True)
class TokenMade:
    """A token, told this once."""

    id: int
    token: str
    ends_at: datetime


def make_token(request: TokenRequest, *, by: int, key: str, now: datetime) -> TokenMade:
    """Make a token for a program; it may what the person who makes it may, or only look.

    Raises:
        InputRefused: No name, no such scope, or more days than a year.
        NotPossibleNow: It was made before by this very request: a token is told once.
    """
    with act("token made", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            raise NotPossibleNow(
                worded("This token was made and told before, and is told once only. End it and make another.")
            )
        name = short(request.name, "name", worded("The name"), 60, needed=True)
        if request.scope not in SCOPES:
            raise _refused(
                "scope",
                worded(
                    'A token is for "{scope}": {scopes}. Choose one.',
                    scope=request.scope[:20],
                    scopes=" or ".join(SCOPES),
                ),
            )
        if not 1 <= request.days <= MOST_DAYS:
            raise _refused(
                "days",
                worded(
                    "The token is for {days} days: 1 to {most_days} are allowed.",
                    days=request.days,
                    most_days=MOST_DAYS,
                ),
            )
        until = now + timedelta(days=request.days)
        row, token = _new(this.person, name, request.scope, now, until)
        this.said = {"what": worded("{name}, to {scope}", name=name, scope=request.scope)}
        this.write()
        return TokenMade(row.pk, token, until)


def end_token(request: TokenEndRequest, *, by: int, key: str, now: datetime) -> None:
    """End a token at once: everybody their own, the owner of the workshop any.

    Raises:
        NotFound: There is no such token.
        NotAllowed: It is another person's.
    """
    with act("token ended", by=by, key=key, now=now, request=request) as this:
        row = ApiToken.objects.select_related("person").filter(pk=request.token).first()
        if row is None:
            raise NotFound(worded("There is no token {token}. See the list of tokens.", token=request.token))
        if row.person_id != by and this.person.role != Role.OWNER:
            raise NotAllowed(
                worded(
                    "This token is {name}'s: they end it, or the owner of the workshop does.",
                    name=row.person.name,
                )
            )
        if this.repeated or row.ended_at is not None:
            return
        row.ended_at = now
        row.save(update_fields=["ended_at"])
        this.said = {"what": row.name or worded("signed in, {name}", name=row.person.name)}
        this.write()


def tokens_of(by: int, now: datetime) -> tuple[TokenView, ...]:
    """Return the tokens that are good now: a person's own; for the owner of the workshop everybody's."""
    person = Person.objects.get(pk=by)
    found = ApiToken.objects.filter(ended_at__isnull=True, ends_at__gt=now, person__is_active=True)
    if person.role != Role.OWNER:
        found = found.filter(person=person)
    rows = found.select_related("person").order_by("-pk")[:200]
    return tuple(
        TokenView(row.pk, row.name, row.person.name, row.scope, row.made_at, row.ends_at, row.last_used)
        for row in rows
        if constant_time_compare(row.proof, row.person.get_session_auth_hash())
    )


def token_of_sign_in(person: int, now: datetime) -> TokenMade:
    """Return a token for whoever has just signed in at the JSON door; what has ended long ago goes.

    It is no act of its own: that somebody signed in stands in the list of sign-ins.
    """
    until = now + timedelta(hours=HOURS_SIGNED_IN)
    with one_at_a_time():
        ApiToken.objects.filter(name="", ends_at__lt=now - timedelta(days=30)).delete()
        row, token = _new(Person.objects.get(pk=person), "", WORK, now, until)
    return TokenMade(row.pk, token, until)


def token_person(token: str, now: datetime, *, looks: bool) -> Person | None:
    """Return whose token this is; None where it is none, has ended, or was given under another passphrase.

    Args:
        token: As it was told. [-]
        now: When. [-]
        looks: Whether it is only looked at something. [-]

    Raises:
        NotAllowed: The token is for looking, and something is sent.
    """
    row = (
        ApiToken.objects.select_related("person")
        .filter(digest=_digest(token), ended_at__isnull=True, ends_at__gt=now, person__is_active=True)
        .first()
    )
    if row is None or not constant_time_compare(row.proof, row.person.get_session_auth_hash()):
        return None
    if row.scope == LOOK and not looks:
        raise NotAllowed(
            worded(
                'The token "{name}" is for looking: this writes or works something out. Use a token '
                "to work, or sign in.",
                name=row.name,
            )
        )
    if row.last_used is None or row.last_used < now - _USED_EVERY:
        # Where nothing can be written, it can be looked all the same.
        with suppress(DatabaseError), transaction.atomic():
            ApiToken.objects.filter(pk=row.pk).update(last_used=now)
    return row.person


def _new(person: Person, name: str, scope: str, now: datetime, until: datetime) -> tuple[ApiToken, str]:
    token = f"{_BEGINS}{secrets.token_urlsafe(32)}"
    row = ApiToken.objects.create(
        name=name,
        person=person,
        scope=scope,
        digest=_digest(token),
        proof=person.get_session_auth_hash(),
        made_at=now,
        ends_at=until,
    )
    return row, token


def _digest(token: str) -> str:
    return sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def _refused(field: str, sentence: str) -> InputRefused:
    return InputRefused(sentence, {field: sentence})
