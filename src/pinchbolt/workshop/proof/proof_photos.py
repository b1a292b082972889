"""The bytes of the photos on a claim's sheet, small enough to be printed beside each other."""

from pinchbolt.errors import NotFound
from pinchbolt.records.models import Photo
from pinchbolt.values.wording import worded
from pinchbolt.workshop.came_up.photos import small_jpeg
from pinchbolt.workshop.proof.claim_sheet import ProofShown
from pinchbolt.workshop.proof.keep_photo import proof_bytes

PRINTED_SIDE, PRINTED_MOST = 900, 120_000


def shown_bytes(proof: ProofShown) -> bytes:
    """Return a photo's JPEG as it is printed.

    Raises:
        NotFound: It was taken away since.
    """
    return small_jpeg(
        _stay_photo(proof.event) if proof.stay is not None else proof_bytes(proof.event),
        PRINTED_SIDE,
        PRINTED_MOST,
    )


def _stay_photo(event: int) -> bytes:
    row = Photo.objects.filter(pk=event).first()
    if row is None:
        raise NotFound(worded("There is no photo {event}: it was taken away.", event=event))
    return bytes(row.jpeg)
