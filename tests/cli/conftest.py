"""Commands in this process against the test database, and in a process of their own against a home folder on disk."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from pinchbolt.cli import main
from tests import story
from tests.new_home import lay_new
from tests.servers import GIVE_UP_S
from tests.story import Story

ROOT = Path(__file__).resolve().parents[2]
_MAKE = """
import django
django.setup()
from pinchbolt.serving.migrating import migrate
migrate()
from tests import story
story.priced(story.walked_round(story.checked_in()))
"""


@dataclass(frozen=True, slots=True)
class Ran:
    """How a command ended and what it said."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """Its one JSON value."""
        return json.loads(self.out)


Run = Callable[..., Ran]


@pytest.fixture(autouse=True)
def own_home(monkeypatch: pytest.MonkeyPatch) -> None:
    """A command that goes into the demo comes out of it when its test ends."""
    monkeypatch.setenv("PINCHBOLT_DEMO", "")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command here."""

    def ran(*words: str) -> Ran:
        capsys.readouterr()
        code = main(list(words))
        told = capsys.readouterr()
        return Ran(code, told.out, told.err.strip())

    return ran


@pytest.fixture
def arrived(db: None) -> Story:
    """A bike that is just in."""
    return story.checked_in()


@pytest.fixture
def asked_for(db: None) -> Story:
    """A bike, walked round, its owner asked."""
    return story.priced(story.walked_round(story.checked_in()))


def outside(home: Path, **more: str) -> dict[str, str]:
    """The environment of a command that runs by itself."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PINCHBOLT", "DJANGO", "COV"))
    }
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT)])
    return {**kept, "PYTHONPATH": paths, "PINCHBOLT_HOME": str(home), "PINCHBOLT_HOSTS": "127.0.0.1", **more}


@pytest.fixture(scope="session")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home folder on disk with one bike in the workshop."""
    folder = lay_new(tmp_path_factory.mktemp("home"))
    subprocess.run(
        [sys.executable, "-c", _MAKE],
        env=outside(folder, DJANGO_SETTINGS_MODULE="pinchbolt.serving.settings"),
        check=True,
        capture_output=True,
    )
    return folder


COMMAND = [sys.executable, "-c", "import sys; from pinchbolt.cli import main; sys.exit(main())"]


def run_outside(home: Path, *words: str) -> Ran:
    """Run a command in a process of its own."""
    told = subprocess.run(
        [*COMMAND, *words], env=outside(home), capture_output=True, text=True, timeout=GIVE_UP_S, check=False
    )
    return Ran(told.returncode, told.stdout, told.stderr.strip())
