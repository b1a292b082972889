"""Ride files taken in for a bike, or sorted among its owner's bikes: all of it in one act, or nothing."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from hashlib import sha256

from pinchbolt.engines.rides import Ride as RideRead
from pinchbolt.engines.rides import same_ride
from pinchbolt.errors import InputRefused, NotFound
from pinchbolt.records.models import Bike, Event, Owner, Ride, RidePlace, Trainer
from pinchbolt.workshop.acting import act
from pinchbolt.workshop.checks import local_day
from pinchbolt.workshop.looking_up import bike_by_tag
from pinchbolt.workshop.ride_files import FileSeen
from pinchbolt.workshop.which_bike import Chooser

PRIVACY = (
    "Kept of each ride: its day and times, distance, climb, work, indoors or not, and which device it came from. Where it went is "
    "read for the distance and then dropped: no track, no home, no file name is kept."
)
# Where one ride comes in two forms, the fuller recording counts.
_FORMS = ("FIT", "TCX", "CSV", "GPX")
_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class RidesAsked:
    """Whose rides these are: a bike's, by tag; or, with `sort`, those of all bikes of its owner, told apart by device.

    `trainer` is the indoor trainer on which its indoor rides were; `digest` stands for all the files together.
    """

    tag: str
    digest: str
    sort: bool = False
    trainer: int | None = None


@dataclass(frozen=True, slots=True)
class FileSaid:
    """A file and what is said of it."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class RidesTaken:
    """What came in and what did not, each file by name; `unclear` are the rides that still need a bike."""

    files: int
    came_in: int
    km: float
    bikes: dict[str, int]
    unclear: tuple[int, ...]
    known_before: int
    doubled: tuple[FileSaid, ...]
    damaged: tuple[FileSaid, ...]
    refused: tuple[FileSaid, ...]
    left_out: tuple[FileSaid, ...]
    privacy: str = PRIVACY


@dataclass(slots=True)
class _Report:
    """Grows file by file."""

    files: int = 0
    km: float = 0.0
    known_before: int = 0
    came_in: int = 0
    bikes: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    unclear: list[int] = field(default_factory=list)
    doubled: list[FileSaid] = field(default_factory=list)
    damaged: list[FileSaid] = field(default_factory=list)
    refused: list[FileSaid] = field(default_factory=list)
    left_out: list[FileSaid] = field(default_factory=list)

    def closed(self) -> RidesTaken:
        """As it is handed back."""
        return RidesTaken(
            self.files, self.came_in, round(self.km, 3), dict(self.bikes), tuple(self.unclear), self.known_before,
            tuple(self.doubled), tuple(self.damaged), tuple(self.refused), tuple(self.left_out),
        )  # fmt: skip


def digest_of(seen: Iterable[FileSeen]) -> str:
    """Return one digest for all files together, whatever their order."""
    each = sorted(one.read.digest if one.read else f"refused {one.name}" for one in seen)
    return sha256("\n".join(each).encode()).hexdigest()


def take_in_rides(
    asked: RidesAsked, seen: Sequence[FileSeen], *, by: int, key: str, now: datetime
) -> RidesTaken:
    """Write the rides of these files down, once each, and say of every file what became of it.

    Raises:
        InputRefused: No file was given.
        NotFound: No such bike or trainer.
    """
    with act("rides taken in", by=by, key=key, now=now, asked=asked) as this:
        if not seen:
            sentence = "No ride file was given: FIT, GPX, TCX and CSV can be read, also in a zip or folder. Choose some."
            raise InputRefused(sentence, {"files": sentence})
        bike = bike_by_tag(asked.tag)
        trainer = _trainer(asked.trainer)
        if this.repeated:
            return _reported(seen, this.done_before, now)
        event = this.write(bike=bike)
        return _Taking(event, bike, trainer, asked.sort, now).all(seen)


