"""Sign-in of the JSON door: name and passphrase against the same guard as the screens, then a token that ends by itself."""

from typing import Annotated

from django.contrib.auth import authenticate
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.signals import user_logged_in
from django.http import HttpRequest
from django.utils import timezone
from ninja import Router, Schema
from ninja.security import HttpBearer
from pydantic import Field

from pinchbolt.api.bodies import Name
from pinchbolt.api.envelope import REFUSALS
from pinchbolt.errors import NotAllowed, PinchboltError
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.api_tokens import HOURS_SIGNED_IN, token_of_sign_in, token_person
from pinchbolt.workshop.acts.manage_people import LOCKED_SENTENCE

HOURS = HOURS_SIGNED_IN
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


@router.post(
    "/sign-in", auth=None, response={200: SignedIn, **REFUSALS}, summary=worded("Sign in and get a token.")
)
def sign_in(request: HttpRequest, asked: SignInBody) -> SignedIn:
    """Name and passphrase give a token for twelve hours; it ends sooner when the passphrase is changed."""
    person = authenticate(request, username=asked.name.lower(), password=asked.passphrase)
    if person is None:
        if getattr(request, "axes_locked_out", False):
            raise TriedTooOften(LOCKED_SENTENCE)
        sentence = worded(
            "Name and passphrase do not match. Try again; after five wrong tries you wait 15 minutes."
        )
        raise NotKnown(sentence, {"passphrase": sentence})
    # As at the screens: whoever writes sign-ins down hears of it.
    user_logged_in.send(sender=type(person), request=request, user=person)
    return SignedIn(token=token_for(person), name=str(person), hours=HOURS)


def token_for(person: AbstractBaseUser) -> str:
    """Return a token for a person who has just signed in."""
    return token_of_sign_in(int(person.pk or 0), timezone.now()).token


class Token(HttpBearer):
    """The person whose token this is, while they work here and their passphrase is the same."""

    def authenticate(self, request: HttpRequest, token: str) -> AbstractBaseUser | None:
        """Return the person, or None."""
        return token_person(token, timezone.now(), looks=request.method in ("GET", "HEAD"))
