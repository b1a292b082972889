"""A PostgreSQL server of our own: in a folder of its own, on loopback, never as root, gone afterwards."""

import glob
import os
import shutil
import socket
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
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


@contextmanager
def serving() -> Iterator[str]:
    """The address of a new, empty database; the server stops and its folder goes when the block ends."""
    folder = Path(subprocess.check_output(["mktemp", "-d", "/tmp/pinchbolt-pg-XXXXXX"], text=True).strip())
    as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if as_user:
        shutil.chown(folder, "postgres")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    data, here = folder / "data", programs()
    make = [*as_user, f"{here}/initdb", "-D", str(data), "-U", "bench", "-A", "trust", "--no-sync"]
    options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c fsync=off"
    server = [*as_user, f"{here}/pg_ctl", "-D", str(data), "-l", str(folder / "log"), "-w"]
    try:
        _quietly(make)
        _quietly([*server, "-o", options, "start"])
        try:
            yield f"postgresql://bench@127.0.0.1:{port}/postgres"
        finally:
            _quietly([*server, "-m", "immediate", "stop"])
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _quietly(command: list[str]) -> None:
    # Not the folder of the caller: the other user may not be allowed to look into it.
    subprocess.run(command, check=True, cwd="/tmp", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
