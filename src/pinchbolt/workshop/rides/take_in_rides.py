"""Ride files taken in for a bike, or sorted among its owner's bikes: all of it in one act, or nothing."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256

from pinchbolt.engines.rides import Meeting
from pinchbolt.engines.rides import RecordedRide as RideRead
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Bike, Event, Owner, Ride, RidePlace, Trainer
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import bike_by_tag
from pinchbolt.workshop.common.checks import local_day
from pinchbolt.workshop.owners.one_person import stands_for
from pinchbolt.workshop.rides._ride_places import NOT_SURE, SAME_RIDE, TAKEN_BACK, RidesOfOwner, places_now
from pinchbolt.workshop.rides._which_bike import Chooser
from pinchbolt.workshop.rides.ride_files import FileRead
from pinchbolt.workshop.rides.ride_report import FileOutcome, Report, RidesTaken

# Where one ride comes in two forms, the fuller recording counts.
_FORMS = ("FIT", "TCX", "CSV", "GPX")
_ONE_DAY = timedelta(days=1)
_AT_A_TIME = 500


@dataclass(frozen=True, slots=True)
class RidesRequest:
    """Whose rides these are: a bike's, by tag; or, with `sort`, those of all bikes of its owner, told apart by device.

    `trainer` is the indoor trainer on which its indoor rides were; `digest` stands for all the files together. With `claim`, rides
    of these files that came in for another person before are this owner's from now on.
    """

    tag: str
    digest: str
    sort: bool = False
    trainer: int | None = None
    claim: bool = False


def digest_of(seen: Iterable[FileRead]) -> str:
    """Return one digest for all files together, whatever their order."""
    each = sorted(one.read.digest if one.read else f"refused {one.name}" for one in seen)
    return sha256("\n".join(each).encode()).hexdigest()


def take_in_rides(
    request: RidesRequest, seen: Sequence[FileRead], *, by: int, key: str, now: datetime
) -> RidesTaken:
    """Write the rides of these files down, once each, and say of every file what became of it.

    Raises:
        InputRefused: No file was given.
        NotFound: No such bike or trainer.
    """
    with act("rides taken in", by=by, key=key, now=now, request=request) as this:
        if not seen:
            sentence = worded(
                "No ride file was given: FIT, GPX, TCX and CSV can be read, also in a zip or folder. "
                "Choose some."
            )
            raise InputRefused(sentence, {"files": sentence})
        bike = bike_by_tag(request.tag)
        trainer = trainer_by_number(request.trainer)
        if this.repeated:
            return _reported(seen, this.done_before, bike.owner, now)
        event = this.write(bike=bike)
        return _Taking(event, bike, trainer, request, now).all(seen)


def trainer_by_number(number: int | None) -> Trainer | None:
    """Return an indoor trainer, None where none was meant.

    Raises:
        NotFound: There is none of this number.
    """
    if number is None:
        return None
    found = Trainer.objects.filter(pk=number).first()
    if found is None:
        raise NotFound(worded("There is no indoor trainer {number}. Choose one of the list.", number=number))
    return found


@dataclass(slots=True)
class _Fresh:
    """A ride that this act places: new, taken back before, or another person's until now."""

    row: Ride
    told: RideRead
    name: str
    met: Meeting
    other: Ride | None
    is_new: bool


