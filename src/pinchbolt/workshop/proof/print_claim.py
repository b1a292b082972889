"""A claim's sheet as PDF. Who presses it is a setting, as with the other sheets."""

from collections.abc import Callable
from datetime import datetime
from typing import cast

from django.conf import settings
from django.utils.module_loading import import_string


def print_claim(claim: int, now: datetime) -> bytes:
    """Return the sheet of a claim as PDF, with its photos.

    Raises:
        NotFound: There is no such claim.
    """
    press = cast(Callable[[int, datetime], bytes], import_string(settings.CLAIM_PRESS))
    return press(claim, now)
