"""Calendars by RFC 5545: folded by octets, escaped, ends left out; read back by two parsers that know nothing of the program.

Source: RFC 5545, 3.1 (lines of 75 octets, folded by CR LF and a blank), 3.3.11 (text), 3.6.1 (an event ends before DTEND), 3.8.7.4
(SEQUENCE). Readers: icalendar and vobject.
"""

from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st

from pinchbolt.workshop.day._ical_lines import CalendarEntry, calendar_text, escaped, folded

NOW = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
WORDS = "Grüße; front, rear \\ 密封膠 overnight\nsecond line " + "🚲" * 40


def one(**more: object) -> CalendarEntry:
    """A promise on Thursday at five."""
    told: dict[str, object] = {
        "uid": "job-7@pinchbolt",
        "starts": datetime(2026, 12, 3, 16, 30, tzinfo=UTC),
        "ends": datetime(2026, 12, 3, 17, 0, tzinfo=UTC),
        "summary": "PB-007 promised",
        "words": WORDS,
        "changed": NOW,
        "sequence": 3,
    }
    return CalendarEntry(**(told | more))  # type: ignore[arg-type]


def test_the_description_line_of_the_standard_folds_as_it_says():
    """3.1: a line of 75 octets stands as it is, of 76 it is folded; the fold and its blank are no part of the text."""
    assert folded("x" * 75) == "x" * 75
    assert folded("x" * 76) == "x" * 75 + "\r\n x"
    # Three octets a letter: 25 letters are 75 octets, and no letter is cut.
    assert folded("膠" * 26) == "膠" * 25 + "\r\n 膠"


def test_the_text_of_the_standard_is_escaped_as_it_says():
    """3.3.11, its own example."""
    text = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    assert escaped(text) == "Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared."
    assert escaped("a;b,c\\d") == "a\\;b\\,c\\\\d"


def test_two_parsers_read_back_what_was_said():
    """Summary, words, times to the second, end left out, sequence: equal by both."""
    whole = date(2026, 12, 24)
    text = calendar_text(
        "Mossgate; Yard",
        [one(), one(uid="closed-1", starts=whole, ends=whole + timedelta(days=3), summary="closed")],
    )
    first, second = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert str(first["SUMMARY"]) == "PB-007 promised" and str(first["DESCRIPTION"]) == WORDS
    assert first.decoded("DTSTART") == datetime(2026, 12, 3, 16, 30, tzinfo=UTC)
    assert first.decoded("DTEND") == datetime(2026, 12, 3, 17, 0, tzinfo=UTC)
    assert int(first["SEQUENCE"]) == 3
    assert second.decoded("DTSTART") == whole and second.decoded("DTEND") == date(2026, 12, 27)
    read = vobject.readOne(text)
    events = read.vevent_list
    assert events[0].summary.value == "PB-007 promised" and events[0].description.value == WORDS
    assert events[0].dtstart.value == datetime(2026, 12, 3, 16, 30, tzinfo=UTC)
    assert events[1].dtend.value == date(2026, 12, 27)


def test_what_is_off_says_so_under_the_same_name():
    """A bike that left is cancelled under its own UID, so that a reader takes it out."""
    event = icalendar.Calendar.from_ical(calendar_text("shop", [one(is_off=True)])).walk("VEVENT")[0]
    assert str(event["STATUS"]) == "CANCELLED" and str(event["UID"]) == "job-7@pinchbolt"


def test_an_entry_is_never_without_length():
    """3.6.1: DTEND comes after DTSTART."""
    at = datetime(2026, 12, 3, 16, 30, tzinfo=UTC)
    event = icalendar.Calendar.from_ical(calendar_text("shop", [one(starts=at, ends=at)])).walk("VEVENT")[0]
    assert event.decoded("DTEND") > event.decoded("DTSTART")


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.text(max_size=300))
def test_any_words_come_back_and_no_line_is_longer_than_75_octets(words: str):
    """Whatever is typed: no line over 75 octets, none that starts a new property, and the reader has the words again."""
    text = calendar_text("shop", [one(words=words, summary=words)])
    for line in text.encode("utf-8", "replace").split(b"\r\n"):
        assert len(line) <= 75
    lines = words.replace("\r\n", "\n").replace("\r", "\n")
    kept = "".join(one for one in lines if one in "\t\n" or (one >= " " and one != "\x7f"))
    if any(0xD800 <= ord(letter) <= 0xDFFF for letter in kept):
        pytest.skip("no text")
    found = icalendar.Calendar.from_ical(text).walk("VEVENT")
    assert len(found) == 1 and str(found[0]["DESCRIPTION"]) == kept
