"""Stands in for the text reader at its port: sees what a journey wrote on the photo, so that no reader need be installed."""

from pinchbolt.engines.markings import MarkingContext, MarkingKind, MarkingRead, TextSeen, read_texts
from pinchbolt.workshop.markings import read_photo as port

PRINTED = "MAX 5 N·m"
COPIES = ("as it is", "local contrast", "turned 7°")


def faked(
    photo: bytes, kind: MarkingKind, context: MarkingContext | None = None, eye: object = None
) -> MarkingRead:
    """What is printed, seen whole on three copies; the grammar of the trade judges it as it judges any."""
    port.opened(photo)
    seen = [TextSeen(PRINTED, 0.97, (0.3, 0.4, 0.7, 0.6), copy) for copy in COPIES]
    return read_texts(kind, seen, context)


def begin() -> None:
    """Sit at the port of this process; the server of a journey does so first."""
    port.read_photo = faked
