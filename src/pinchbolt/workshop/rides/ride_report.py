"""What is said of ride files that were taken in: what came in, what is asked, and what became of each other file by name."""

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from pinchbolt.engines.rides import RecordedRide as RideRead
from pinchbolt.records.models import Ride, RidePlace
from pinchbolt.values.money import figure_text
from pinchbolt.values.wording import worded
from pinchbolt.workshop.owners.one_person import stands_for
from pinchbolt.workshop.rides._ride_places import NOT_SURE, SAME_RIDE
from pinchbolt.workshop.rides.ride_files import FileRead

_NUMBERS = re.compile(r"maker \d+, model (\d+|not told)")

PRIVACY = worded(
    "We keep the day, times, distance, climb, work, sport, indoors or not, and the "
    "device. We do not keep where the ride went, nor the file's name."
)


@dataclass(frozen=True, slots=True)
class FileOutcome:
    """A file and what is said of it."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """Rides of these files that came in for another person before: whose they are now, on which bikes, and their numbers."""

    owner: str
    bikes: tuple[str, ...]
    rides: tuple[int, ...]
    km: float


@dataclass(frozen=True, slots=True)
class RidesTaken:
    """What came in and what did not, each file by name.

    `unclear` are rides that wait for an answer and count for nothing until then; `asked` says of those that are in doubt why.
    `by_habit` counts those of which the bike was concluded from the owner's habits, the least sure of them to `least_sure`.
    """

    files: int
    came_in: int
    km: float
    bikes: dict[str, int]
    unclear: tuple[int, ...]
    known_before: int
    elsewhere: tuple[Elsewhere, ...]
    asked: tuple[FileOutcome, ...]
    doubled: tuple[FileOutcome, ...]
    damaged: tuple[FileOutcome, ...]
    refused: tuple[FileOutcome, ...]
    left_out: tuple[FileOutcome, ...]
    by_habit: int = 0
    least_sure: float | None = None
    privacy: str = PRIVACY


@dataclass(slots=True)
class Report:
    """Grows file by file."""

    files: int = 0
    km: float = 0.0
    known_before: int = 0
    came_in: int = 0
    bikes: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    unclear: list[int] = field(default_factory=list)
    elsewhere: list[RidePlace] = field(default_factory=list)
    asked: list[FileOutcome] = field(default_factory=list)
    doubled: list[FileOutcome] = field(default_factory=list)
    damaged: list[FileOutcome] = field(default_factory=list)
    refused: list[FileOutcome] = field(default_factory=list)
    left_out: list[FileOutcome] = field(default_factory=list)
    concluded: list[float] = field(default_factory=list)

    def say_refused(self, one: FileRead) -> None:
        """Why a file was refused; its name stands before the words already."""
        words = one.refused.removeprefix(f"{one.name} ").removeprefix(f"{one.name}: ")
        self.refused.append(FileOutcome(one.name, words))

    def say_damage(self, one: FileRead) -> None:
        """What of a file was damaged."""
        words = "; ".join(one.read.damaged) if one.read else ""
        if words:
            self.damaged.append(
                FileOutcome(one.name, worded("{words}. What it still held was taken.", words=words))
            )

    def say_doubled(self, name: str, row: Ride, first: Ride) -> None:
        """That a ride is here already."""
        words = worded(
            "the ride of {day:%d %b %Y} is here already, {distance_m} km; it counts once.",
            day=row.day,
            distance_m=figure_text(first.distance_m / 1000, 1),
        )
        self.doubled.append(FileOutcome(name, words))

    def say_placed(self, name: str, place: RidePlace, told: RideRead) -> None:
        """What a ride counts for, or why it waits."""
        row = place.ride
        if place.how == SAME_RIDE and place.beside is not None:
            self.say_doubled(name, row, place.beside)
            return
        self.came_in += 1
        if place.bike is not None:
            self.bikes[place.bike.tag] += 1
            self.km += row.distance_m / 1000
            self.concluded += [place.sure] if place.sure is not None else []
            return
        self.unclear.append(row.pk)
        if place.beside is not None:
            self.asked.append(FileOutcome(name, at_once_words(row, place.how, place.beside)))
        elif place.how == NOT_SURE:
            self.asked.append(
                FileOutcome(
                    name, worded("{ask}. It counts for nothing until then.", ask=told.ask or NOT_SURE)
                )
            )

    def closed(self) -> RidesTaken:
        """As it is handed back."""
        return RidesTaken(
            self.files, self.came_in, round(self.km, 3), dict(self.bikes), tuple(self.unclear), self.known_before,
            _by_owner(self.elsewhere), tuple(self.asked), tuple(self.doubled), tuple(self.damaged), tuple(self.refused),
            tuple(self.left_out), len(self.concluded), min(self.concluded, default=None),
        )  # fmt: skip


def at_once_words(row: Ride, how: str, other: Ride) -> str:
    """Return what is asked of two recordings that may be one ride."""
    return worded(
        "{km} km on {day:%d %b %Y}{by}, and {other_km} km{other_by}: {how}. One "
        "ride? Until somebody says, the other one alone counts.",
        km=figure_text(row.distance_m / 1000, 1),
        day=row.day,
        by=_by(row),
        other_km=figure_text(other.distance_m / 1000, 1),
        other_by=_by(other),
        how=how,
    )


def _by(row: Ride) -> str:
    return worded(" by {device}", device=device_words(row.device)) if row.device else ""


def device_words(device: str) -> str:
    """Return a device as it is said: one that told no name, but numbers of the open profile, has none for a mechanic."""
    return worded("a device without a name") if not device or _NUMBERS.fullmatch(device) else device


def _by_owner(places: Iterable[RidePlace]) -> tuple[Elsewhere, ...]:
    found: dict[int, list[RidePlace]] = defaultdict(list)
    for place in places:
        found[stands_for(place.owner or place.ride.owner).pk].append(place)
    return tuple(
        Elsewhere(
            stands_for(own[0].owner or own[0].ride.owner).name,
            tuple(sorted({place.bike.tag for place in own if place.bike is not None})),
            tuple(sorted({place.ride_id for place in own})),
            round(sum(place.ride.distance_m for place in own) / 1000, 3),
        )
        for own in found.values()
    )
