"""A PostgreSQL server of our own: in a folder of its own, on loopback, never as root, gone afterwards."""

import glob
import os
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path


class NotInstalled(Exception):
    """PostgreSQL's server is not on this machine, or can't be run by this user."""


def programs() -> Path:
    """The folder of initdb and pg_ctl, the newest version where there are several.

    Raises:
        NotInstalled: There is none; or this is root, and no program is here to become another user.
    """
    found = sorted(glob.glob("/usr/lib/postgresql/*/bin/initdb"), key=lambda path: int(path.split("/")[4]))
    on_path = shutil.which("initdb")
    if not (found or on_path) or (os.geteuid() == 0 and not shutil.which("runuser")):
        raise NotInstalled(
            "PostgreSQL is not installed: apt-get install postgresql brings it. SQLite is tested all the same."
        )
    return Path(found[-1] if found else str(on_path)).parent


@dataclass(frozen=True, slots=True)
class Running:
    """A server that runs: its address, and how it is begun and ended."""

    url: str
    data: Path
    begin: tuple[str, ...]

    def kill_and_start(self) -> None:
        """kill -9 to the server and every process of it, then start it again: it finds its way back by its log."""
        first = int((self.data / "postmaster.pid").read_text(encoding="ascii").split()[0])
        mine = [first, *_children(first)]
        for one in mine:
            with suppress(ProcessLookupError):
                os.kill(one, signal.SIGKILL)
        while any(_lives(one) for one in mine):
            time.sleep(0.02)
        # Whom nobody has waited for yet still has a number, and so would its locks.
        for lock in (self.data / "postmaster.pid", *self.data.parent.glob(".s.PGSQL.*.lock")):
            lock.unlink(missing_ok=True)
        _quietly(list(self.begin))


def _children(parent: int) -> list[int]:
    """Processes that this one began."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            words = stat.read_text(encoding="ascii", errors="replace").rpartition(")")[2].split()
        except OSError:
            continue
        if int(words[1]) == parent:
            found.append(int(stat.parent.name))
    return found


def _lives(one: int) -> bool:
    try:
        state = (Path("/proc") / str(one) / "stat").read_text(encoding="ascii", errors="replace")
    except OSError:
        return False
    return state.rpartition(")")[2].split()[0] != "Z"


@contextmanager
def serving(*settings: str) -> Iterator[str]:
    """The address of a new, empty database; the server stops and its folder goes when the block ends."""
    with running(None, *settings) as server:
        yield server.url


@contextmanager
def running(within: Path | None = None, *settings: str) -> Iterator[Running]:
    """A server with a new, empty database in a folder of its own (within *within*), gone when the block ends; *settings* as
    "name=value" of its own.
    """
    here = programs()
    words = ["mktemp", "-d", f"{within or '/tmp'}/pinchbolt-pg-XXXXXX"]
    folder = Path(subprocess.check_output(words, text=True).strip())
    as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if as_user:
        shutil.chown(folder, "postgres")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    data = folder / "data"
    make = [*as_user, f"{here}/initdb", "-D", str(data), "-U", "bench", "-A", "trust", "--no-sync"]
    options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c fsync=off"
    options += "".join(f" -c {one}" for one in settings)
    server = [*as_user, f"{here}/pg_ctl", "-D", str(data), "-l", str(folder / "log"), "-w"]
    begin = (*server, "-o", options, "start")
    try:
        _quietly(make)
        _quietly(list(begin))
        try:
            yield Running(f"postgresql://bench@127.0.0.1:{port}/postgres", data, begin)
        finally:
            _quietly([*server, "-m", "immediate", "stop"])
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _quietly(command: list[str]) -> None:
    # Not the folder of the caller: the other user may not be allowed to look into it.
    subprocess.run(command, check=True, cwd="/tmp", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