def _trainer(number: int | None) -> Trainer | None:
    if number is None:
        return None
    found = Trainer.objects.filter(pk=number).first()
    if found is None:
        raise NotFound(f"There is no indoor trainer {number}. Choose one of the list.")
    return found


class _Taking:
    """One act of taking in: what is known already, what is new."""

    def __init__(self, event: Event, bike: Bike, trainer: Trainer | None, sort: bool, now: datetime) -> None:
        self.event, self.trainer, self.now = event, trainer, now
        self.owner: Owner = bike.owner
        self.chooser = Chooser(bike, sort=sort)
        self.report = _Report()
        self.rows: list[Ride] = []
        self.by_day: dict[date, list[tuple[RideRead, Ride]]] = defaultdict(list)
        for row in Ride.objects.filter(owner=self.owner, double_of__isnull=True):
            self.by_day[row.day].append((_as_read(row), row))

    def all(self, seen: Sequence[FileSeen]) -> RidesTaken:
        """Take every file; writing is done at the end, all at once."""
        self.report.files = len(seen)
        for one in seen:
            if one.read is None:
                self.report.refused.append(_refused(one))
        files = [one for one in seen if one.read is not None]
        known = _known_digests([one.read.digest for one in files if one.read is not None])
        files.sort(key=lambda one: (_FORMS.index(one.read.form) if one.read else 0, one.name))
        fresh: list[tuple[Ride, RideRead, str]] = []
        for one in files:
            assert one.read is not None  # sorted out above
            if one.read.digest in known:
                self.report.known_before += 1
                continue
            known.add(one.read.digest)
            self._say_damage(one)
            for number, ride in enumerate(one.read.rides):
                row = self._row(one, number, ride)
                if row is not None:
                    fresh.append((row, ride, one.name))
        self._write(fresh)
        return self.report.closed()

    def _say_damage(self, one: FileSeen) -> None:
        words = "; ".join(one.read.damaged) if one.read else ""
        if words:
            self.report.damaged.append(FileSaid(one.name, f"{words}. What it still held was taken."))

    def _row(self, one: FileSeen, number: int, ride: RideRead) -> Ride | None:
        """The ride as it will be written, or None with its reason said."""
        said = _why_not(ride, self.now)
        if said:
            self.report.left_out.append(FileSaid(one.name, said))
            return None
        assert ride.start is not None and one.read is not None  # _why_not saw to it
        day = local_day(ride.start)
        row = Ride(
            event=self.event,
            owner=self.owner,
            digest=one.read.digest,
            number=number,
            form=one.read.form,
            start=ride.start,
            day=day,
            elapsed_s=ride.elapsed_s,
            moving_s=ride.moving_s,
            distance_m=ride.distance_m,
            distance_from=ride.distance_from,
            ascent_m=ride.ascent_m,
            descent_m=ride.descent_m,
            energy_kj=ride.energy_kj,
            work_kj=ride.work_kj,
            indoor=ride.indoor,
            device=ride.device[:120],
            device_mark=device_mark(ride),
            damaged=list(ride.damaged),
        )
        double = self._double(ride, day, row.digest)
        if double is not None:
            row.double_of = double
            self.report.doubled.append(
                FileSaid(
                    one.name,
                    f"the ride of {day:%d %b %Y} is here already, {double.distance_m / 1000:,.1f} km; it counts once.",
                )
            )
        else:
            self.by_day[day].append((ride, row))
        return row

    def _double(self, ride: RideRead, day: date, digest: str) -> Ride | None:
        for near in (day - _ONE_DAY, day, day + _ONE_DAY):
            for other, row in self.by_day.get(near, ()):
                # Rows of one file are rides of their own, however alike: there and back.
                if row.digest != digest and same_ride(ride, other):
                    return row
        return None

    def _write(self, fresh: Sequence[tuple[Ride, RideRead, str]]) -> None:
        """Rides first, then their doubles (which name them), then what each counts for."""
        firsts = [row for row, _, _ in fresh if row.double_of is None]
        Ride.objects.bulk_create(firsts, batch_size=500)
        doubles = [row for row, _, _ in fresh if row.double_of is not None]
        Ride.objects.bulk_create(doubles, batch_size=500)
        places = []
        for row, ride, _ in fresh:
            if row.double_of is not None:
                continue
            bike, how = self.chooser.choose(ride, row)
            trainer = self.trainer if bike is not None and row.indoor else None
            places.append(RidePlace(event=self.event, ride=row, bike=bike, trainer=trainer, how=how))
            self.report.came_in += 1
            if bike is None:
                self.report.unclear.append(row.pk)
            else:
                self.report.bikes[bike.tag] += 1
                self.report.km += row.distance_m / 1000
        RidePlace.objects.bulk_create(places, batch_size=500)


