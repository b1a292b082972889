"""From `pinchbolt serve` on a home folder that is not there yet to the first page of an empty shop, beside a second start.

    python -m ratios.first_page [--times 3]

The environment stands. Told are the clock and the processor time of the server, which a busy machine does not stretch: at the first
start the tables are laid, at the second they are there. Bar: 10 s.
"""

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.request import HTTPCookieProcessor, build_opener

from tests.servers import answered, free_port

BAR_S = 10.0
_SERVE = "from pinchbolt.cli import main; raise SystemExit(main())"
_TICKS = os.sysconf("SC_CLK_TCK")


def first_page(home: Path) -> tuple[float, float]:
    """Seconds by the clock and of processor time until the page by which a shop is opened is there, whole."""
    port, log = free_port(), home.parent / "server.log"
    around = {
        name: value for name, value in os.environ.items() if not name.startswith(("DJANGO", "PINCHBOLT"))
    }
    began = time.monotonic()
    with log.open("w", encoding="utf-8") as out:
        words = [sys.executable, "-u", "-c", _SERVE, "serve", "--port", str(port)]
        server = subprocess.Popen(words, env={**around, "PINCHBOLT_HOME": str(home)}, stdout=out, stderr=out)
    try:
        answered(f"http://127.0.0.1:{port}/open/", lambda: server.poll() is None)
        found = re.search(r"Open (http://\S+)", log.read_text(encoding="utf-8"))
        if found is None:
            raise RuntimeError(log.read_text(encoding="utf-8"))
        with build_opener(HTTPCookieProcessor()).open(found[1], timeout=60) as page:
            assert b"open your own" in page.read()
        return time.monotonic() - began, _worked(server.pid)
    finally:
        server.terminate()
        server.wait(60)


def _worked(process: int) -> float:
    """Processor time of a process and of what it started and has ended [s]."""
    words = (
        Path(f"/proc/{process}/stat").read_text(encoding="ascii", errors="replace").rpartition(")")[2].split()
    )
    return sum(int(one) for one in words[11:15]) / _TICKS


def main() -> int:
    """Print the least of some times, and 1 where the first page takes longer than its bar."""
    asked = argparse.ArgumentParser(prog="first_page", description=__doc__.split("\n")[0])
    asked.add_argument("--times", type=int, default=3)
    found: dict[str, list[tuple[float, float]]] = {"first start": [], "second start": []}
    for _ in range(asked.parse_args().times):
        with tempfile.TemporaryDirectory(prefix="pinchbolt-first-page-") as folder:
            for times in found.values():
                times.append(first_page(Path(folder) / "home"))
    for name, times in found.items():
        print(
            f"{name}: {min(clock for clock, _ in times):.1f} s by the clock, {min(work for _, work in times):.1f} s of processor time"
        )
    first, second = (min(work for _, work in times) for times in found.values())
    print(
        f"{first / second:.1f} times a second start; bar {BAR_S:g} s: {'holds' if first < BAR_S else 'DOES NOT HOLD'}"
    )
    return 0 if first < BAR_S else 1


if __name__ == "__main__":
    sys.exit(main())
