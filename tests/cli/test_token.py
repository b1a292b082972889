"""Tokens of programs on the command line."""

import re

import pytest

from tests.cli.conftest import Run
from tests.story import Story

pytestmark = pytest.mark.django_db


def test_a_token_is_made_listed_and_ended(arrived: Story, run: Run) -> None:
    """The token is the first line, so that a script can take it; the list never says it."""
    token = run("token", "make", "stock list", "--as", "ines").out.splitlines()[0]
    assert re.fullmatch(r"pb_[\w-]{43}", token)
    listed = run("token", "list", "--as", "ines").out
    assert "stock list, Ines Holloway, to look" in listed and token not in listed
    assert run("token", "end", listed.split(":")[0], "--as", "ines").code == 0
    assert run("token", "list", "--as", "ines").out == "No token is good now.\n"


def test_somebody_elses_token_is_not_ended(arrived: Story, run: Run) -> None:
    """One sentence, exit code 2."""
    made = run("token", "make", "wall clock", "--work", "--as", "ines", "--json").json
    ended = run("token", "end", str(made["id"]), "--as", "tobias")
    assert ended.code == 2 and "the owner of the workshop does" in ended.err
