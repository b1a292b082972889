"""A new passphrase, a person who leaves and one who comes back; what they wrote stays theirs."""

from dataclasses import dataclass
from datetime import datetime

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Person, Role, Workshop
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.manage_people import PersonView, person_view, same_secret
from pinchbolt.workshop.acts.on_stands import on_stands
from pinchbolt.workshop.acts.passphrases import good_passphrase
from pinchbolt.workshop.acts.setting_changes import refuse_unseen, what_changed
from pinchbolt.workshop.common.checks import short


@dataclass(frozen=True, slots=True)
class PassphraseRequest:
    """A new passphrase for a person."""

    sign_in: str
    passphrase: str


@dataclass(frozen=True, slots=True)
class PersonChangeRequest:
    """What a person is called and may do from now on; `gives_percent` of a job may be given away by them, None: it is free."""

    sign_in: str
    name: str
    role: str
    may_sign: bool = True
    gives_percent: int | None = None
    seen: int | None = None


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


def change_person(request: PersonChangeRequest, *, by: int, key: str, now: datetime) -> None:
    """Change a person's name, role, stand, and whether they may sign a bike off.

    Raises:
        InputRefused: No such role, no name, or a share out of sense.
        NotPossibleNow: They are the last owner of the workshop and would be it no longer; or somebody changed it meanwhile.
        NotFound: Nobody signs in by this name.
    """
    with act("person changed", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        person = _person(request.sign_in)
        name = short(request.name, "name", worded("The name"), 120, needed=True)
        if request.role not in Role.values:
            sentence = worded(
                'The role is "{role}": {values}. Choose one.',
                role=request.role[:40],
                values=", ".join(Role.values),
            )
            raise InputRefused(sentence, {"role": sentence})
        if request.role != Role.OWNER:
            _refuse_last_owner(person, "role")
        if request.gives_percent is not None and not 0 <= request.gives_percent <= 100:
            sentence = worded(
                "{gives_percent} % may be given away: 0 to 100, or nothing where it is free. Type it again.",
                gives_percent=request.gives_percent,
            )
            raise InputRefused(sentence, {"gives_percent": sentence})
        told = {
            "name": name,
            "role": request.role,
            "may_sign": request.may_sign,
            "gives_percent": request.gives_percent,
        }
        before = {one: getattr(person, one) for one in told}
        changed = what_changed(
            *({f"{person.sign_in} {one}": said[one] for one in told} for said in (before, told))
        )
        refuse_unseen("people", changed["now"], request.seen)
        for one, value in told.items():
            setattr(person, one, value)
        person.save(update_fields=list(told))
        this.said = {**changed, "sign_in": person.sign_in}
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
        _refuse_last_owner(person, "sign_in")
        _set_active(this, person, active=False)


def bring_back(request: LeaveRequest, *, by: int, key: str, now: datetime) -> None:
    """Let a person who had left sign in again.

    Raises:
        NotFound: Nobody of this name has left.
    """
    with act("person back", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        _set_active(this, _person(request.sign_in, active=False), active=True)


def retired() -> tuple[PersonView, ...]:
    """Return those who have left, by name."""
    return tuple(map(person_view, Person.objects.filter(is_active=False).order_by("name")))


def begun_by(person: int) -> tuple[str, ...]:
    """Return the tags of the bikes on stands whose work this person began last: who goes on with them?"""
    return tuple(one.tag for one in on_stands() if one.by == person)


def _set_active(this: Act, person: Person, *, active: bool) -> None:
    person.is_active = active
    person.save(update_fields=["is_active"])
    field = f"{person.sign_in} works here"
    this.said = {"was": {field: not active}, "now": {field: active}, "sign_in": person.sign_in}
    this.write()


def _refuse_last_owner(person: Person, field: str) -> None:
    """Somebody must own the workshop."""
    others = Person.objects.filter(is_active=True, role=Role.OWNER).exclude(pk=person.pk)
    if person.role == Role.OWNER and not others.exists():
        sentence = worded(
            "{name} is the only owner of the workshop: somebody must own it. Give the role to another first.",
            name=person.name,
        )
        raise NotPossibleNow(sentence, {field: sentence})


def _known_here() -> tuple[str, ...]:
    row = Workshop.objects.first()
    return (row.name, row.town) if row else ()


def _person(sign_in: str, *, active: bool = True) -> Person:
    person = Person.objects.filter(sign_in=sign_in.strip().lower(), is_active=active).first()
    if person is None:
        sentence = worded(
            'Nobody {active} signs in as "{sign_in}": choose a name from the list.',
            active=worded("here") if active else worded("who left"),
            sign_in=sign_in[:40],
        )
        raise NotFound(sentence)
    return person