def _refused(one: FileSeen) -> FileSaid:
    """Why a file was refused; its name stands before the words already."""
    return FileSaid(one.name, one.refused.removeprefix(f"{one.name} ").removeprefix(f"{one.name}: "))


def _known_digests(digests: Sequence[str]) -> set[str]:
    """Which of these files came in before."""
    found: set[str] = set()
    for at in range(0, len(digests), 500):
        found |= set(Ride.objects.filter(digest__in=digests[at : at + 500]).values_list("digest", flat=True))
    return found


def _why_not(ride: RideRead, now: datetime) -> str:
    """Why a ride does not come in, or an empty word."""
    if ride.start is None:
        return "no point tells its day: a ride without a day can't be counted for a part. Say its distance by hand."
    if ride.start > now + _ONE_DAY:
        return f"it is of {ride.start:%d %b %Y}, which is still to come: the device's clock was wrong. Say its distance by hand."
    if ride.is_ride is False:
        return f"it is no ride but {ride.sport.replace('_', ' ')}: it wears no part of a bike."
    return ""


def device_mark(ride: RideRead) -> str:
    """Return what tells two devices apart without keeping a serial: a digest of it, or of the device's name."""
    told = ride.device_serial or ride.device
    return sha256(f"{ride.device}/{told}".encode()).hexdigest()[:16] if told else ""


def _as_read(row: Ride) -> RideRead:
    return RideRead(
        row.start, row.elapsed_s, row.moving_s, row.distance_m, row.distance_from, damaged=tuple(row.damaged)
    )


def _reported(seen: Sequence[FileSeen], event: Event, now: datetime) -> RidesTaken:
    """What the first request answered, from what it wrote and from the same files."""
    report = _Report(files=len(seen))
    rows = {
        (row.digest, row.number): row for row in Ride.objects.filter(event=event).select_related("double_of")
    }
    places = {place.ride_id: place for place in RidePlace.objects.filter(event=event).select_related("bike")}
    for one in seen:
        if one.read is None:
            report.refused.append(_refused(one))
            continue
        if not any(digest == one.read.digest for digest, _ in rows) and all(
            not _why_not(r, now) for r in one.read.rides
        ):
            report.known_before += 1
            continue
        if one.read.damaged:
            report.damaged.append(
                FileSaid(one.name, f"{'; '.join(one.read.damaged)}. What it still held was taken.")
            )
        for number, ride in enumerate(one.read.rides):
            row = rows.get((one.read.digest, number))
            if row is None:
                report.left_out.append(FileSaid(one.name, _why_not(ride, now)))
            elif row.double_of is not None:
                words = f"the ride of {row.day:%d %b %Y} is here already, {row.double_of.distance_m / 1000:,.1f} km; it counts once."
                report.doubled.append(FileSaid(one.name, words))
    for place in places.values():
        report.came_in += 1
        if place.bike is None:
            report.unclear.append(place.ride_id)
        else:
            report.bikes[place.bike.tag] += 1
            report.km += next(row.distance_m for row in rows.values() if row.pk == place.ride_id) / 1000
    return report.closed()
