"""Ride files of the story's owner: written as a device sums a ride up, and taken in for the bike of the story."""

from datetime import UTC, datetime, timedelta

from pinchbolt.workshop.rides.ride_files import Held, read_files
from pinchbolt.workshop.rides.ride_report import RidesTaken
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides
from tests.engines.rides.fit_writer import EPOCH, FILE_ID, SESSION, definition, fit_file, values
from tests.story import NOW, Story

SPRING = datetime(2026, 3, 2, 8, tzinfo=UTC)


def ride_of(day: int, km: float = 30.0, *, serial: int = 77, indoor: bool = False, hour: int = 0) -> bytes:
    """A ride so many days after 2 March 2026 at 08:00 UTC, as its device summed it up."""
    start = int((SPRING + timedelta(days=day, hours=hour)).timestamp()) - EPOCH
    long = round(km * 1000 / 7.5) * 1000
    row = (start, start, long, long, round(km * 100000), 2, 6 if indoor else 0, 100)
    return fit_file(
        [
            definition(0, 0, FILE_ID),
            values(0, FILE_ID, (4, 255, 1, serial, start)),
            definition(2, 18, SESSION),
            values(2, SESSION, row),
        ]
    )


def take(story: Story, *files: tuple[str, bytes], key: str = "", **more: object) -> RidesTaken:
    """Take named files in for the bike of the story."""
    seen = list(read_files(Held(name, data) for name, data in files))
    asked = RidesRequest(story.tag, digest_of(seen), **more)
    return take_in_rides(asked, seen, by=story.first, key=key or story.key(), now=NOW)
