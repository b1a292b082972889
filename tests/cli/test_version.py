"""`pinchbolt --version`: which release this is, for whoever is asked on the telephone."""

import pytest

from pinchbolt import __version__
from tests.cli.conftest import Run


def test_the_release_is_said_without_a_workshop(run: Run) -> None:
    """One line and exit code 0; no database is asked, so it answers when nothing else does."""
    ran = run("--version")
    assert (ran.code, ran.out, ran.err) == (0, f"pinchbolt {__version__}\n", "")


@pytest.mark.parametrize("words", [("--version", "doctor"), ("--version", "serve")])
def test_nothing_is_done_beside_it(run: Run, words: tuple[str, ...]) -> None:
    """Asked together with a command, it says the release and does not run the command."""
    assert run(*words).out == f"pinchbolt {__version__}\n"