class _Taking:
    """One act of taking in: what is known already, what is new."""

    def __init__(
        self, event: Event, bike: Bike, trainer: Trainer | None, request: RidesRequest, now: datetime
    ) -> None:
        self.event, self.trainer, self.claim, self.now = event, trainer, request.claim, now
        self.owner: Owner = bike.owner
        self.chooser = Chooser(bike, sort=request.sort)
        self.report = Report()
        self.here = RidesOfOwner(self.owner)
        self.fresh: list[_Fresh] = []

    def all(self, seen: Sequence[FileRead]) -> RidesTaken:
        """Take every file; writing is done at the end, all at once."""
        self.report.files = len(seen)
        for one in seen:
            if one.read is None:
                self.report.say_refused(one)
        files = [one for one in seen if one.read is not None]
        known = _known([one.read.digest for one in files if one.read is not None])
        files.sort(key=lambda one: (_FORMS.index(one.read.form) if one.read else 0, one.name))
        taken: set[str] = set()
        for one in files:
            assert one.read is not None  # sorted out above
            if one.read.digest in taken:
                self.report.known_before += 1
                continue
            taken.add(one.read.digest)
            if one.read.digest in known:
                self._again(one, known[one.read.digest])
                continue
            self.report.say_damage(one)
            for number, ride in enumerate(one.read.rides):
                self._new(one, number, ride)
        self._write()
        return self.report.closed()

    def _again(self, one: FileRead, rows: list[tuple[Ride, RidePlace | None]]) -> None:
        """A file that came in before: nothing new for its owner; else its rides are told of, claimed, or back again."""
        assert one.read is not None  # a file that can't be read is never known
        nothing_new = True
        for row, place in rows:
            back = place is not None and place.how == TAKEN_BACK
            if not back and (place is None or whose(place).pk == self.owner.pk):
                continue
            nothing_new = False
            if back or self.claim:
                self._meet(row, one.read.rides[row.number], one.name, is_new=False)
            elif place is not None:
                self.report.elsewhere.append(place)
        self.report.known_before += nothing_new

    def _new(self, one: FileRead, number: int, ride: RideRead) -> None:
        said = _why_not(ride, self.now)
        if said:
            self.report.left_out.append(FileOutcome(one.name, said))
            return
        assert ride.start is not None and one.read is not None  # _why_not saw to it
        row = Ride(
            event=self.event,
            owner=self.owner,
            digest=one.read.digest,
            number=number,
            form=one.read.form,
            start=ride.start,
            day=local_day(ride.start),
            elapsed_s=ride.elapsed_s,
            moving_s=ride.moving_s,
            distance_m=ride.distance_m,
            distance_from=ride.distance_from,
            ascent_m=ride.ascent_m,
            descent_m=ride.descent_m,
            energy_kj=ride.energy_kj,
            work_kj=ride.work_kj,
            indoor=ride.indoor,
            sport=ride.sport[:60] or None,
            device=ride.device[:120],
            device_mark=device_mark(ride),
            damaged=list(ride.damaged),
        )
        self._meet(row, ride, one.name, is_new=True)

    def _meet(self, row: Ride, told: RideRead, name: str, *, is_new: bool) -> None:
        met, other = self.here.met_by(row)
        if met is Meeting.SAME and is_new:
            row.double_of = other
        self.fresh.append(_Fresh(row, told, name, met, other, is_new))
        if met is not Meeting.SAME:
            self.here.add(row)

    def _write(self) -> None:
        """Rides first, then their doubles (which name them), then what each counts for."""
        new = [one for one in self.fresh if one.is_new]
        Ride.objects.bulk_create([one.row for one in new if one.row.double_of is None], batch_size=_AT_A_TIME)
        Ride.objects.bulk_create(
            [one.row for one in new if one.row.double_of is not None], batch_size=_AT_A_TIME
        )
        self.chooser.look_at([one.row for one in self.fresh if one.met is Meeting.APART])
        placed = []
        for one in self.fresh:
            if one.is_new and one.met is Meeting.SAME:
                assert one.other is not None  # the ride that it is the same as
                self.report.say_doubled(one.name, one.row, one.other)
                continue
            placed.append((one, self._place(one)))
        RidePlace.objects.bulk_create([place for _, place in placed], batch_size=_AT_A_TIME)
        for one, place in placed:
            self.report.say_placed(one.name, place, one.told)

    def _place(self, one: _Fresh) -> RidePlace:
        bike, trainer, how, sure = None, None, SAME_RIDE, None
        if one.met is Meeting.APART and one.told.ask:
            how = NOT_SURE
        elif one.met is Meeting.APART:
            bike, how, sure = self.chooser.choose(one.told, one.row)
            trainer = self.trainer if bike is not None and one.row.indoor else None
        elif one.met is not Meeting.SAME:
            how = one.met.value
        return RidePlace(
            event=self.event, ride=one.row, bike=bike, trainer=trainer, how=how, sure=sure, owner=self.owner,
            beside=one.other,
        )  # fmt: skip


