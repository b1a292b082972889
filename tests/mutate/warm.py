"""A pytest plugin that loads everything once, finds out which tests reach which line, and sets the mutants loose."""

import json
import os
import time
from pathlib import Path

import pytest
from django.test.utils import setup_databases
from pytest_django.plugin import blocking_manager_key

from tests.mutate import report
from tests.mutate.hunt import Hunt
from tests.mutate.places import FOLDER, Mutant
from tests.mutate.probes import reach


@pytest.fixture(scope="session")
def django_db_setup() -> None:
    """The database was made before any process was split off; each has a copy of its own in memory."""


@pytest.hookimpl(tryfirst=True)
def pytest_runtestloop(session: pytest.Session) -> bool:
    """Instead of running the tests once."""
    folder = Path(os.environ[FOLDER])
    asked = json.loads((folder / "asked.json").read_text(encoding="utf-8"))
    mutants = [Mutant(**one) for one in asked["mutants"]]
    with session.config.stash[blocking_manager_key].unblock():
        setup_databases(verbosity=0, interactive=False)
    began = time.monotonic()
    reached = reach(session.items, mutants, asked["jobs"], folder)
    report.say(
        f"{len(session.items)} tests run once: {sum(reached.seconds.values()):.0f} processor seconds "
        f"in {time.monotonic() - began:.0f} s"
    )
    for at in sorted(reached.failed):
        report.say(f"  fails unharmed, left out: {session.items[at].nodeid}")
    hunt = Hunt(session.items, reached, folder, asked["budget"])
    fates = hunt.run(mutants, asked["jobs"], report.progress(len(mutants), asked["all"]))
    report.close(fates, time.monotonic() - began)
    return True
