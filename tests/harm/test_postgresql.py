"""The same records on PostgreSQL through one URL; skipped where PostgreSQL is not installed."""

import glob
import os
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def _programs() -> str:
    found = sorted(glob.glob("/usr/lib/postgresql/*/bin/initdb"))
    if not found or (os.geteuid() == 0 and not shutil.which("runuser")):
        pytest.skip(
            "PostgreSQL is not installed: apt-get install postgresql brings it. SQLite is tested all the same."
        )
    return str(Path(found[-1]).parent)


@pytest.fixture
def url() -> Iterator[str]:
    """A server of our own on a free port, gone afterwards."""
    programs = _programs()
    folder = Path(subprocess.check_output(["mktemp", "-d", "/tmp/pinchbolt-pg-XXXXXX"], text=True).strip())
    as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if as_user:
        shutil.chown(folder, "postgres")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    data = folder / "data"
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    subprocess.check_call(
        [*as_user, f"{programs}/initdb", "-D", str(data), "-U", "bench", "-A", "trust", "--no-sync"],
        **quiet,  # type: ignore[call-overload]
    )
    options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c fsync=off"
    server = [*as_user, f"{programs}/pg_ctl", "-D", str(data), "-l", str(folder / "log"), "-w"]
    subprocess.check_call([*server, "-o", options, "start"], **quiet)  # type: ignore[call-overload]
    yield f"postgresql://bench@127.0.0.1:{port}/postgres"
    subprocess.check_call([*server, "-m", "immediate", "stop"], **quiet)  # type: ignore[call-overload]
    shutil.rmtree(folder, ignore_errors=True)


def test_a_bike_is_read_on_postgresql_and_its_events_are_only_added(url: str, tmp_path: Path) -> None:
    """Migrations, a check-in and readings; then the database refuses to change them."""
    psycopg = pytest.importorskip("psycopg", reason="psycopg is an extra: pip install pinchbolt[postgres]")
    surroundings = {
        **os.environ,
        "PINCHBOLT_HOME": str(tmp_path),
        "PINCHBOLT_DATABASE": url,
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
    }
    said = subprocess.check_output(
        [sys.executable, "-m", "tests.harm.writer", "3"], cwd=ROOT, env=surroundings, text=True
    )
    assert len(said.split()) == 3
    with psycopg.connect(url) as there:
        kept = there.execute("SELECT event_id FROM records_reading ORDER BY 1").fetchall()
        assert [row[0] for row in kept] == [int(word) for word in said.split()]
        with pytest.raises(psycopg.errors.IntegrityConstraintViolation, match="not changed or removed"):
            there.execute("UPDATE records_reading SET low = 0")
