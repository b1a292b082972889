"""Taking a bike in: who, which bike, what the owner says, what is seen, what is promised."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from pinchbolt.errors import InputRefused, NotPossibleNow
from pinchbolt.records.models import Bike, Distance, Event, Job, Owner
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import Act, act
from pinchbolt.workshop.acts.lookups import bike_by_tag, owner_by_id
from pinchbolt.workshop.acts.state import job_state, jobs_here
from pinchbolt.workshop.bikes.build_sheet import kind_row
from pinchbolt.workshop.bikes.building import bike_from_template
from pinchbolt.workshop.common.checks import local_day, number, sensible_promise, short
from pinchbolt.workshop.owners.change_owner import limit_without_a_call
from pinchbolt.workshop.owners.find import owners_of_name, owners_of_phone
from pinchbolt.workshop.owners.give_over import NOT_KNOWN, pass_on
from pinchbolt.workshop.rides.displays import write_display
from pinchbolt.workshop.rides.on_since import first_fittings, write_since
from pinchbolt.workshop.stays.complaints import write_complaints
from pinchbolt.workshop.stays.promise import refuse_closed, sound_odds


@dataclass(frozen=True, slots=True)
class CheckInRequest:
    """A known bike by its tag, or a new one by its owner's name and a build template, or its kind alone: begun from nothing.

    `distance_km` is how far the bike went since its last stay (owner's word); `km_a_week` what the owner rides in a usual week.
    A new bike of somebody known names a bike of theirs in `owner_of`, or the owner in `owner`; a name or number that is known here
    is asked about (`ask_who`), and that it is `another_person` is written down. `odometer_km` is what the bike's own display shows.
    `on_since` is the day since which its parts are on it (new bike), or with `all_along` they are as long as the owner has it;
    `follows` is the job after which the bike is back, `cause` why (same complaint, our work, something else).
    `chain_since` is the day of the last chain. Unsaid, nobody knows. `complaints` are what the owner complains of, by their rows.
    `promise_odds` are the odds that were told with the promise (0 to 1).
    """

    tag: str = ""
    template: str = ""
    bike_kind: str = ""
    owner_of: str = ""
    owner: int | None = None
    another_person: bool = False
    owner_name: str = ""
    owner_phone: str = ""
    owner_reach: str = ""
    bike_words: str = ""
    frame_number: str = ""
    speeds: int | None = None
    use_class: str = ""
    owner_words: str = ""
    seen_words: str = ""
    left_with: str = ""
    spend_limit: Decimal | None = None
    promise: datetime | None = None
    distance_km: float | None = None
    km_a_week: float | None = None
    on_since: date | None = None
    all_along: bool = False
    chain_since: date | None = None
    complaints: tuple[str, ...] = ()
    odometer_km: float | None = None
    follows: int | None = None
    cause: str = ""
    promise_odds: float | None = None


@dataclass(frozen=True, slots=True)
class CheckedIn:
    """The job that was opened."""

    job: int
    tag: str
    is_new_bike: bool


def check_in(request: CheckInRequest, *, by: int, key: str, now: datetime) -> CheckedIn:
    """Open a job for a bike; makes owner and bike on the spot where no tag is given.

    Raises:
        InputRefused: A text is too long, a number out of sense, the promise not ahead, no template or owner for a new bike.
        NotPossibleNow: The bike is here already.
    """
    private = ("owner_name", "owner_phone", "owner_reach", "owner_words", "frame_number", "spend_limit")
    with act("checked in", by=by, key=key, now=now, request=request, private=private) as this:
        if this.repeated:
            job = this.done_before.job
            assert job is not None  # a check-in is always written with its job
            return CheckedIn(job.pk, job.bike.tag, not request.tag)
        alike = _alike(request) if request.another_person else ()
        bike = _known_bike(request) if request.tag.strip() else _new_bike(request, now)
        new = _owner_who_came(request, bike)
        _note_use(request, bike)
        _note_since(request, bike, now)
        job = Job.objects.create(
            bike=bike,
            opened_at=now,
            owner_words=short(request.owner_words, "owner_words", worded("What the owner says"), 2000),
            seen_words=short(request.seen_words, "seen_words", worded("What is seen"), 2000),
            left_with=short(request.left_with, "left_with", worded("What is left with the bike"), 200),
            promise=_promise(request, now),
            spend_limit=_spend_limit(request.spend_limit, new or bike.owner),
        )
        this.write(job=job)
        if new is not None:
            pass_on(this, bike, new, local_day(now), "given-over")
        for number, other in enumerate(alike):
            both = {"one": bike.owner_id, "other": other.pk}
            this.also("owners told apart", f"apart/{number}", job=job, said=both)
        write_complaints(this, job, request.complaints)
        if request.odometer_km is not None:
            said = {"what": "odometer", "value": request.odometer_km, "day": local_day(now).isoformat()}
            event = this.also("display read", "shown", job=job, said=said)
            write_display(event, bike, "odometer", request.odometer_km, local_day(now), "odometer_km")
        if request.distance_km is not None and request.tag.strip():
            _write_distance(this, job, request.distance_km, now)
        return CheckedIn(job.pk, bike.tag, not request.tag.strip())


def _promise(request: CheckInRequest, now: datetime) -> datetime | None:
    """The promise, if it lies ahead on a day on which somebody is here to hand the bike over."""
    found = sensible_promise(request.promise, now)
    sound_odds(request.promise_odds)
    if found is not None:
        refuse_closed(local_day(found), local_day(now))
    return found


def _known_bike(request: CheckInRequest) -> Bike:
    bike = bike_by_tag(request.tag)
    for job in jobs_here().filter(bike=bike):
        raise NotPossibleNow(
            worded("{tag} is already here ({words}). Open its job.", tag=bike.tag, words=job_state(job).words)
        )
    return bike


def _owner_who_came(request: CheckInRequest, bike: Bike) -> Owner | None:
    """A bike whose owner was erased, or is not known, comes in with somebody: from here on it is theirs, if they say who they are."""
    nobody = bike.owner.erased_at is not None or bike.owner.name == NOT_KNOWN
    if not nobody or not (request.owner_name.strip() or request.owner is not None):
        return None
    found = _known_owner(request) or _new_owner(request)
    return None if found.pk == bike.owner_id else found


def _new_bike(request: CheckInRequest, now: datetime) -> Bike:
    return bike_from_template(
        request.template,
        owner=_known_owner(request) or _new_owner(request),
        words=short(request.bike_words, "bike_words", worded("The bike in words"), 200),
        frame_number=short(request.frame_number, "frame_number", worded("The frame number"), 60),
        speeds=request.speeds,
        use_class=request.use_class,
        today=local_day(now),
        bike_kind=request.bike_kind,
    )


def _known_owner(request: CheckInRequest) -> Owner | None:
    """The owner of a further bike, by a bike of theirs or by their number."""
    if request.owner_of.strip():
        return bike_by_tag(request.owner_of).owner
    return owner_by_id(request.owner) if request.owner is not None else None


def _new_owner(request: CheckInRequest) -> Owner:
    """A person who was never here."""
    name = short(request.owner_name, "owner_name", worded("The owner's name"), 120, needed=True)
    return Owner.objects.create(
        name=name,
        phone=short(request.owner_phone, "owner_phone", worded("The phone number"), 40),
        reach=short(request.owner_reach, "owner_reach", worded("How to reach the owner"), 200),
        spend_limit=limit_without_a_call(request.spend_limit),
    )


def _alike(request: CheckInRequest) -> tuple[Owner, ...]:
    """Who is known by this phone or this name."""
    found = (*owners_of_phone(request.owner_phone), *owners_of_name(request.owner_name))
    return tuple({one.pk: one for one in found}.values())


def ask_who(request: CheckInRequest, key: str) -> None:
    """Ask once whether a new owner whose phone or name is known here is the same person; people can share both, so a door may go on.

    Not of a request that was carried out already: by then both are known by it.

    Raises:
        InputRefused: Somebody here has this phone or this name.
    """
    known_bike = request.tag.strip() or request.owner_of.strip() or request.owner is not None
    if known_bike or request.another_person or Event.objects.filter(key=key).exists():
        return
    phones = owners_of_phone(request.owner_phone)
    if phones:
        whose = f"{phones[0].name}'s{_bikes_of(phones[0])}"
        sentence = worded(
            "This number is {whose}: is it the same person, or somebody else with the same phone? Choose.",
            whose=whose,
        )
        raise InputRefused(sentence, {"owner_phone": sentence})
    names = owners_of_name(request.owner_name)
    if names:
        tags = ", ".join(tag for one in names for tag, _ in _bikes(one)) or worded("no bike")
        sentence = worded(
            "{split} is known here, with {tags}: is it the same person? Then name that bike as "
            "one of theirs; if not, say that it is another person of this name.",
            split=" ".join(request.owner_name.split()),
            tags=tags,
        )
        raise InputRefused(sentence, {"owner_name": sentence})


def known_alike(name: str, phone: str) -> tuple[tuple[int, str, str], ...]:
    """Return who is known by this phone or this name: number, name, bikes in words."""
    found = _alike(CheckInRequest(owner_name=name, owner_phone=phone))
    return tuple(
        (one.pk, one.name, "; ".join(f"{tag} {words}" for tag, words in _bikes(one))) for one in found[:10]
    )


def _bikes(owner: Owner) -> tuple[tuple[str, str], ...]:
    return tuple(owner.bikes.order_by("tag").values_list("tag", "words")[:10])


def _bikes_of(owner: Owner) -> str:
    tags = ", ".join(tag for tag, _ in _bikes(owner))
    return f" ({tags})" if tags else ""


def owner_named(tag: str, owner: int | None = None) -> str:
    """Return the name of a bike's owner, or of the owner with this number.

    Raises:
        NotFound: No bike has this tag, or no such owner.
    """
    return bike_by_tag(tag).owner.name if tag.strip() or owner is None else owner_by_id(owner).name


def _note_use(request: CheckInRequest, bike: Bike) -> None:
    if request.km_a_week is not None:
        bike.km_a_week = number(request.km_a_week, "km_a_week", worded("The distance a week"), 0, 2000, "km")
        bike.save(update_fields=["km_a_week"])


def _note_since(request: CheckInRequest, bike: Bike, now: datetime) -> None:
    """Since when its parts are on it; the chain has its own day."""
    fittings = first_fittings(bike) if request.on_since or request.all_along or request.chain_since else []
    if request.on_since or request.all_along:
        write_since(fittings, request.on_since, now, all_along=request.all_along, field="on_since")
    if request.chain_since:
        # What wears other parts out by being left on: the chain, or the belt in its place.
        chains = [one for one in fittings if kind_row(one.part.kind).wears]
        write_since(chains, request.chain_since, now, all_along=False, field="chain_since")


def _spend_limit(given: Decimal | None, owner: Owner) -> Decimal | None:
    return owner.spend_limit if given is None else limit_without_a_call(given)


def _write_distance(this: Act, job: Job, km: float, now: datetime) -> None:
    """The distance since the last stay or the last stated distance, as the owner's word."""
    number(km, "distance_km", worded("The distance since last time"), 0, 60000, "km")
    today = local_day(now)
    start = _last_known_day(job.bike, job) or today
    Distance.objects.create(
        event=this.also("distance said", "distance", job=job, said={"km": km}),
        bike=job.bike,
        start=start,
        end=today,
        km=km,
        sd_share=0.15,
        known="owner's word",
    )


def _last_known_day(bike: Bike, job: Job) -> date | None:
    last = Distance.objects.filter(bike=bike, event__corrected_by__isnull=True).order_by("-end").first()
    if last is not None:
        return last.end
    before = bike.jobs.exclude(pk=job.pk).order_by("-opened_at").first()
    return local_day(before.opened_at) if before else None
