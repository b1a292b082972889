"""Lines of a calendar by RFC 5545: names, values, folding by octets; nothing of the shop."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

_MOST_OCTETS = 75
_VERSION = (
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    "PRODID:-//pinchbolt//bench book//EN",
    "CALSCALE:GREGORIAN",
    "METHOD:PUBLISH",
)


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """An entry: from when to when (the end is out, as RFC 5545 3.6.1 has it), or whole days where both are dates.

    `sequence` grows with each change; `is_off`: it was in the calendar and no longer counts.
    """

    uid: str
    starts: datetime | date
    ends: datetime | date
    summary: str
    words: str
    changed: datetime
    sequence: int = 0
    is_off: bool = False


def calendar_text(name: str, entries: Iterable[CalendarEntry]) -> str:
    """Return a calendar as RFC 5545 has it: lines of 75 octets at most, CR LF after each.

    Refresh: RFC 7986 5.7; name: RFC 7986 5.1.
    """
    lines = [
        *_VERSION,
        f"NAME:{escaped(name)}",
        f"X-WR-CALNAME:{escaped(name)}",
        "REFRESH-INTERVAL;VALUE=DURATION:PT15M",
    ]
    for one in entries:
        lines += _entry(one)
    lines.append("END:VCALENDAR")
    return "".join(f"{folded(line)}\r\n" for line in lines)


def _entry(one: CalendarEntry) -> Sequence[str]:
    return (
        "BEGIN:VEVENT",
        f"UID:{escaped(one.uid)}",
        f"DTSTAMP:{_utc(one.changed)}",
        f"LAST-MODIFIED:{_utc(one.changed)}",
        f"SEQUENCE:{one.sequence}",
        f"DTSTART{_when(one.starts)}",
        f"DTEND{_when(_after(one))}",
        f"SUMMARY:{escaped(one.summary)}",
        f"DESCRIPTION:{escaped(one.words)}",
        f"STATUS:{'CANCELLED' if one.is_off else 'CONFIRMED'}",
        "TRANSP:TRANSPARENT",
        "END:VEVENT",
    )


def _after(one: CalendarEntry) -> datetime | date:
    """The end; one that lies no later than the start would be no time at all, and is refused by readers."""
    if isinstance(one.starts, datetime) and isinstance(one.ends, datetime):
        return max(one.ends, one.starts + timedelta(minutes=15))
    if not isinstance(one.starts, datetime) and not isinstance(one.ends, datetime):
        return max(one.ends, one.starts + timedelta(days=1))
    raise TypeError("an entry is from moment to moment, or from day to day")


def _when(value: datetime | date) -> str:
    return f":{_utc(value)}" if isinstance(value, datetime) else f";VALUE=DATE:{value:%Y%m%d}"


def _utc(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def escaped(text: str) -> str:
    """Return a text as a value (RFC 5545 3.3.11): backslash, semicolon, comma and line end escaped, other controls left out."""
    plain = text.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    lines = plain.replace("\r\n", "\n").replace("\r", "\n").replace("\n", "\\n")
    return "".join(letter for letter in lines if letter == "\t" or (letter >= " " and letter != "\x7f"))


def folded(line: str) -> str:
    """Return a line folded to 75 octets (RFC 5545 3.1): no letter is cut in two, a blank begins each further line."""
    pieces, piece, size = [], "", 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > _MOST_OCTETS:
            pieces.append(piece)
            piece, size = " ", 1
        piece += letter
        size += octets
    return "\r\n".join([*pieces, piece])