def whose(place: RidePlace) -> Owner:
    """Return whose ride it is from this place on."""
    return stands_for(place.owner or place.ride.owner)


def _known(digests: Sequence[str]) -> dict[str, list[tuple[Ride, RidePlace | None]]]:
    """The rides of files that came in before, each with what it counts for now; a double's is that of its first."""
    rows: list[Ride] = []
    for at in range(0, len(digests), _AT_A_TIME):
        rows += Ride.objects.filter(digest__in=digests[at : at + _AT_A_TIME]).order_by("number")
    numbers = sorted({row.pk for row in rows} | {row.double_of_id for row in rows if row.double_of_id})
    places: dict[int, RidePlace] = {}
    for at in range(0, len(numbers), _AT_A_TIME):
        found = places_now().filter(ride__in=numbers[at : at + _AT_A_TIME])
        places |= {one.ride_id: one for one in found.select_related("ride__owner", "owner", "bike")}
    known: dict[str, list[tuple[Ride, RidePlace | None]]] = defaultdict(list)
    for row in rows:
        place = places.get(row.pk)
        if place is None and row.double_of_id in places:
            first = places[row.double_of_id]
            place = RidePlace(ride=row, owner=whose(first), how=first.how)
        known[row.digest].append((row, place))
    return dict(known)


def _why_not(ride: RideRead, now: datetime) -> str:
    """Why a ride does not come in, or an empty word."""
    if ride.start is None:
        return worded(
            "no point tells its day: a ride without a day can't be counted for a part. Say its "
            "distance by hand."
        )
    if ride.start > now + _ONE_DAY:
        return worded(
            "it is of {start:%d %b %Y}, which is still to come: the device's clock was wrong. "
            "Say its distance by hand.",
            start=ride.start,
        )
    if ride.is_ride is False:
        return worded(
            "it is no ride but {sport}: it wears no part of a bike.", sport=ride.sport.replace("_", " ")
        )
    return ""


def device_mark(ride: RideRead) -> str:
    """Return what tells two devices apart without keeping a serial: a digest of it, or of the device's name."""
    told = ride.device_serial or ride.device
    return sha256(f"{ride.device}/{told}".encode()).hexdigest()[:16] if told else ""


def _reported(seen: Sequence[FileRead], event: Event, owner: Owner, now: datetime) -> RidesTaken:
    """What the first request answered, from what it wrote and from the same files."""
    report = Report(files=len(seen))
    new = Ride.objects.filter(event=event).select_related("double_of")
    rows = {(row.digest, row.number): row for row in new}
    places = {}
    for place in RidePlace.objects.filter(event=event).select_related("bike", "ride", "beside"):
        rows[place.ride.digest, place.ride.number] = place.ride
        places[place.ride_id] = place
    touched = {digest for digest, _ in rows}
    known = _known([one.read.digest for one in seen if one.read is not None])
    for one in seen:
        if one.read is None:
            report.say_refused(one)
    files = [one for one in seen if one.read is not None]
    files.sort(key=lambda one: (_FORMS.index(one.read.form) if one.read else 0, one.name))
    for one in files:
        assert one.read is not None  # sorted out above
        elsewhere = [place for _, place in known.get(one.read.digest, ()) if place and whose(place) != owner]
        if one.read.digest not in touched and all(not _why_not(ride, now) for ride in one.read.rides):
            report.elsewhere += elsewhere
            report.known_before += not elsewhere
            continue
        report.say_damage(one)
        for number, ride in enumerate(one.read.rides):
            row = rows.get((one.read.digest, number))
            if row is None:
                report.left_out.append(FileOutcome(one.name, _why_not(ride, now)))
            elif row.pk in places:
                report.say_placed(one.name, places[row.pk], ride)
            elif row.double_of is not None:
                report.say_doubled(one.name, row, row.double_of)
    return report.closed()
