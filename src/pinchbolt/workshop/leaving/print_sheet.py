"""Sheets of a job as PDF. Who presses them is a setting, so that no door needs to know the paper room."""

from collections.abc import Callable
from datetime import datetime
from typing import cast

from django.conf import settings
from django.utils.module_loading import import_string


def print_sheet(sheet: str, job: int, now: datetime) -> bytes:
    """Return a sheet of a job (estimate, job-card, torque-sheet, handover, not-safe) as PDF.

    Raises:
        NotFound: No such sheet or job.
        NotPossibleNow: The not-safe sheet of a bike that nothing calls unsafe.
    """
    press = cast(Callable[[str, int, datetime], bytes], import_string(settings.SHEET_PRESS))
    return press(sheet, job, now)


def print_hang_tag(tag: str, address: str) -> bytes:
    """Return a bike's hang tag as PDF; its code opens the bike below *address*.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: The address is not one that a phone can open.
    """
    press = cast(Callable[[str, str], bytes], import_string(settings.TAG_PRESS))
    return press(tag, address)


def print_bolt_round(tag: str, which: str, now: datetime) -> bytes:
    """Return a bike's bolt round as PDF, to be ticked by hand.

    Raises:
        NotFound: No bike has this tag.
        InputRefused: No such round.
    """
    press = cast(Callable[[str, str, datetime], bytes], import_string(settings.ROUND_PRESS))
    return press(tag, which, now)
