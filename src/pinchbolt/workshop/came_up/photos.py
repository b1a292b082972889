"""Photos of a stay: of what was seen at check-in, a finding, the work, a part, the handover. Kept small and without place."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from io import BytesIO
from typing import NoReturn

from PIL import Image, ImageOps, UnidentifiedImageError

from pinchbolt.errors import InputRefused, NotFound, NotPossibleNow
from pinchbolt.records.models import Job, Photo
from pinchbolt.values.wording import worded
from pinchbolt.workshop.acts.acting import act
from pinchbolt.workshop.acts.lookups import job_by_id
from pinchbolt.workshop.acts.state import job_state
from pinchbolt.workshop.common.checks import short

ABOUT = ("check-in", "finding", "work", "part", "handover")
MOST_SIDE, MOST_KEPT, MOST_SENT = 1600, 300_000, 20_000_000
# A picture that unpacks to more than this is no photo of a bike.
_MOST_PIXELS = 60_000_000
_SHADES = ("L", "RGB", "RGBA", "CMYK", "YCbCr")
_KINDS = ("JPEG", "PNG", "WEBP")
_QUALITIES = (85, 75, 65, 50, 35)


@dataclass(frozen=True, slots=True)
class PhotoRequest:
    """A photo by its digest, what it is of, and a word on it. The bytes go beside: an event keeps none."""

    job: int
    about: str
    words: str
    digest: str


@dataclass(frozen=True, slots=True)
class PhotoAwayRequest:
    """A photo to take away: the picture goes, the line in the history stays."""

    job: int
    photo: int


@dataclass(frozen=True, slots=True)
class PhotoView:
    """A photo of a stay."""

    id: int
    about: str
    words: str
    at: datetime
    by: str


def take_photo(job: int, about: str, words: str, sent: bytes, *, by: int, key: str, now: datetime) -> int:
    """Keep a photo, small and without what the camera wrote into it; return its number.

    Raises:
        InputRefused: Too large, no photo, of nothing that is known, or a word too long.
        NotPossibleNow: The bike is gone.
    """
    # Before the act: nobody else waits while a picture is unpacked.
    jpeg = small_jpeg(sent)
    request = PhotoRequest(job, about, words, sha256(sent).hexdigest())
    with act("photo taken", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return this.done_before.pk
        found = job_by_id(job)
        if job_state(found).ended:
            raise NotPossibleNow(worded("{tag} is gone: nothing is added to this job.", tag=found.bike.tag))
        if about not in ABOUT:
            sentence = worded(
                'The photo is of "{about}": {known}. Choose one.', about=about[:20], known=", ".join(ABOUT)
            )
            raise InputRefused(sentence, {"about": sentence})
        short(words, "words", worded("The word on it"), 120)
        row = Photo.objects.create(event=this.write(job=found), job=found, about=about, jpeg=jpeg)
        return int(row.pk)


def small_jpeg(sent: bytes, side: int = MOST_SIDE, most: int = MOST_KEPT) -> bytes:
    """Return a picture as a JPEG of at most so many pixels a side and bytes, upright, without place, camera or profile.

    Raises:
        InputRefused: Over 20 MB, or no JPEG, PNG or WebP, or broken.
    """
    if len(sent) > MOST_SENT:
        _refuse(
            worded(
                "The photo has {sent:.0f} MB: {most_sent:.0f} MB are taken. Make it smaller.",
                sent=len(sent) / 1000000.0,
                most_sent=MOST_SENT / 1000000.0,
            )
        )
    try:
        with Image.open(BytesIO(sent), formats=_KINDS) as opened:
            # The head says the size: nothing is unpacked yet.
            if opened.width * opened.height > _MOST_PIXELS:
                _refuse(worded("The picture is larger than any photo: take it again."))
            # A JPEG unpacks to an eighth to a half of its sides, where that is still enough.
            times = max(1, max(opened.size) // side)
            opened.draft("RGB", (opened.width // times or 1, opened.height // times or 1))
            # Colours out of a palette have none between them, and few ways of telling shades can be made smaller: those are told in full first.
            small = opened if opened.mode in _SHADES else opened.convert("RGB")
            small.thumbnail((side, side))
            upright = ImageOps.exif_transpose(small).convert("RGB")
    except (UnidentifiedImageError, Image.DecompressionBombError):
        kind = "a PDF" if sent[:5] == b"%PDF-" else worded("no photo that can be read")
        _refuse(worded("That is {kind}: take a photo or choose a JPEG, PNG or WebP.", kind=kind))
    except (OSError, SyntaxError, ValueError):
        _refuse(worded("The photo is broken off or damaged: take it again."))
    # A bare copy: what stood beside the pixels stays behind.
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    while True:
        for quality in _QUALITIES:
            into = BytesIO()
            bare.save(into, "JPEG", quality=quality, optimize=True)
            if into.tell() <= most:
                return into.getvalue()
        # Nothing but noise: fewer pixels then.
        bare.thumbnail((max(bare.width * 3 // 4, 1), max(bare.height * 3 // 4, 1)))


def take_photo_away(request: PhotoAwayRequest, *, by: int, key: str, now: datetime) -> None:
    """Take a wrong photo away: the picture goes for good, until the bike is handed over.

    Raises:
        NotFound: No such photo of this job.
        NotPossibleNow: The bike is gone.
    """
    with act("photo away", by=by, key=key, now=now, request=request) as this:
        if this.repeated:
            return
        job = job_by_id(request.job)
        row = Photo.objects.filter(pk=request.photo, job=job).first()
        if row is None:
            raise NotFound(worded("There is no photo {photo} at this job.", photo=request.photo))
        if job_state(job).ended:
            raise NotPossibleNow(
                worded("{tag} is gone: ask the owner of the workshop to erase the photo.", tag=job.bike.tag)
            )
        event = row.event
        row.delete()
        this.write(job=job, corrects=event)


def photos_of(job: Job) -> tuple[PhotoView, ...]:
    """Return the photos of a stay, in order, without their bytes."""
    rows = Photo.objects.filter(job=job).defer("jpeg").select_related("event__by").order_by("pk")
    return tuple(
        PhotoView(row.pk, row.about, str(row.event.said.get("words", "")), row.event.at, row.event.by.name)
        for row in rows
    )


def photo_bytes(job: int, photo: int) -> bytes:
    """Return a photo's JPEG.

    Raises:
        NotFound: No such photo of this job.
    """
    row = Photo.objects.filter(pk=photo, job=job).first()
    if row is None:
        raise NotFound(worded("There is no photo {photo} at this job: it was taken away.", photo=photo))
    return bytes(row.jpeg)


def _refuse(sentence: str) -> NoReturn:
    raise InputRefused(sentence, {"photo": sentence})
