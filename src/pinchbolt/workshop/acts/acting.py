"""How an act is written down: one transaction, who may do it, and a repeated request that changes nothing."""

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from types import MappingProxyType

from django.db import connection, transaction
from django.db.models import QuerySet
from django.utils.crypto import salted_hmac

from pinchbolt.errors import InputRefused, NotAllowed, NotPossibleNow
from pinchbolt.records.models import Bike, Event, Job, Person, Role, note_now
from pinchbolt.records.prepared import prepared
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.done_earlier import done_at
from pinchbolt.workshop.acts.kinds_of_act import May, act_kind
from pinchbolt.workshop.acts.one_look import kept_until_written, once_a_look
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.common.trade_tables import tables_in_use, with_tables

_NOTHING: Mapping[str, Event] = MappingProxyType({})


class Act:
    """One act inside its transaction. `repeated` is True where this very request was carried out before."""

    def __init__(
        self, kind: str, person: Person, key: str, now: datetime, said: object, fingerprint: str
    ) -> None:
        self.kind = kind
        self.person = person
        self.key = key
        self.now = now
        self.said = said
        self.fingerprint = fingerprint
        self.earlier = _by_key.first(key)
        if self.earlier is not None and self.earlier.fingerprint != fingerprint:
            raise InputRefused(
                worded(
                    'The request mark "{key}" was used before for something else: each act needs its '
                    "own. Reload the page and try again.",
                    key=key,
                )
            )

    @property
    def repeated(self) -> bool:
        """Whether this request was carried out before."""
        return self.earlier is not None

    @property
    def done_before(self) -> Event:
        """The event that this request made the first time."""
        if self.earlier is None:
            raise LookupError("this request is new")
        return self.earlier

    def write(
        self, *, job: Job | None = None, bike: Bike | None = None, corrects: Event | None = None
    ) -> Event:
        """Write the event of this act."""
        if corrects is not None and not corrects.stands:
            raise NotPossibleNow(
                worded("This entry was corrected already: correct the newest one. Reload the page.")
            )
        return Event.objects.create(
            at=self.now,
            by=self.person,
            kind=self.kind,
            key=self.key,
            fingerprint=self.fingerprint,
            job=job,
            bike=bike if bike is not None else (job.bike if job else None),
            corrects=corrects,
            said=_with_moment(_with_version(self.said) if job is not None else self.said, self.now),
        )

    def also(
        self,
        kind: str,
        name: str,
        *,
        job: Job | None = None,
        bike: Bike | None = None,
        corrects: Event | None = None,
        said: object = None,
    ) -> Event:
        """Write a further event that this act brings with it; *name* tells it apart from its siblings."""
        event = self._further(kind, name, job, corrects, said, bike)
        event.save(force_insert=True)
        return event

    def also_each(
        self,
        kind: str,
        job: Job | None,
        each: Mapping[str, object],
        corrects: Mapping[str, Event] = _NOTHING,
        *,
        bike: Bike | None = None,
    ) -> dict[str, Event]:
        """Write one further event a name, all at once; `each` maps a name to what is kept, `corrects` to the old event."""
        events = [
            self._further(kind, name, job, corrects.get(name), said, bike) for name, said in each.items()
        ]
        written = Event.objects.bulk_create(events)
        note_now(written)
        return dict(zip(each, written, strict=True))

    def _further(
        self,
        kind: str,
        name: str,
        job: Job | None,
        corrects: Event | None,
        said: object,
        bike: Bike | None = None,
    ) -> Event:
        act_kind(kind)
        return Event(
            at=self.now,
            by=self.person,
            kind=kind,
            key=f"{self.key}/{name}",
            fingerprint=self.fingerprint,
            job=job,
            bike=bike if bike is not None else (job.bike if job else None),
            corrects=corrects,
            said=said if said is not None else {},
        )


def _with_version(said: object) -> object:
    """What was judged or priced by rows of the workshop's own says by which version of them."""
    version = tables_in_use().version
    return {**said, "tables": version} if version and isinstance(said, dict) else said


