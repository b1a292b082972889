"""A photo kept beside the act that it proves: small, upright, without place or camera."""

from collections.abc import Callable
from typing import TypeVar

from pinchbolt.errors import NotFound
from pinchbolt.records.models import Event, ProofPhoto
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import one_at_a_time
from pinchbolt.workshop.came_up.photos import small_jpeg

SIDE, MOST = 1400, 200_000
T = TypeVar("T")


def proof_jpeg(sent: bytes) -> bytes:
    """Return a photo as it is kept as a proof: at most 200 kB.

    Raises:
        InputRefused: Too large, or no photo that can be read.
    """
    return small_jpeg(sent, SIDE, MOST)


def with_photo(sent: bytes | None, words: str, key: str, write: Callable[[], T]) -> T:
    """Carry out an act with the mark *key*, and keep a photo beside it; of both nothing where one is refused.

    Raises:
        InputRefused: As the act, or the photo is none.
    """
    # Before the act: nobody else waits while a picture is unpacked.
    jpeg = proof_jpeg(sent) if sent else None
    with one_at_a_time():
        done = write()
        if jpeg is not None:
            event = Event.objects.get(key=key)
            ProofPhoto.objects.get_or_create(event=event, defaults={"jpeg": jpeg, "words": words[:200]})
        return done


def proof_bytes(event: int) -> bytes:
    """Return the JPEG that was kept beside an act.

    Raises:
        NotFound: There is none, or it was erased.
    """
    row = ProofPhoto.objects.filter(pk=event).first()
    if row is None:
        raise NotFound(worded("There is no photo {event}: it was erased, or never kept.", event=event))
    return bytes(row.jpeg)
