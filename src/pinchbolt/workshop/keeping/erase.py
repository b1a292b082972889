"""Erasing an owner: who they were goes for good, what was done to their bikes stays. There is no undo."""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256

from django.db import OperationalError, connection, transaction
from django.db.models import Model, Q

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import (
    ERASED,
    Bike,
    Bill,
    Consent,
    Distance,
    Erasing,
    Event,
    Job,
    Owner,
    OwnerWords,
    Person,
    Photo,
    Ride,
    RidePlace,
    Role,
    SentText,
    note_look_up,
)
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import owner_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.common.trade_tables import tables
from pinchbolt.workshop.keeping._mask import Mask, mask_of
from pinchbolt.workshop.keeping._written_of import (
    ERASED_WORDS,
    OWN_WORDS,
    SAID_BY_OWNER,
    Theirs,
    events_of,
    proofs_of,
    written_of,
)
from pinchbolt.workshop.keeping.erased_list import note_erased
from pinchbolt.workshop.keeping.held import papers_of
from pinchbolt.workshop.leaving.job_money import job_money
from pinchbolt.workshop.owners.give_over import GIVEN_OVER
from pinchbolt.workshop.owners.one_person import all_of, stays_of
from pinchbolt.workshop.owners.outbox import tidy_outbox
from pinchbolt.workshop.owners.told_fields import FIELDS
from pinchbolt.workshop.rides.exposure import counted_of


@dataclass(frozen=True, slots=True)
class EraseRequest:
    """Erase an owner; needs the passphrase of the owner of the workshop. `words_too`: single words of the name go from notes as well."""

    owner: int
    passphrase: str
    words_too: bool = True


@dataclass(frozen=True, slots=True)
class EraseView:
    """What erasing would do: what stops it, what goes, what stays, and notes in which a single word of the name stands."""

    number: int
    name: str
    stops: tuple[str, ...]
    goes: tuple[str, ...]
    tags: tuple[str, ...]
    bills: tuple[str, ...]
    notes: tuple[str, ...]


def erase_view(owner: int) -> EraseView:
    """Return what erasing an owner would do.

    Raises:
        NotFound: No such owner.
    """
    row = owner_by_id(owner)
    theirs = _whose(row)
    one, bikes, jobs = theirs.owners, theirs.bikes, theirs.stays
    photos = Photo.objects.filter(job__in=jobs).count() + proofs_of(theirs).count()
    texts = SentText.objects.filter(event__job__in=jobs).count()
    rides = Ride.objects.filter(owner__in=one).count()
    goes = [
        worded(
            "name, phones, e-mails, address, how to reach them, who may say yes, limit, notes, "
            "and what these said before"
        ),
        worded(
            "their words at {jobs} check-ins, in answers and calls; {texts} texts to them; {photos} photos",
            jobs=len(jobs),
            texts=texts,
            photos=photos,
        ),
        worded("letters to them that wait in the outbox"),
        worded(
            "{rides} rides (the kilometres stay as one sum a year a bike), what they said yes or no to",
            rides=figure_text(rides),
        ),
        worded("frame numbers of {bikes} bike{s}", bikes=len(bikes), s="s" if len(bikes) != 1 else ""),
    ]
    return EraseView(
        row.pk,
        row.name,
        tuple(_stops(row, jobs)),
        tuple(goes),
        tuple(Bike.objects.filter(pk__in=bikes).order_by("tag").values_list("tag", flat=True)),
        tuple(str(bill) for bill in Bill.objects.filter(job__in=jobs).order_by("year", "number")),
        tuple(dict.fromkeys(_notes(theirs)))[:20],
    )


def erase_owner(request: EraseRequest, *, by: int, key: str, now: datetime) -> int:
    """Erase an owner for good and return their number, which stays.

    Raises:
        InputRefused: The passphrase is not that of the person who acts.
        NotAllowed: This person does not own the workshop.
        NotPossibleNow: A bike is here, a bill is open, or the owner was erased already.
    """
    with act("owner erased", by=by, key=key, now=now, request=request, secret=("passphrase",)) as this:
        if this.repeated:
            return request.owner
        if not this.person.check_password(request.passphrase):
            sentence = worded(
                "This is not your passphrase: erasing needs it, since there is no undo. Type it again."
            )
            raise InputRefused(sentence, {"passphrase": sentence})
        row = owner_by_id(request.owner)
        if row.erased_at is not None:
            raise NotPossibleNow(worded("Owner {pk} was erased already.", pk=row.pk))
        theirs = _whose(row)
        stops = _stops(row, theirs.stays)
        if stops:
            raise NotPossibleNow(worded("{stops} Then erase.", stops=stops[0]))
        _erase(this, row, words_too=request.words_too)
        # Whoever was merged into them too: in a copy of before the merge they stand by themselves.
        transaction.on_commit(lambda: note_erased(theirs.owners, now))
        transaction.on_commit(tidy_outbox)
        transaction.on_commit(_empty_the_log)
        return row.pk


