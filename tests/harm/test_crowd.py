"""A crowd of tablets, stalled clients among them, does not stop the server."""

import os
import socket
import subprocess
import sys
from contextlib import ExitStack
from pathlib import Path

from tests.servers import answered, free_port

ROOT = Path(__file__).resolve().parents[2]
# Fifty tablets with six connections each, and more half-sent requests than the server has threads.
KEPT, STALLED = 300, 110


def test_three_hundred_connections_and_a_hundred_stalled_ones_leave_room(tmp_path: Path) -> None:
    """Each is open at the same time; the next page is answered all the same."""
    port = free_port()
    around = {
        **{name: value for name, value in os.environ.items() if name != "PINCHBOLT_DATABASE"},
        "PINCHBOLT_HOME": str(tmp_path),
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    command = [sys.executable, "-c", "from pinchbolt.cli import main; main()", "serve", "--port", str(port)]
    with ExitStack() as open_now:
        server = open_now.enter_context(
            subprocess.Popen(
                command, env=around, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
            )
        )
        open_now.callback(server.terminate)
        page = f"http://127.0.0.1:{port}/"
        assert answered(page, lambda: server.poll() is None)
        for number in range(KEPT + STALLED):
            tablet = open_now.enter_context(socket.create_connection(("127.0.0.1", port), timeout=60))
            tablet.sendall(b"GET /static/bench/favicon.svg HTTP/1.1\r\nHost: 127.0.0.1\r\n")
            if number < KEPT:
                tablet.sendall(b"Connection: keep-alive\r\n\r\n")
                assert tablet.recv(12) == b"HTTP/1.1 200"
        assert answered(page, lambda: server.poll() is None)
