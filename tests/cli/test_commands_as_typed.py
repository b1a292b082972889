"""What a command prints names commands as they were called."""

import pytest

from tests.cli.conftest import Run

BY_LAUNCHER = "python3 launch.py pinchbolt"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["people"], f"That is done on the screens: {BY_LAUNCHER} serve. See: {BY_LAUNCHER} --help"),
        (["kit", "--bad"], f"See: {BY_LAUNCHER} --help"),
        (["tools", "--bad"], f"See: {BY_LAUNCHER} tools --help"),
    ],
)
def test_a_refusal_names_a_command_that_works(
    run: Run, monkeypatch: pytest.MonkeyPatch, words: list[str], told: str
) -> None:
    """By its own name once installed, by the launcher's words where that was called."""
    assert told.replace(BY_LAUNCHER, "pinchbolt") in run(*words).err
    monkeypatch.setenv("PINCHBOLT_CALLED", BY_LAUNCHER)
    assert told in run(*words).err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--help"], ["Usage: {} [OPTIONS]", "Start with: {} serve"]),
        (["owner", "wheels", "--help"], ["Usage: {} owner wheels", "{} move 'both wheels' --exchange"]),
        (["tools"], ["Hang a tool: {} tools hang hex-5"]),
    ],
)
def test_help_and_answers_do_so_too(
    db: None, run: Run, monkeypatch: pytest.MonkeyPatch, words: list[str], told: list[str]
) -> None:
    """Nothing that is printed has to be translated before it is typed."""
    for called in ("pinchbolt", BY_LAUNCHER):
        monkeypatch.setenv("PINCHBOLT_CALLED", called)
        printed = " ".join(run(*words).out.split())
        assert all(one.format(called) in printed for one in told), printed
