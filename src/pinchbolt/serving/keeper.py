"""What is seen to while the workshop is served, once a minute: the certificate, and copies of the book."""

import logging
import threading
from collections.abc import Callable, Sequence
from datetime import datetime

_LOG = logging.getLogger(__name__)
MINUTE_S = 60.0
Chore = Callable[[datetime], object]


class Keeper:
    """Goes round its chores until it is told to stop. A chore that fails is said in the log and tried again at the next round."""

    def __init__(
        self, chores: Sequence[Chore], clock: Callable[[], datetime], every_s: float = MINUTE_S
    ) -> None:
        self.chores = tuple(chores)
        self.clock = clock
        self.every_s = every_s
        self._end = threading.Event()
        self._hand = threading.Thread(target=self._go_round, name="keeper", daemon=True)

    def start(self) -> None:
        """Begin; the first round is at once."""
        self._hand.start()

    def stop(self) -> None:
        """Let the chore in hand end, and no more begin."""
        self._end.set()
        self._hand.join(timeout=30)

    def one_round(self) -> None:
        """Do every chore once."""
        from django.db import connections

        for chore in self.chores:
            try:
                chore(self.clock())
            except Exception:
                _LOG.exception("A chore was not done: %s", getattr(chore, "__qualname__", chore))
        connections.close_all()

    def _go_round(self) -> None:
        while not self._end.is_set():
            self.one_round()
            self._end.wait(self.every_s)
