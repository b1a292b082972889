"""A wheel's sheet as PDF. Who presses it is a setting, as with the other sheets."""

from collections.abc import Callable
from datetime import datetime
from typing import cast

from django.conf import settings
from django.utils.module_loading import import_string


def print_wheel(job: int, wheel: int, now: datetime) -> bytes:
    """Return the sheet of a wheel at a stay as PDF.

    Raises:
        NotFound: No such job or part.
        NotPossibleNow: It is no wheel of this bike.
    """
    press = cast(Callable[[int, int, datetime], bytes], import_string(settings.WHEEL_PRESS))
    return press(job, wheel, now)
