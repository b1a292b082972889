"""What sealing costs: the workshop's server in the clear and by https, side by side in one run.

A page of 12 kB is asked by eight tablets on kept connections, then on a new connection each time (a hand-shake each).
"""

import http.client
import socket
import ssl
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

PAGE = b"<p>A page of a bench book.</p>" * 400
SECONDS = 3.0
TABLETS = 8


def page(environ: dict[str, object], start: Callable[..., object]) -> list[bytes]:
    """One page."""
    start("200 OK", [("Content-Type", "text/html"), ("Content-Length", str(len(PAGE)))])
    return [PAGE]


def serving(sealed: bool) -> int:
    """Start a server on a port of its own; return the port."""
    from pinchbolt.serving.sealing import Sealing
    from pinchbolt.serving.server import make_server

    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    listening.listen(64)
    server = make_server(page, listening, Sealing(datetime.now(UTC)) if sealed else None)
    threading.Thread(target=server.run, daemon=True).start()
    return int(listening.getsockname()[1])


def a_second(port: int, context: ssl.SSLContext | None, *, keep: bool) -> float:
    """How many pages a second eight tablets get."""
    until, done = time.perf_counter() + SECONDS, [0] * TABLETS

    def one(number: int) -> None:
        over = _connection(port, context)
        while time.perf_counter() < until:
            over.request("GET", "/")
            assert over.getresponse().read() == PAGE
            done[number] += 1
            if not keep:
                over.close()

    hands = [threading.Thread(target=one, args=[number]) for number in range(TABLETS)]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    return sum(done) / SECONDS


def _connection(port: int, context: ssl.SSLContext | None) -> http.client.HTTPConnection:
    if context is None:
        return http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    return http.client.HTTPSConnection("127.0.0.1", port, timeout=60, context=context)


def main() -> None:
    """Print both ways and what one costs the other."""
    import os

    with tempfile.TemporaryDirectory() as home:
        os.environ["PINCHBOLT_HOME"] = home
        sealed, clear = serving(True), serving(False)
        context = ssl.create_default_context(cadata=(Path(home) / "authority" / "authority.crt").read_bytes())
        rows: Sequence[tuple[str, bool]] = (("kept connections", True), ("a connection a page", False))
        for words, keep in rows:
            plain, by_https = a_second(clear, None, keep=keep), a_second(sealed, context, keep=keep)
            print(
                f"{words}: {plain:,.0f} pages a second in the clear, {by_https:,.0f} by https; "
                f"in the clear is {plain / by_https:.1f} times as fast"
            )


if __name__ == "__main__":
    main()