def _with_moment(said: object, now: datetime) -> object:
    """What was done without signal says when it was done."""
    earlier = done_at(now)
    return {**said, "done_at": earlier} if earlier and isinstance(said, dict) else said


@contextmanager
def act(
    kind: str,
    *,
    by: int,
    key: str,
    now: datetime,
    request: object,
    private: tuple[str, ...] = (),
    secret: tuple[str, ...] = (),
) -> Iterator[Act]:
    """Open the transaction of one act.

    Args:
        kind: What the event is called. [-]
        by: Id of the person who acts. [-]
        key: Mark of the request, 8 to 64 characters; the same mark again is the same act. [-]
        now: When. [-]
        request: The request, a dataclass of plain values. [-]
        private: Fields of *request* that are not kept with the event (owner's personal data). [-]
        secret: Fields that leave no trace at all, not even in the digest: passphrases and PINs. [-]

    Raises:
        InputRefused: The key is missing, too long, or was used for something else.
        NotAllowed: The person's role may not do this.
    """
    if not 8 <= len(key) <= 64:
        raise InputRefused(
            worded(
                "The request mark has {key} characters: 8 to 64 are allowed. Reload the page and try again.",
                key=len(key),
            )
        )
    said = as_json(request)
    fingerprint = _digest(kind, _without(said, secret))
    kept = _without(said, (*private, *secret))
    with one_at_a_time(), kept_until_written(), with_tables():
        yield Act(kind, allowed(by, kind, request), key, now, kept, fingerprint)


# Any number that nothing else on the same database uses: "bolt" in letters.
_OUR_TURN = 0x626F6C74


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """A transaction that reads what is so and then writes: no other one does the same in between.

    SQLite lets one writer in at a time (IMMEDIATE in the settings). PostgreSQL is told to: the lock ends with the transaction.
    """
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_OUR_TURN])
        yield


@contextmanager
def one_moment() -> Iterator[None]:
    """A transaction that only reads: all of it is of one moment, and nobody who writes waits for it.

    Inside another transaction it is of that one's moment.
    """
    inside, mode = connection.in_atomic_block, getattr(connection, "transaction_mode", None)
    try:
        if mode is not None and not inside:
            # What only reads takes no writer's turn.
            setattr(connection, "transaction_mode", "DEFERRED")  # noqa: B010
        with transaction.atomic():
            if connection.vendor == "postgresql" and not inside:
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
    finally:
        if mode is not None:
            setattr(connection, "transaction_mode", mode)  # noqa: B010


def _without(said: object, names: tuple[str, ...]) -> object:
    return (
        {name: value for name, value in said.items() if name not in names} if isinstance(said, dict) else said
    )


def _digest(kind: str, said: object) -> str:
    """What tells one request from another; keyed, so that nobody who holds the database alone can try guesses against it."""
    words = json.dumps([kind, said], sort_keys=True)
    return salted_hmac("pinchbolt.acts", words, algorithm="sha256").hexdigest()


@once_a_look
def _at_work(by: int) -> Person | None:
    return _active.first(by)


@prepared
def _active(person: int) -> QuerySet[Person]:
    return Person.objects.filter(pk=person, is_active=True)


@prepared
def _by_key(key: str) -> QuerySet[Event]:
    return Event.objects.filter(key=key)


def allowed(by: int, kind: str, request: object = None) -> Person:
    """Return the person, if their role may do this."""
    row = act_kind(kind)
    person = _at_work(by)
    if person is None:
        raise NotAllowed(worded("Nobody is signed in: sign in first."))
    if row.may is May.OWNER and person.role != Role.OWNER:
        raise NotAllowed(
            worded(
                "{name} is {role}: this is for the owner of the workshop. Ask them to sign in.",
                name=person.name,
                role=person.role,
            )
        )
    if (
        person.role == Role.COUNTER
        and row.may is not May.ALL
        and not (row.counter_if and row.counter_if(request))
    ):
        raise NotAllowed(
            worded(
                "{name} works at the counter. Only a mechanic can save readings and work: ask one to "
                "sign in.",
                name=person.name,
            )
        )
    return person
