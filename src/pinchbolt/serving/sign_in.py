"""Sign-in by passphrase, and by PIN on a tablet that somebody has signed in already."""

from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import check_password
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from pinchbolt.records.models import Person
from pinchbolt.records.prepared import prepared
from pinchbolt.workshop.acts.manage_people import LOCKED_SENTENCE


class PassphraseBackend:
    """Name and passphrase."""

    def authenticate(
        self,
        request: HttpRequest | None,
        username: str | None = None,
        password: str | None = None,
        pin: str | None = None,
        **_: object,
    ) -> object | None:
        """Return the person whose passphrase this is, else None; takes as long for an unknown name as for a known one."""
        if username is None or password is None:
            return None
        people = get_user_model()
        try:
            person = people.objects.get(sign_in=username.lower(), is_active=True)
        except people.DoesNotExist:
            people().set_password(password)
            return None
        return person if person.check_password(password) else None

    def get_user(self, user_id: int) -> object | None:
        """Return the active person of this id."""
        return _active.first(user_id)


@prepared
def _active(person: int) -> QuerySet[Person]:
    return Person.objects.filter(pk=person, is_active=True)


class PinBackend(PassphraseBackend):
    """Name and PIN; only for a request whose session was opened by a passphrase."""

    def authenticate(
        self,
        request: HttpRequest | None,
        username: str | None = None,
        password: str | None = None,
        pin: str | None = None,
        **_: object,
    ) -> object | None:
        """Return the person whose PIN this is, else None."""
        if username is None or pin is None or request is None or not request.user.is_authenticated:
            return None
        person = get_user_model().objects.filter(sign_in=username.lower(), is_active=True).first()
        return person if person and person.pin and check_password(pin, person.pin) else None


def who_is_connected(request: HttpRequest) -> str:
    """Return the address of the connection itself; what a header claims to stand behind it anybody can write."""
    return str(request.META.get("REMOTE_ADDR", ""))


def locked_out(request: HttpRequest, *_: object, **__: object) -> HttpResponse:
    """Answer a locked name in plain words."""
    return render(request, "sign_in/locked.html", {"sentence": LOCKED_SENTENCE}, status=429)
