"""The invented workshop beside one's own: a server of its own, with a home of its own, on this machine only."""

import atexit
import os
import socket
import subprocess
import sys
import urllib.request
from dataclasses import dataclass, field
from pathlib import Path

from django.urls import reverse

from pinchbolt.serving.home import own_folder, served_at
from pinchbolt.values.wording import worded

_START = "from pinchbolt.cli import main; raise SystemExit(main())"
_LONGEST_LOOK_S = 0.5


@dataclass(frozen=True, slots=True)
class DemoBeside:
    """Where the invented workshop is, whether it answers yet, and why it does not."""

    address: str
    ready: bool
    fault: str


@dataclass
class _Running:
    """The one server of the invented workshop that this process has started."""

    process: "subprocess.Popen[bytes] | None" = None
    port: int = 0
    log: Path = field(default_factory=Path)

    @property
    def alive(self) -> bool:
        return self.process is not None and self.process.poll() is None

    def start(self) -> None:
        """Start it, if it does not run already; it ends with this process."""
        if self.alive:
            return
        self.port = _free_port()
        self.log = own_folder() / "demo.log"
        around = {
            name: value
            for name, value in os.environ.items()
            if name
            not in ("PINCHBOLT_HOSTS", "PINCHBOLT_ANSWERS_TO", "PINCHBOLT_SEALED", "PINCHBOLT_OPENING_WORD")
        }
        around |= {"PINCHBOLT_HOME": str(own_folder()), "PINCHBOLT_BACK_TO": served_at()}
        with self.log.open("w", encoding="utf-8") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-c", _START, "serve", "--demo", "--port", str(self.port)],
                env=around,
                stdout=out,
                stderr=subprocess.STDOUT,
            )
        atexit.register(self.stop)

    def stop(self) -> None:
        """End it."""
        if self.alive and self.process is not None:
            self.process.terminate()

    def seen(self) -> DemoBeside:
        """Look whether it answers."""
        address = f"http://127.0.0.1:{self.port}{reverse('sign_in')}"
        if self.process is None:
            return DemoBeside("", False, worded("It was not started. Try again."))
        if not self.alive:
            lines = self.log.read_text(encoding="utf-8").strip().splitlines() or [worded("nothing was said")]
            return DemoBeside("", False, worded("It ended: {lines}", lines=lines[-1][:200]))
        try:
            # The port is open before the workshop is ready: an answer that does not come means not yet.
            with urllib.request.urlopen(address, timeout=_LONGEST_LOOK_S):
                return DemoBeside(address, True, "")
        except OSError:
            return DemoBeside(address, False, "")


_RUNNING = _Running()


def demo_beside(*, start: bool) -> DemoBeside:
    """Return how the invented workshop is; start it where that is asked."""
    if start:
        _RUNNING.start()
    return _RUNNING.seen()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
