"""Ride files through the JSON door: read one, take many in, and what they say of a bike and of one part."""

from collections.abc import Iterator
from typing import IO, Annotated

from django.http import HttpRequest
from django.utils import timezone
from ninja import File, Path, Query, Router
from ninja.files import UploadedFile
from pydantic import AfterValidator

from pinchbolt.api.bodies import MOST_INT, writable
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.api.writes import KEY, KeyText
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.rides.part_over_time import PartUsed, part_used
from pinchbolt.workshop.rides.read_rides import file_json
from pinchbolt.workshop.rides.ridden import BikeRidden, bike_ridden
from pinchbolt.workshop.rides.ride_files import files_sent, read_files
from pinchbolt.workshop.rides.ride_report import RidesTaken
from pinchbolt.workshop.rides.take_in_rides import RidesRequest, digest_of, take_in_rides

Tag = Annotated[str, Path(min_length=1, max_length=20), AfterValidator(writable)]
Part = Annotated[int, Path(ge=1, le=MOST_INT)]
ANSWERS: dict[str, object] = {
    "read_rides": dict[str, object],
    "see_rides": BikeRidden,
    "see_part_use": PartUsed,
    "take_in_rides": RidesTaken,
}

router = Router(tags=["rides"])


def _opened(files: list[UploadedFile]) -> Iterator[tuple[str, IO[bytes], bool]]:
    for one in files:
        if one.file is not None:
            yield one.name or worded("a file without a name"), one.file, True


@router.post(
    "/rides/read",
    response=ANSWERED,
    operation_id="read_rides",
    summary=worded("What one ride file holds; nothing is kept."),
)
def read(request: HttpRequest, file: Annotated[UploadedFile, File()]) -> object:
    """Start, distance, times, climb, indoors, device, and what was damaged."""
    seen = list(read_files(files_sent(_opened([file]))))
    if len(seen) != 1:
        raise InputRefused(
            worded(
                "{name} holds {seen} ride files: one is read here. Take them in for a bike instead.",
                name=file.name,
                seen=len(seen),
            )
        )
    if seen[0].read is None:
        raise InputRefused(seen[0].refused)
    return file_json(seen[0].read)


@router.post(
    "/bike/{tag}/rides",
    response=ANSWERED,
    operation_id="take_in_rides",
    summary=worded("Take ride files in for a bike: FIT, GPX, TCX, CSV, or zips of them."),
)
def take_in(
    request: HttpRequest,
    tag: Tag,
    files: Annotated[list[UploadedFile], File()],
    key: KeyText = KEY,
    sort: Annotated[bool, Query()] = False,
    trainer: Annotated[int | None, Query(ge=1, le=MOST_INT)] = None,
    claim: Annotated[bool, Query()] = False,
) -> object:
    """Each ride once; what is asked, doubled, damaged, refused or left out is said by file. `claim`: also what was another's."""
    seen = list(read_files(files_sent(_opened(files))))
    asked = RidesRequest(tag, digest_of(seen), sort, trainer, claim)
    return as_json(take_in_rides(asked, seen, by=request.auth.pk, key=key, now=timezone.now()))  # type: ignore[attr-defined]


@router.get(
    "/bike/{tag}/rides",
    response=ANSWERED,
    operation_id="see_rides",
    summary=worded("What ride files say of a bike."),
)
def rides(request: HttpRequest, tag: Tag) -> object:
    """Sums, weeks, season, rides that need a bike, files beside statements."""
    return as_json(bike_ridden(tag, timezone.now()))


@router.get(
    "/bike/{tag}/part/{part}/use",
    response=ANSWERED,
    operation_id="see_part_use",
    summary=worded("One part's use over time."),
)
def use(request: HttpRequest, tag: Tag, part: Part) -> object:
    """Kilometres by day with their spread, fittings and readings."""
    return as_json(part_used(tag, part, timezone.now()))
