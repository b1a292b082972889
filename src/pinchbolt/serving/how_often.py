"""How often one address may ask: what asks far more than hands do is told to wait, before anything is looked up for it."""

import threading
import time
from collections import OrderedDict
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase, JsonResponse

from pinchbolt.bench.refusals.refusals_screen import TOO_OFTEN, too_often
from pinchbolt.errors import envelope_of
from pinchbolt.serving.request_guard import THIS_MACHINE, is_json_door

Answer = Callable[[HttpRequest], HttpResponseBase]
# A tablet that sends a day's work after no signal asks some twenty times a second until it is done. Own choice, no source.
_A_SECOND, _AT_ONCE = 20, 600
_MOST_ADDRESSES = 4_096


class HowOften:
    """Counts what each address of the network asks; this machine itself is not counted, it is the way in that nobody shuts.

    Each address has `_AT_ONCE` requests in hand and gets `_A_SECOND` more a second. The program's own styles and scripts are free.
    """

    def __init__(self, get_response: Answer, clock: Callable[[], float] = time.monotonic) -> None:
        self.get_response, self._clock = get_response, clock
        self._one_at_a_time = threading.Lock()
        # Address: what it had in hand, and when; who asked last stands last.
        self._in_hand: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer, or say to wait."""
        address = str(request.META.get("REMOTE_ADDR", ""))
        is_free = address in THIS_MACHINE or request.path.startswith(settings.STATIC_URL)
        if is_free or self._may_ask(address):
            return self.get_response(request)
        if not is_json_door(request):
            return too_often()
        told = JsonResponse(envelope_of(TOO_OFTEN, 429), status=429)
        told.headers["Retry-After"] = "2"
        return told

    def _may_ask(self, address: str) -> bool:
        now = self._clock()
        with self._one_at_a_time:
            had, at = self._in_hand.pop(address, (float(_AT_ONCE), now))
            has = min(float(_AT_ONCE), had + (now - at) * _A_SECOND)
            self._in_hand[address] = (has - 1 if has >= 1 else has, now)
            if len(self._in_hand) > _MOST_ADDRESSES:
                self._in_hand.popitem(last=False)
        return has >= 1
