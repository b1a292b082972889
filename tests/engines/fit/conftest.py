"""The trade tables as they stand in the project, read as plain mappings."""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import pytest

from pinchbolt.engines.fit._tables import FitTables


def table(name: str) -> dict[str, Any]:
    """One file of the tables folder."""
    return tomllib.loads((files("pinchbolt") / "reference" / "tables" / name).read_text(encoding="utf-8"))


@cache
def plain_tables() -> dict[str, Any]:
    """Rules by id and interface rows by kind, read once for all tests: whoever changes a row takes a copy."""
    return {
        "rules": {row["id"]: row for row in table("rules.toml")["rule"]},
        "interfaces": table("interfaces.toml"),
    }


@cache
def plain_view() -> FitTables:
    """The same as the engine looks at them: of plain mappings it would read every rule anew for each question."""
    return FitTables(plain_tables())


@pytest.fixture(scope="session")
def tables() -> dict[str, Any]:
    """The rules and interfaces for a test."""
    return plain_tables()
