"""The scenario file as typed rows, its days moved so that it ends today."""

import tomllib
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any

_FILE = Path(__file__).with_name("scenario.toml")
_WRITTEN_FOR = date(2026, 11, 25)
Row = dict[str, Any]


@dataclass(frozen=True)
class Scenario:
    """Rows of the scenario by what they belong to; `today` is the day on which it ends."""

    raw: dict[str, Any]
    today: date

    def day(self, written: date) -> date:
        """Return a day of the file as a day that ends today."""
        return written + (self.today - _WRITTEN_FOR)

    @property
    def workshop(self) -> Row:
        """The workshop itself."""
        return dict(self.raw["workshop"])

    def rows(self, table: str, **where: object) -> list[Row]:
        """Return the rows of a table whose fields have these values."""
        return [
            row for row in self.raw[table] if all(row.get(field) == value for field, value in where.items())
        ]

    @cached_property
    def visits(self) -> list[Row]:
        """All visits, oldest first."""
        return sorted(self.raw["visit"], key=lambda row: (row["date"], row["id"]))

    @property
    def start(self) -> date:
        """The day before the first record."""
        return self.day(date(2025, 12, 1))


def scenario(today: date) -> Scenario:
    """Read the scenario file."""
    return Scenario(tomllib.loads(_FILE.read_text(encoding="utf-8")), today)
