"""Entries of a calendar as RFC 5545 has them: moments or whole days, an end after the start."""

from datetime import UTC, date, datetime, timedelta

import pytest

from pinchbolt.workshop.day._ical_lines import CalendarEntry, calendar_text, folded

AT = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)


def lines(starts: datetime | date, ends: datetime | date, **more: object) -> list[str]:
    """One entry's lines."""
    entry = CalendarEntry("one", starts, ends, "bleed, rear", "stand 2", AT, **more)  # type: ignore[arg-type]
    return calendar_text("Stands", [entry]).split("\r\n")


@pytest.mark.parametrize(
    ("starts", "ends", "start_line", "end_line"),
    [
        (AT, AT + timedelta(hours=1), "DTSTART:20261125T100000Z", "DTEND:20261125T110000Z"),
        # No time at all is a quarter of an hour; readers refuse an end that is not after its start.
        (AT, AT, "DTSTART:20261125T100000Z", "DTEND:20261125T101500Z"),
        (AT.date(), AT.date(), "DTSTART;VALUE=DATE:20261125", "DTEND;VALUE=DATE:20261126"),
        (AT.date(), date(2026, 11, 28), "DTSTART;VALUE=DATE:20261125", "DTEND;VALUE=DATE:20261128"),
    ],
)
def test_an_entry_is_from_moment_to_moment_or_from_day_to_day(
    starts: datetime | date, ends: datetime | date, start_line: str, end_line: str
) -> None:
    """By hand from RFC 5545 3.6.1."""
    told = lines(starts, ends)
    assert start_line in told and end_line in told and "STATUS:CONFIRMED" in told


@pytest.mark.parametrize(("starts", "ends"), [(AT, AT.date()), (AT.date(), AT)])
def test_half_a_day_and_half_a_moment_is_no_entry(starts: datetime | date, ends: datetime | date) -> None:
    """It says what an entry is."""
    with pytest.raises(TypeError, match="from moment to moment, or from day to day"):
        lines(starts, ends)


def test_what_no_longer_counts_stays_as_cancelled() -> None:
    """With its number of changes."""
    told = lines(AT, AT, sequence=3, is_off=True)
    assert "STATUS:CANCELLED" in told and "SEQUENCE:3" in told and r"SUMMARY:bleed\, rear" in told


def test_a_long_line_goes_on_after_a_blank_and_loses_no_letter() -> None:
    """75 octets at most (RFC 5545 3.1), no letter cut in two."""
    text = "DESCRIPTION:" + "ä" * 100
    pieces = folded(text).split("\r\n")
    assert all(len(piece.encode()) <= 75 for piece in pieces) and all(one[0] == " " for one in pieces[1:])
    assert pieces[0] + "".join(one[1:] for one in pieces[1:]) == text