def erase_again(numbers: Iterable[int], now: datetime) -> int:
    """Erase owners anew whom a backup or an export brought back; return how many. Nothing stops it: it was decided before."""
    gone = list(numbers)
    _never_given_again(max(gone, default=0))
    person = Person.objects.filter(role=Role.OWNER, is_active=True).order_by("pk").first()
    # Who stands for others comes first and takes them along.
    back = Owner.objects.filter(pk__in=gone, erased_at__isnull=True)
    if person is None:
        return 0
    done = 0
    for row in sorted(back, key=lambda one: (one.merged_into_id is not None, one.pk)):
        row.refresh_from_db()
        if row.erased_at is not None:
            continue
        mark = f"erased-again-{row.pk}-{now:%Y%m%d%H%M%S}"
        with act("owner erased", by=person.pk, key=mark, now=now, request={"owner": row.pk}) as this:
            _erase(this, row, words_too=True)
        done += 1
    if done:
        transaction.on_commit(tidy_outbox)
        transaction.on_commit(_empty_the_log)
    return done


def _never_given_again(number: int) -> None:
    """In a copy of before an erased owner came, their number is still free: the next new owner would be erased in their place."""
    if Owner.objects.filter(pk__gte=number).exists() or not number:
        return
    with transaction.atomic(), connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(
                "UPDATE sqlite_sequence SET seq = max(seq, %s) WHERE name = 'records_owner'", [number]
            )
            if cursor.rowcount == 0:
                cursor.execute(
                    "INSERT INTO sqlite_sequence (name, seq) VALUES ('records_owner', %s)", [number]
                )
        else:
            given = "pg_get_serial_sequence('records_owner', 'id')"
            cursor.execute(f"SELECT setval({given}, greatest(nextval({given}), %s))", [number])


def _whose(row: Owner) -> Theirs:
    one = all_of(row.pk)
    now = Bike.objects.filter(Q(owner=row) | Q(came_with__in=one)).order_by("pk").values_list("pk", flat=True)
    bikes, stays = list(now), list(stays_of(row.pk).select_related("bike"))
    # One that was theirs and never here at that time; a giving over that was taken back named them too.
    hands = Q(said__from__in=list(one)) | Q(said__to__in=list(one))
    handed = Event.objects.filter(hands, kind=GIVEN_OVER).values_list("bike", flat=True)
    ever = {*bikes, *(job.bike_id for job in stays), *(bike for bike in handed if bike is not None)}
    return Theirs(one, bikes, stays, sorted(ever))


def _stops(row: Owner, jobs: Iterable[Job]) -> list[str]:
    """What has to be ended before, each with its door."""
    found = []
    for job in jobs:
        state = job_state(job)
        if not state.ended:
            found.append(
                worded("{tag} is here ({words}): hand it over first.", tag=job.bike.tag, words=state.words)
            )
            continue
        money = job_money(job)
        if money.standing is not None and money.still_open != 0:
            found.append(
                worded(
                    "Bill {number} of {tag} is not settled: note the payment or take the bill back first.",
                    number=money.standing.number,
                    tag=job.bike.tag,
                )
            )
    if row.erased_at is not None:
        found.append(worded("This owner was erased already."))
    return found


def _mask(one: tuple[int, ...]) -> Mask:
    """What takes this person out of words, by every name and way that was ever written down."""
    names, ways = [], []
    for row in Owner.objects.filter(pk__in=one):
        names += [row.name, row.called]
        ways += [row.phone, *(str(way["value"]) for way in row.ways)]
    for said in OwnerWords.objects.filter(owner__in=one):
        changes = said.changes
        names += [str(value) for field in ("name", "called") for value in changes.get(field, ())]
        ways += [str(value) for value in changes.get("phone", ())]
        told = changes.get("ways") or {}
        ways += [str(way["value"]) for part in told.values() for way in part]
    return mask_of(names, ways, (str(row.id) for row in tables().all_rows() if hasattr(row, "id")))


def _notes(theirs: Theirs) -> Iterable[str]:
    mask = _mask(theirs.owners)
    for written in written_of(theirs):
        for row in written.rows if not written.others else ():
            for field in written.masked:
                yield from mask.hits(getattr(row, field))


