"""Making the workshop ready for a command. Django and the engines are loaded here, so that --help stays quick."""

import os
from datetime import date, datetime

from pinchbolt.errors import NotPossibleNow
from pinchbolt.values.wording import worded


def tables_only() -> None:
    """Say where the settings are, for a question that the tables alone answer: loading the records takes a second."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "pinchbolt.serving.settings")


def load() -> None:
    """Load the settings and the records, without looking at the database."""
    tables_only()
    import django

    django.setup()


def opened() -> None:
    """Load everything and make sure that there is a workshop of this release to work in.

    Raises:
        NotPossibleNow: The home folder holds no workshop yet, or one of another release.
    """
    load()
    from pinchbolt.serving.migrating import open_steps, refuse_later

    refuse_later()
    if open_steps():
        raise NotPossibleNow(
            worded(
                "This home folder holds no workshop yet, or one of an earlier release. Make it ready "
                "with: pinchbolt serve (or open a new one with: pinchbolt open)"
            )
        )


def now() -> datetime:
    """Return the time of this command."""
    from django.utils import timezone

    return timezone.now()


def today() -> date:
    """Return the workshop's own day."""
    from pinchbolt.workshop.common.checks import local_day

    return local_day(now())
