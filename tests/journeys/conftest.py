"""A real server with a home folder of its own, and a browser: one of each for all journeys that bring a bike of their own."""

import atexit
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright

from tests.journeys.browser import PROGRAMS, playing, program, started
from tests.new_home import lay_new
from tests.servers import GIVE_UP_S, answered, free_port

ROOT = Path(__file__).resolve().parents[2]


@dataclass(slots=True)
class Server:
    """Where the server is, what it wrote, and its home folder."""

    address: str
    log: Path
    home: Path


@pytest.fixture(scope="package")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A small workshop, served by the server of a release: one for all journeys, each with a new owner (`people.new_owner`).

    What a journey says of the workshop as a whole, or leaves behind in it, asks for a server of its own (`serving`).
    """
    with serving(tmp_path_factory.mktemp("small-shop")) as found:
        yield found


@contextmanager
def serving(folder: Path, *, sealed: bool = False, before: str = "", first: str = "") -> Iterator[Server]:
    """A small workshop in a home of its own under *folder*, and the server of a release before it; sealed: by https, to tablets.

    `before` names a program of the journeys that writes what was there before, `first` a module of them whose `begin` the
    server calls before anything else.
    """
    home = folder / "home"
    shutil.copytree(_small_home(), home)
    env = _around(home)
    if before:
        subprocess.run([sys.executable, "-m", f"tests.journeys.{before}"], env=env, cwd=ROOT, check=True)
    port, log = free_port(), folder / "server.log"
    loaded = f"from tests.journeys.{first} import begin; begin(); " if first else ""
    serve = f"{loaded}from pinchbolt.cli import main; main()"
    command = [sys.executable, "-c", serve, "serve", "--port", str(port), *(["--network"] if sealed else [])]
    with (
        log.open("w") as out,
        subprocess.Popen(command, env=env, cwd=ROOT, stdout=out, stderr=out) as process,
    ):
        try:
            found = Server(f"http://127.0.0.1:{port}", log, home)
            # It is asked in the clear, which is answered from this machine either way.
            _until_it_answers(found, process)
            yield Server(found.address.replace("http:", "https:"), log, home) if sealed else found
        finally:
            process.terminate()
            process.wait(GIVE_UP_S)


@cache
def _small_home() -> Path:
    """The home of a small workshop, made once; each journey has a copy."""
    home = Path(tempfile.mkdtemp(prefix="pinchbolt-small-shop-"))
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    lay_new(home)
    command = [sys.executable, "-m", "tests.journeys.small_shop"]
    subprocess.run(command, env=_around(home), cwd=ROOT, check=True)
    return home


def _around(home: Path) -> dict[str, str]:
    """The environment of a program that goes by this home alone."""
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("DJANGO_", "PINCHBOLT_"))
    }
    return {
        **kept,
        "PINCHBOLT_HOME": str(home),
        "PYTHONPATH": os.pathsep.join([str(ROOT / "src"), str(ROOT)]),
        "DJANGO_SETTINGS_MODULE": "pinchbolt.serving.settings",
    }


def _until_it_answers(server: Server, process: subprocess.Popen[bytes]) -> None:
    """A server that ended will never answer; one that runs and doesn't is given up after GIVE_UP_S."""
    page = answered(f"{server.address}/sign-in/", lambda: process.poll() is None)
    if not page:
        how = "ended" if process.poll() is not None else "does not answer"
        raise RuntimeError(f"the server {how}:\n{server.log.read_text()}")


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser's program; without one the journeys are left out, save in the gate, where that is a fault."""
    found = program()
    if not found:
        if os.environ.get("CI") == "true":
            pytest.fail(
                f"No browser is installed here, and the gate needs it: install the {PROGRAMS[0]} package."
            )
        pytest.skip(
            f"No browser is installed here, so no journey was made. Install the {PROGRAMS[0]} package."
        )
    return found


@pytest.fixture(scope="package")
def player(chromium: str) -> Iterator[Playwright]:
    """What drives browsers; gone before tests of another folder run."""
    with playing() as found:
        yield found


@pytest.fixture(scope="package")
def one_browser(player: Playwright, chromium: str) -> Iterator[Browser]:
    """The browser of all journeys, for what a whole file opens in it."""
    with started(player, chromium) as found:
        yield found


@pytest.fixture
def browser(one_browser: Browser) -> Iterator[Browser]:
    """The browser of all journeys. Each opens pages of its own in it, which share nothing and end with it."""
    before = one_browser.contexts
    yield one_browser
    for context in one_browser.contexts:
        if context not in before:
            context.close()
