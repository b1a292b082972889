"""A folder for the workshop's own tables, and the trade tables read once."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pinchbolt.reference import Tables, tables


@pytest.fixture(scope="session")
def trade() -> Tables:
    """The trade tables alone."""
    return tables()


@pytest.fixture
def shop(tmp_path: Path) -> Callable[..., Path]:
    """Write the workshop's own tables, file by file, and give back their folder."""

    def write(**files: str) -> Path:
        for name, text in files.items():
            (tmp_path / f"{name.replace('_', '-')}.toml").write_text(text, encoding="utf-8")
        return tmp_path

    return write
