"""Who works here: names for the sign-in page, and the owner of the workshop adding people or setting a new PIN."""

from dataclasses import dataclass
from datetime import datetime

from django.contrib.auth.hashers import check_password, make_password

from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Person, Role, Workshop
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.passphrases import good_passphrase
from pinchbolt.workshop.common.checks import short

OWNER: str = Role.OWNER.value
ROLES: tuple[str, ...] = tuple(Role.values)
"""What a person may be; what each may do stands in acting.py."""


LOCKED_SENTENCE = worded(
    "Five wrong tries for this name: it is locked for 15 minutes on this device. Wait, "
    "or sign in on the workshop's own machine, or ask the owner of the workshop to set a "
    "new PIN or passphrase."
)


@dataclass(frozen=True, slots=True)
class PersonView:
    """A person on the sign-in page."""

    id: int
    sign_in: str
    name: str
    role: str
    has_pin: bool
    may_sign: bool = True
    stand: int | None = None
    gives_percent: int | None = None


@dataclass(frozen=True, slots=True)
class PersonRequest:
    """A person to add. Role: owner of the workshop, mechanic or counter."""

    sign_in: str
    name: str
    role: str
    passphrase: str
    pin: str = ""


@dataclass(frozen=True, slots=True)
class PinRequest:
    """A new PIN for a person."""

    sign_in: str
    pin: str


def people() -> tuple[PersonView, ...]:
    """Return the active people, by name."""
    return tuple(map(person_view, Person.objects.filter(is_active=True).order_by("name")))


def person_view(one: Person) -> PersonView:
    """Return a person as every door shows them."""
    return PersonView(
        one.pk, one.sign_in, one.name, one.role, bool(one.pin), one.may_sign, one.stand, one.gives_percent
    )


def person_named(sign_in: str) -> PersonView:
    """Return the active person with this sign-in name, whatever the case.

    Raises:
        NotFound: Nobody here signs in by this name.
    """
    found = next((one for one in people() if one.sign_in == sign_in.strip().lower()), None)
    if found is None:
        names = ", ".join(one.sign_in for one in people()) or worded("nobody yet")
        raise NotFound(
            worded(
                'Nobody here signs in as "{sign_in}": {names}. Name one of them.',
                sign_in=sign_in[:40],
                names=names,
            )
        )
    return found


def add_person(request: PersonRequest, *, by: int, key: str, now: datetime) -> PersonView:
    """Add a person; only the owner of the workshop may.

    Raises:
        InputRefused: Name taken, role unknown, passphrase too short, PIN not 4 to 8 figures.
    """
    with act("person added", by=by, key=key, now=now, request=request, secret=("passphrase", "pin")) as this:
        if this.repeated:
            same_secret(Person.objects.get(sign_in=request.sign_in.lower()).password, request.passphrase)
            return next(one for one in people() if one.sign_in == request.sign_in.lower())
        sign_in = short(request.sign_in, "sign_in", worded("The sign-in name"), 40, needed=True).lower()
        name = short(request.name, "name", worded("The name"), 120, needed=True)
        if Person.objects.filter(sign_in=sign_in).exists():
            raise _refused(
                "sign_in", worded('The sign-in name "{sign_in}" is taken: choose another.', sign_in=sign_in)
            )
        if request.role not in Role.values:
            raise _refused(
                "role",
                worded(
                    'The role is "{role}": {values}. Choose one.',
                    role=request.role[:40],
                    values=", ".join(Role.values),
                ),
            )
        shop = Workshop.objects.first()
        good_passphrase(request.passphrase, (name, sign_in, *((shop.name, shop.town) if shop else ())))
        _good_pin(request.pin)
        this.write()
        person = Person.objects.make(sign_in, name, request.role, request.passphrase, request.pin)
        return person_view(person)


def set_pin(request: PinRequest, *, by: int, key: str, now: datetime) -> None:
    """Set a person's PIN; the owner of the workshop for anybody, others for themselves.

    Raises:
        InputRefused: The PIN is not 4 to 8 figures.
        NotFound: No such person.
    """
    own = Person.objects.filter(pk=by, sign_in=request.sign_in.lower()).exists()
    kind = "own pin set" if own else "person added"
    with act(kind, by=by, key=key, now=now, request=request, secret=("pin",)) as this:
        person = Person.objects.filter(sign_in=request.sign_in.lower(), is_active=True).first()
        if this.repeated:
            same_secret(person.pin if person else "", request.pin)
            return
        if person is None:
            raise NotFound(worded('Nobody here signs in as "{sign_in}".', sign_in=request.sign_in[:40]))
        _good_pin(request.pin)
        person.pin = make_password(request.pin) if request.pin else ""
        person.save(update_fields=["pin"])
        this.write()


def same_secret(kept: str, given: str) -> None:
    """Refuse a repeated request that brings another secret: secrets are not in a request's digest, so it can't tell.

    Raises:
        InputRefused: The secret is another one than the first time.
    """
    if bool(kept) != bool(given) or (given and not check_password(given, kept)):
        raise InputRefused(
            worded(
                "This request was carried out before with another PIN or passphrase, which holds: "
                "reload the page and try again."
            )
        )


def _good_pin(pin: str) -> None:
    if pin and not (pin.isascii() and pin.isdigit() and 4 <= len(pin) <= 8):
        raise _refused("pin", worded("The PIN is not 4 to 8 figures: use figures only, 4 to 8 of them."))


def _refused(field: str, sentence: str) -> InputRefused:
    return InputRefused(sentence, {field: sentence})
