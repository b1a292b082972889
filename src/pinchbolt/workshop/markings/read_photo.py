"""Reading a marking off a photo: the eye sees text on copies of it, the grammar of the trade says what is marked."""

from io import BytesIO
from typing import NoReturn

from PIL import Image, ImageOps, UnidentifiedImageError

from pinchbolt.engines.markings import (
    MarkingContext,
    MarkingKind,
    MarkingRead,
    Sureness,
    TextSeen,
    read_texts,
)
from pinchbolt.errors import InputRefused
from pinchbolt.eye import Eye, EyeAway
from pinchbolt.values.wording import worded

MOST_BYTES, MOST_PIXELS = 20_000_000, 60_000_000
_KINDS = ("JPEG", "PNG", "WEBP")
# Room around a marking in its crop, as a share of its own size; the crop's longer side, and never thinner than this. [px]
_ROOM, _MOST_SIDE, _LEAST = 0.35, 640, 24
# A photo is tried at this size before it goes to the eye: what is broken is refused here, in words.
_LOOKED_AT = 320
TYPE_IT = worded("Type it: the keypad is always there.")


def read_photo(
    photo: bytes, kind: MarkingKind, context: MarkingContext | None = None, eye: Eye | None = None
) -> MarkingRead:
    """Return what is marked on the part in the photo; writes nothing, and takes no longer than the eye is given.

    Where the reader is not installed, crashes or hangs the answer is "cannot read it", with a sentence that says so: type it.
    *eye* is one that is open already, for many photos in a row.

    Raises:
        InputRefused: No JPEG, PNG or WebP, broken, or larger than any photo.
    """
    opened(photo, _LOOKED_AT)
    try:
        if eye is not None:
            texts = eye.texts(photo)
        else:
            with Eye() as own:
                texts = own.texts(photo)
    except EyeAway as away:
        return MarkingRead(kind, Sureness.CANNOT, (), f"{away.sentence} {TYPE_IT}")
    seen = [TextSeen(one.text, one.score, one.box, one.copy, one.cut) for one in texts]
    return read_texts(kind, seen, context)


def crop_of(photo: bytes, box: tuple[float, float, float, float]) -> bytes:
    """Return the part of a photo around a candidate's box, as a small JPEG without what the camera wrote into it.

    Raises:
        InputRefused: As for `read_photo`.
    """
    upright = opened(photo)
    wide, high = upright.size
    left, top, right, bottom = (one * side for one, side in zip(box, (wide, high, wide, high), strict=True))
    room = max(_ROOM * (bottom - top), _LEAST / 2)
    cut = upright.crop(
        (
            int(max(0, left - room)),
            int(max(0, top - room)),
            int(min(wide, max(right, left + 1) + room)),
            int(min(high, max(bottom, top + 1) + room)),
        )
    )
    cut.thumbnail((_MOST_SIDE, _MOST_SIDE))
    bare = Image.new("RGB", cut.size)
    bare.paste(cut)
    into = BytesIO()
    bare.save(into, "JPEG", quality=80, optimize=True)
    return into.getvalue()


def opened(photo: bytes, side: int | None = None) -> Image.Image:
    """Return a photo unpacked and upright; of a JPEG no more than *side* asks for, where that is enough.

    Raises:
        InputRefused: No JPEG, PNG or WebP, broken, or larger than any photo.
    """
    if len(photo) > MOST_BYTES:
        _refuse(
            worded(
                "The photo has {photo:.0f} MB: {most_bytes:.0f} MB are taken. Make it smaller.",
                photo=len(photo) / 1000000.0,
                most_bytes=MOST_BYTES / 1000000.0,
            )
        )
    try:
        with Image.open(BytesIO(photo), formats=_KINDS) as found:
            if found.width * found.height > MOST_PIXELS:
                _refuse(worded("The picture is larger than any photo: take it again."))
            if side is not None:
                found.draft("RGB", (side, side))
            return ImageOps.exif_transpose(found).convert("RGB")
    except (UnidentifiedImageError, Image.DecompressionBombError):
        _refuse(worded("That is no photo that can be read: take a photo, or choose a JPEG, PNG or WebP."))
    except (OSError, SyntaxError, ValueError):
        _refuse(worded("The photo is broken off or damaged: take it again."))


def _refuse(sentence: str) -> NoReturn:
    raise InputRefused(sentence, {"photo": sentence})