def _erase(this: Act, row: Owner, *, words_too: bool) -> None:
    """Everything of one erasing, inside its act."""
    theirs = _whose(row)
    one, jobs = theirs.owners, theirs.stays
    mask = _mask(one)
    papers = {
        paper.name: sha256(bytes(paper.pdf)).hexdigest()
        for paper in papers_of(row.pk)
        if not paper.name.startswith("bill ")
    }
    this.said = {"owner": row.pk, "bikes": len(theirs.bikes), "papers": papers}
    erased = this.write()
    flag = Erasing.objects.create(owner=row)
    _sum_up_rides(this, one, theirs.ever)
    for paper in papers_of(row.pk):
        if paper.name in papers:
            paper.delete()
    for written in written_of(theirs):
        likely = words_too and not written.others
        for found in written.rows:
            before = [getattr(found, field) for field in (*written.masked, *written.emptied)]
            after = [
                _fitting(found, field, mask.over(getattr(found, field), likely=likely))
                for field in written.masked
            ]
            after += [_emptied(field, getattr(found, field)) for field in written.emptied]
            if before != after:
                for field, value in zip((*written.masked, *written.emptied), after, strict=True):
                    setattr(found, field, value)
                found.save()
    _empty_events(events_of(theirs).exclude(pk=erased.pk), mask, words_too=words_too)
    _mask_events(Event.objects.filter(job__in=theirs.beside), mask)
    SentText.objects.filter(event__job__in=jobs).delete()
    Photo.objects.filter(job__in=jobs).delete()
    proofs_of(theirs).delete()
    Consent.objects.filter(owner__in=one).delete()
    OwnerWords.objects.filter(owner__in=one).update(changes={})
    for owner in Owner.objects.filter(pk__in=one):
        for name in FIELDS:
            setattr(owner, name, "")
        owner.name, owner.ways, owner.spend_limit, owner.erased_at = ERASED, [], None, this.now
        owner.save()
    flag.delete()
    note_look_up(*one)


def _emptied(field: str, value: object) -> object:
    """What stands in the place of the owner's own words; of what nobody said, nothing."""
    return value and ("" if field == "frame_number" else ERASED_WORDS)


def _fitting(row: Model, field: str, value: object) -> object:
    """A text as long as its column: what stands in a name's place may be longer than the name."""
    return (
        value[: getattr(row._meta.get_field(field), "max_length", None)] if isinstance(value, str) else value
    )


def _empty_events(events: Iterable[Event], mask: Mask, *, words_too: bool) -> None:
    """Earlier events keep what was done; words of the owner go, and the digest of what was asked with them."""
    changed = []
    for event in events:
        said = dict(event.said) if isinstance(event.said, dict) else event.said
        if isinstance(said, dict):
            own = (*OWN_WORDS, "words") if event.kind in SAID_BY_OWNER else OWN_WORDS
            said |= {name: ERASED_WORDS for name in own if said.get(name)}
        event.said = mask.over(said, likely=words_too)
        event.fingerprint = "erased"
        changed.append(event)
    Event.objects.bulk_update(changed, ["said", "fingerprint"], batch_size=200)


def _mask_events(events: Iterable[Event], mask: Mask) -> None:
    """Of another's stays only the person's own name, phones and e-mails go, where they stand."""
    changed = []
    for event in events:
        said = mask.over(event.said, likely=False)
        if said != event.said:
            event.said, event.fingerprint = said, "erased"
            changed.append(event)
    Event.objects.bulk_update(changed, ["said", "fingerprint"], batch_size=200)


def _sum_up_rides(this: Act, one: tuple[int, ...], bikes: list[int]) -> None:
    """The rides go; what was ridden stays as one sum a year of each bike."""
    rides = Ride.objects.filter(owner__in=one)
    ridden = set(
        RidePlace.objects.filter(ride__in=rides, bike__isnull=False).values_list("bike", flat=True)
    ) & set(bikes)
    sums = {bike: _by_year(bike) for bike in sorted(ridden)}
    RidePlace.objects.filter(ride__owner__in=one).delete()
    rides.filter(double_of__isnull=False).delete()
    rides.delete()
    Distance.objects.filter(bike__in=ridden).delete()
    for bike, years in sums.items():
        row = Bike.objects.get(pk=bike)
        for start, end, km in years:
            said = {"km": km, "start": start.isoformat(), "end": end.isoformat()}
            event = this.also("distance said", f"year/{bike}/{start.year}", bike=row, said=said)
            Distance.objects.create(
                event=event, bike=row, start=start, end=end, km=km, sd_share=0.05, known="ride files"
            )


def _by_year(bike: int) -> list[tuple[date, date, float]]:
    """What counts for a bike, summed up by calendar year: first day, last day, km."""
    years: dict[int, tuple[date, date, float]] = {}
    for stretch in counted_of(f"bike {bike}").stretches:
        days = max((stretch.end - stretch.start).days, 1)
        for year in range(stretch.start.year, stretch.end.year + 1):
            first, last = max(stretch.start, date(year, 1, 1)), min(stretch.end, date(year, 12, 31))
            share = (
                ((min(stretch.end, date(year + 1, 1, 1)) - first) / timedelta(days=1)) / days
                if stretch.end > stretch.start
                else 1.0
            )
            start, end, km = years.get(year, (first, last, 0.0))
            years[year] = (min(start, first), max(end, last), km + stretch.km * share)
    return [(start, end, round(km, 1)) for _, (start, end, km) in sorted(years.items())]


def _empty_the_log() -> None:
    """What corners of the file and the write-ahead log still hold of the time before goes too; on PostgreSQL its own vacuum does it."""
    if connection.vendor != "sqlite" or connection.in_atomic_block:
        return
    # Somebody who is reading keeps the log open: then the next erasing or restart empties it.
    with suppress(OperationalError), connection.cursor() as cursor:
        cursor.execute("VACUUM")
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
