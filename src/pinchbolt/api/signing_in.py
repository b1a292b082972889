"""Sign-in of the JSON door: name and passphrase against the same guard as the screens, then a token that ends by itself."""

from typing import Annotated

from django.contrib.auth import authenticate, get_user_model
from django.contrib.auth.base_user import AbstractBaseUser
from django.core import signing
from django.http import HttpRequest
from django.utils.crypto import constant_time_compare
from ninja import Router, Schema
from ninja.security import HttpBearer
from pydantic import Field

from pinchbolt.api.bodies import Name
from pinchbolt.api.envelope import REFUSALS
from pinchbolt.errors import NotAllowed, PinchboltError
from pinchbolt.workshop.acts.manage_people import LOCKED_SENTENCE

_SALT = "pinchbolt.api.token"
HOURS = 12
"""How long a token is good."""

router = Router(tags=["sign-in"])


class NotKnown(NotAllowed):
    """Name and passphrase do not belong together."""

    status = 401


class TriedTooOften(PinchboltError):
    """Too many wrong tries for one name."""

    status = 429


class SignInBody(Schema):
    """A person's sign-in name and passphrase."""

    name: Name
    passphrase: Annotated[str, Field(min_length=1, max_length=200)]


class SignedIn(Schema):
    """A token to send as 'Authorization: Bearer ...', and how long it is good."""

    token: str
    name: str
    hours: int


@router.post("/sign-in", auth=None, response={200: SignedIn, **REFUSALS}, summary="Sign in and get a token.")
def sign_in(request: HttpRequest, asked: SignInBody) -> SignedIn:
    """Name and passphrase give a token for twelve hours; it ends sooner when the passphrase is changed."""
    person = authenticate(request, username=asked.name.lower(), password=asked.passphrase)
    if person is None:
        if getattr(request, "axes_locked_out", False):
            raise TriedTooOften(LOCKED_SENTENCE)
        sentence = "This passphrase does not belong to the name: try again. After five wrong tries the name is locked for 15 minutes."
        raise NotKnown(sentence, {"passphrase": sentence})
    return SignedIn(token=token_for(person), name=str(person), hours=HOURS)


def token_for(person: AbstractBaseUser) -> str:
    """Return a signed token for a person."""
    return signing.dumps({"person": person.pk, "proof": person.get_session_auth_hash()}, salt=_SALT)


class Token(HttpBearer):
    """The person whose token this is, while they work here and their passphrase is the same."""

    def authenticate(self, request: HttpRequest, token: str) -> AbstractBaseUser | None:
        """Return the person, or None."""
        try:
            told = signing.loads(token, salt=_SALT, max_age=HOURS * 3600)
        except signing.BadSignature:
            return None
        person = get_user_model()._default_manager.filter(pk=told["person"], is_active=True).first()
        if person is None or not constant_time_compare(told["proof"], person.get_session_auth_hash()):
            return None
        return person
