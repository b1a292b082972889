"""A tablet that nobody uses signs itself out: the first page of each day says that it is used."""

from collections.abc import Callable

from django.contrib.sessions.backends.base import UpdateError
from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone

from pinchbolt.bench.tablets.sessions import is_used_today, note_use
from pinchbolt.workshop.acts.records_away import TROUBLE

Answer = Callable[[HttpRequest], HttpResponseBase]


class TabletInUse:
    """Stands behind the session; once a day it writes, where anything can be written."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Write the day down, and pass the request on."""
        moment = timezone.localtime()
        if not is_used_today(request.session, moment):
            note_use(request.session, moment)
            try:
                # Tried here, where it may fail: what was changed is written once more behind this, and the cookie's day is said anew.
                request.session.save()
            except (UpdateError, *TROUBLE):
                # Ended from another tablet just now, or nothing can be written: pages are looked at all the same.
                request.session.modified = False
        return self.get_response(request)
