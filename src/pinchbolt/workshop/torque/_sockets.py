"""The socket in a screw's head: measured across its flats, rounded or not, and what is said of it beside the joint."""

from pinchbolt.engines.torque import SizeState, SocketLimits, socket_state
from pinchbolt.errors import InputRefused
from pinchbolt.values import Interval, Verdict
from pinchbolt.values.wording import worded
from pinchbolt.workshop.common.trade_tables import tables

_MEASURED_WITH = "caliper"


def judged_socket(drive: str, measured_mm: float) -> SizeState:
    """Return how a socket is, with the doubt of a caliper. [mm]

    Raises:
        InputRefused: Nobody has read what turns it, no such socket is in the table, or the size is that of another one.
    """
    row = tables().sockets.get(drive)
    if row is None:
        named = (
            worded("{drive} has no size in the table", drive=drive)
            if drive
            else worded("nobody has read what turns it")
        )
        sentence = worded(
            "A socket is judged by its key, and {named}: {sockets}. Read that first.",
            named=named,
            sockets=", ".join(tables().sockets),
        )
        raise InputRefused(sentence, {"socket_mm": sentence})
    gauge = tables().instruments[_MEASURED_WITH]
    doubt = gauge.mpe if gauge.mpe is not None else gauge.sd
    limits = SocketLimits(drive, row.min, row.max, row.source)
    measured = Interval(round(measured_mm - doubt, 4), round(measured_mm + doubt, 4))
    try:
        return socket_state(limits, measured)
    except InputRefused as refusal:
        raise InputRefused(refusal.sentence, {"socket_mm": refusal.sentence}) from None


def said_of_socket(drive: str, measured_mm: float | None) -> tuple[str, ...]:
    """Return a warning where a socket that was measured is not good any more, or can't be told."""
    if measured_mm is None or drive not in tables().sockets:
        return ()
    try:
        state = judged_socket(drive, measured_mm)
    except InputRefused as refusal:
        # What stands in the book already must not break the sheet: the doubt is said there.
        return (refusal.sentence,)
    return () if state.verdict is Verdict.SOUND else (f"{state.words[0].upper()}{state.words[1:]}",)
