"""Reading a marking off a photo: copies of it, a text reader in a process of its own, and the grammar of the trade."""

from pinchbolt.engines.markings import MarkingContext, MarkingKind, MarkingRead, read_texts


def read_photo(photo: bytes, kind: MarkingKind, context: MarkingContext | None = None) -> MarkingRead:
    """Return what is marked on the part in the photo. Writes nothing and never takes longer than `eye.MOST_SECONDS`.

    Where the reader is not installed, crashes or hangs the answer is CANNOT with a sentence that says so: type it.

    Raises:
        InputRefused: The file is no photo that can be opened, or too large.
    """
    raise NotImplementedError
