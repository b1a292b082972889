"""What the database could not do, in a sentence for the person whose act it was: nothing is half-written in any case."""

from django.db import DatabaseError, InterfaceError

from pinchbolt.errors import RecordsAway
from pinchbolt.values.wording import worded

TROUBLE = (DatabaseError, InterfaceError)
"""What a database raises; a rule of ours that it holds (a row that is there already) is among them."""

# A piece of what the database says, the cause for a person, and what to do. The first that fits counts.
_CAUSES = (
    (
        ("is locked", "deadlock", "could not serialize", "lock timeout"),
        worded("somebody else is writing just now"),
        "",
    ),
    (
        ("disk is full", "no space left", "disk full"),
        worded("the disk is full"),
        worded("Free some room on the workshop's machine. "),
    ),
    (
        ("readonly", "read-only", "unable to open", "permission denied"),
        worded("pinchbolt may not write in its home folder"),
        worded("Give it the right to, on the workshop's machine. "),
    ),
    (
        ("malformed", "not a database", "corrupt"),
        worded("the file of the records is damaged"),
        worded("Run pinchbolt doctor on the workshop's machine and keep the last good backup. "),
    ),
    (
        ("connect", "connection", "server closed", "terminating"),
        worded("the database does not answer"),
        worded("Look whether it runs. "),
    ),
)


def records_away(error: BaseException) -> RecordsAway:
    """Return what is said of a failure of the database."""
    told = str(error).lower()
    for pieces, cause, remedy in _CAUSES:
        if any(piece in told for piece in pieces):
            return RecordsAway(
                worded(
                    "Not saved: {cause}. {remedy}Try again: nothing is half-written.",
                    cause=cause,
                    remedy=remedy,
                )
            )
    return RecordsAway(
        worded(
            "Not saved: the records met a fault. Try again; if it stays, run pinchbolt doctor on "
            "the workshop's machine."
        )
    )
