"""A new passphrase, a person who leaves and one who comes back; what they wrote stays theirs."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import NotFound, NotPossibleNow
from pinchbolt.records.models import Person, Role, Workshop
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.manage_people import PersonView, same_secret
from pinchbolt.workshop.acts.passphrases import good_passphrase


@dataclass(frozen=True, slots=True)
class PassphraseRequest:
    """A new passphrase for a person."""

    sign_in: str
    passphrase: str


@dataclass(frozen=True, slots=True)
class LeaveRequest:
    """A person who no longer works here, or who does again."""

    sign_in: str


def set_passphrase(request: PassphraseRequest, *, by: int, key: str, now: datetime) -> None:
    """Set a new passphrase: the owner of the workshop for anybody, others for themselves.

    Whoever is signed in with the old one is signed out everywhere.

    Raises:
        InputRefused: The passphrase is easy to guess.
        NotFound: Nobody signs in by this name.
    """
    own = Person.objects.filter(pk=by, sign_in=request.sign_in.lower()).exists()
    kind = "own passphrase set" if own else "passphrase set"
    with act(kind, by=by, key=key, now=now, request=request, secret=("passphrase",)) as this:
        person = _person(request.sign_in)
        if this.repeated:
            same_secret(person.password, request.passphrase)
            return
        good_passphrase(request.passphrase, (*_known_here(), person.name, person.sign_in))
        person.set_password(request.passphrase)
        person.save(update_fields=["password"])
        this.write()


def retire_person(request: LeaveRequest, *, by: int, key: str, now: datetime) -> None:
    """Take a person off the sign-in page and out of the second look; what they signed keeps their name.

    Raises:
        NotPossibleNow: They are the last owner of the workshop.
        NotFound: Nobody signs in by this name.
    """
    with act("person retired", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        person = _person(request.sign_in)
        others = Person.objects.filter(is_active=True, role=Role.OWNER).exclude(pk=person.pk)
        if person.role == Role.OWNER and not others.exists():
            raise NotPossibleNow(
                f"{person.name} is the only owner of the workshop: add another owner first, then try again."
            )
        person.is_active = False
        person.save(update_fields=["is_active"])
        this.write()


def bring_back(request: LeaveRequest, *, by: int, key: str, now: datetime) -> None:
    """Let a person who had left sign in again.

    Raises:
        NotFound: Nobody of this name has left.
    """
    with act("person back", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        person = _person(request.sign_in, active=False)
        person.is_active = True
        person.save(update_fields=["is_active"])
        this.write()


def retired() -> tuple[PersonView, ...]:
    """Return those who have left, by name."""
    return tuple(
        PersonView(one.pk, one.sign_in, one.name, one.role, bool(one.pin))
        for one in Person.objects.filter(is_active=False).order_by("name")
    )


def _known_here() -> tuple[str, ...]:
    row = Workshop.objects.first()
    return (row.name, row.town) if row else ()


def _person(sign_in: str, *, active: bool = True) -> Person:
    person = Person.objects.filter(sign_in=sign_in.strip().lower(), is_active=active).first()
    if person is None:
        sentence = f'Nobody {"here" if active else "who left"} signs in as "{sign_in[:40]}": choose a name from the list.'
        raise NotFound(sentence)
    return person
