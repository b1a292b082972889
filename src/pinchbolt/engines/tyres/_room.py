"""Room beside a mounted tyre: what is left of the opening when the wheel runs out."""

from pinchbolt.engines.tyres._tyre_sense import number
from pinchbolt.engines.tyres.tyres_types import Room
from pinchbolt.values import Interval, Reason
from pinchbolt.values.wording import worded

# Room each side that the standard wants, racing bikes and all others. [mm]
NEED_RACING, NEED = 4.0, 6.0


def room_beside(width: Interval, opening: float, *, runout: float = 0.0, racing: bool = False) -> Room:
    """Return the room on the narrower side of a tyre: ``(opening - width) / 2 - runout / 2``.

    A wheel that runs out by r from its leftmost to its rightmost comes r / 2 nearer to one side.

    Args:
        width: Mounted width, as `mounted_width` gives it, or as measured. [mm]
        opening: Narrowest opening of frame or fork where the tyre is widest. [mm]
        runout: Lateral run-out of the rim, leftmost to rightmost. [mm]
        racing: Whether it is a racing bike. [-]

    Returns:
        Room, least to greatest by the doubt of the width; what is needed; enough, too little, or cannot tell. [mm]

    Raises:
        InputRefused: A figure out of any sense.

    Valid for: A wheel that is centred in the frame. The greatest tyre that the frame's maker allows wins.

    Example:
        >>> room = room_beside(Interval(27.0, 29.0), 42.0, runout=1.0)
        >>> (room.room, room.enough)
        (Interval(low=6.0, high=7.0), True)

    Source: Geometry; 6 mm, and 4 mm on racing bikes: ISO 4210-2 as seen in a frame maker's manual.
    """
    given = number("opening", opening)
    out = number("runout", runout)
    low, high = number("width", width.low), number("width", width.high)
    found = Interval((given - high - out) / 2, (given - low - out) / 2)
    need = NEED_RACING if racing else NEED
    enough = True if found.low >= need else False if found.high < need else None
    spread = (
        worded("{low:.1f} to {high:.1f}", low=found.low, high=found.high)
        if low < high
        else f"{found.low:.1f}"
    )
    words = (
        worded("({given:g} - {low:g} to {high:g} mm", given=given, low=low, high=high)
        if low < high
        else f"({given:g} - {low:g} mm"
    )
    reasons = (
        Reason(
            worded(
                "{words}) / 2 - {out:g} mm of run-out / 2 = {spread} mm a side",
                words=words,
                out=out,
                spread=spread,
            ),
            "",
            "geometry",
        ),
        Reason(
            worded(
                "{need:g} mm a side are asked for on {racing}",
                need=need,
                racing=worded("a racing bike") if racing else worded("this bike"),
            ),
            "",
            worded("ISO 4210-2, as seen in a frame maker's manual"),
        ),
    )
    return Room(found, need, enough, reasons)
