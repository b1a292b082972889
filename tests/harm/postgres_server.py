"""A PostgreSQL server of our own: in a folder of its own, on loopback, never as root, gone afterwards."""

import atexit
import glob
import os
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tests.new_home import walk_all_steps


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
def serving(*settings: str, laid: bool = False) -> Iterator[str]:
    """The address of a new, empty database (`laid`: with our tables); the server stops and its folder goes when the block ends."""
    with running(None, *settings, laid=laid) as server:
        yield server.url


@contextmanager
def running(within: Path | None = None, *settings: str, laid: bool = False) -> Iterator[Running]:
    """A server with a new, empty database in a folder of its own (within *within*), gone when the block ends; *settings* as
    "name=value" of its own. `laid`: all steps of our tables are walked there already, of a copy.
    """
    with _own_folder(within) as folder:
        if laid:
            _quietly([*_as_user(), "cp", "--archive", str(_laid()), str(folder / "data")])
        else:
            _make(folder)
        with _begun(folder, *settings) as server:
            yield server


@cache
def _laid() -> Path:
    """The data of a server that stopped in good order, our tables in it: the steps are walked once a process."""
    kept = ExitStack()
    atexit.register(kept.close)
    folder = kept.enter_context(_own_folder())
    _make(folder)
    with (
        _begun(folder, stop="fast") as server,
        tempfile.TemporaryDirectory(prefix="pinchbolt-pg-home-") as home,
    ):
        walk_all_steps(Path(home), {"PINCHBOLT_DATABASE": server.url})
    return folder / "data"


def _as_user() -> list[str]:
    return ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []


@contextmanager
def _own_folder(within: Path | None = None) -> Iterator[Path]:
    programs()
    words = ["mktemp", "-d", f"{within or '/tmp'}/pinchbolt-pg-XXXXXX"]
    folder = Path(subprocess.check_output(words, text=True).strip())
    try:
        if _as_user():
            shutil.chown(folder, "postgres")
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _make(folder: Path) -> None:
    words = ["-D", str(folder / "data"), "-U", "bench", "-A", "trust", "--no-sync"]
    _quietly([*_as_user(), f"{programs()}/initdb", *words])


@contextmanager
def _begun(folder: Path, *settings: str, stop: str = "immediate") -> Iterator[Running]:
    """The server of this folder on a free port, until the block ends."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    data = folder / "data"
    options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c fsync=off"
    options += "".join(f" -c {one}" for one in settings)
    server = [*_as_user(), f"{programs()}/pg_ctl", "-D", str(data), "-l", str(folder / "log"), "-w"]
    begin = (*server, "-o", options, "start")
    _quietly(list(begin))
    try:
        yield Running(f"postgresql://bench@127.0.0.1:{port}/postgres", data, begin)
    finally:
        _quietly([*server, "-m", stop, "stop"])


def _quietly(command: list[str]) -> None:
    # Not the folder of the caller: the other user may not be allowed to look into it.
    subprocess.run(command, check=True, cwd="/tmp", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
