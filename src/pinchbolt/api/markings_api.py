"""A photo of a marking by JSON: a photo in, what it may say out. Nothing is kept."""

from typing import Annotated

from django.http import HttpRequest
from ninja import File, Query, Router
from ninja.files import UploadedFile
from pydantic import AfterValidator

from pinchbolt.api.bodies import writable
from pinchbolt.api.envelope import ANSWERED
from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.plain_json import as_json
from pinchbolt.workshop.markings.ask_marking import MarkingPhotoView, MarkingQuestion, marking_view
from pinchbolt.workshop.markings.read_photo import MOST_BYTES

ANSWERS: dict[str, object] = {"read_marking_photo": MarkingPhotoView}

router = Router(tags=["markings"])
Kind = Annotated[str, Query(min_length=1, max_length=40), AfterValidator(writable)]
Bound = Annotated[float | None, Query(allow_inf_nan=False)]


@router.post(
    "/markings/read",
    response=ANSWERED,
    operation_id="read_marking_photo",
    summary=worded(
        "What is marked on the part in a photo: sure enough to offer, one of these, or "
        "cannot read it; nothing is kept."
    ),
)
def read(
    request: HttpRequest,
    photo: Annotated[UploadedFile, File()],
    kind: Kind,
    least: Bound = None,
    greatest: Bound = None,
) -> object:
    """Candidates in SI with why, doubts, and where they stand in the photo; bounds of the place in N·m, mm, bar or km/h by kind."""
    if (photo.size or 0) > MOST_BYTES:
        sentence = worded(
            "The photo has {size:.0f} MB: {most_bytes:.0f} MB are taken. Make it smaller.",
            size=(photo.size or 0) / 1000000.0,
            most_bytes=MOST_BYTES / 1000000.0,
        )
        raise InputRefused(sentence, {"photo": sentence})
    return as_json(marking_view(photo.read(), MarkingQuestion(kind, least, greatest)))
