"""A day with its odds as a form sends it: 2026-12-03T17:00 0.912."""

from datetime import datetime

from django.utils import timezone

from pinchbolt.errors import InputRefused
from pinchbolt.values.wording import worded
from pinchbolt.workshop.day.days_told import DayTold


def day_sent(day: DayTold) -> str:
    """Return a day with its odds as a form sends it."""
    return f"{timezone.localtime(day.at):%Y-%m-%dT%H:%M} {day.odds:.3f}"


def day_told(sent: str) -> tuple[datetime | None, float | None]:
    """Return the day and its odds; nothing where none was tapped.

    Raises:
        InputRefused: It can't be read.
    """
    if not sent.strip():
        return None, None
    day, _, odds = sent.strip().partition(" ")
    try:
        return timezone.make_aware(datetime.strptime(day, "%Y-%m-%dT%H:%M")), float(odds)
    except ValueError as error:
        sentence = worded('The day told is "{sent}": it can\'t be read. Tap a day again.', sent=sent[:30])
        raise InputRefused(sentence, {"promise_day": sentence, "day": sentence}) from error
