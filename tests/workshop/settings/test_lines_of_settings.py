"""What the first page of the settings says of tables and people, beside the state that it says it of."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from pinchbolt.workshop.common.trade_tables import read_tables_again
from pinchbolt.workshop.settings.settings_lines import settings_lines
from tests.story import open_shop

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)


@pytest.fixture
def own_tables(settings: object, tmp_path: Path) -> Path:
    """A folder for the workshop's own tables, empty."""
    folder = tmp_path / "tables"
    folder.mkdir()
    settings.SHOP_TABLES = folder  # type: ignore[attr-defined]
    read_tables_again()
    open_shop()
    return folder


def said() -> str:
    """All lines in one."""
    return " | ".join(line.now for line in settings_lines(NOW.date(), 1, Path("nowhere")))


def test_limits_are_the_trades_until_a_row_is_ones_own_and_a_bad_file_is_said(own_tables: Path) -> None:
    """Three states of a workshop: nothing of its own, one row, a file with a fault."""
    assert "as the trade tables" in said() and "a file has a fault" not in said()
    (own_tables / "limits.toml").write_text("[[limit]\n", encoding="utf-8")
    read_tables_again()
    assert "a file has a fault: rows that were good last are used" in said()
