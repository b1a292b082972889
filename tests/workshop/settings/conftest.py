"""Whoever changes rows of the tables: the owner of a workshop with a folder of tables of its own."""

from pathlib import Path

import pytest

from pinchbolt.records.models import Person
from pinchbolt.workshop.common.trade_tables import read_tables_again
from tests.story import PASSPHRASE, open_shop


@pytest.fixture
def owner(settings: object, tmp_path: Path) -> Person:
    """A workshop with its owner, and a folder of tables of its own."""
    settings.SHOP_TABLES = tmp_path / "tables"  # type: ignore[attr-defined]
    read_tables_again()
    open_shop()
    return Person.objects.make("marnie", "Marnie Oakes", "owner of the workshop", PASSPHRASE)
