"""Servers in tests: a free port, and a page as soon as it is there."""

import socket
import time
import urllib.request
from collections.abc import Callable

# Only ends a wait for what will never come: a busy machine may take minutes.
GIVE_UP_S = 900.0


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def answered(url: str, alive: Callable[[], bool]) -> bytes:
    """The page once it is there; nothing where the server is no longer alive, or where it is given up."""
    until = time.monotonic() + GIVE_UP_S
    while alive() and time.monotonic() < until:
        try:
            # The port is open before the workshop is ready, so a connection may wait long for its answer.
            with urllib.request.urlopen(url, timeout=GIVE_UP_S) as answer:
                return bytes(answer.read())
        except OSError:
            time.sleep(0.05)
    return b""
