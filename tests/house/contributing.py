"""The lists of CONTRIBUTING.md as tests read them."""

import re
from dataclasses import dataclass, field
from functools import cache

from tests.house.source import ROOT

TABLES = "src/pinchbolt/reference/tables/"


@dataclass(slots=True)
class FileList:
    """Files of one kind of change: always, and where they apply."""

    always: list[str] = field(default_factory=list)
    where: list[str] = field(default_factory=list)

    @property
    def tables(self) -> set[str]:
        """Names of the table files that it names at all."""
        return {path.removeprefix(TABLES) for path in (*self.always, *self.where) if path.startswith(TABLES)}

    @property
    def tables_always(self) -> set[str]:
        """Names of the table files that it names as always needed."""
        return {path.removeprefix(TABLES) for path in self.always if path.startswith(TABLES)}


@cache
def lists() -> dict[str, FileList]:
    """Each list by the words behind "Add "."""
    found: dict[str, FileList] = {}
    here, now = FileList(), "always"
    for line in (ROOT / "CONTRIBUTING.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("## Add "):
            here, now = found.setdefault(line.removeprefix("## Add "), FileList()), "always"
        elif line.startswith("Where it has them"):
            now = "where"
        elif line.startswith("- "):
            getattr(here, now).extend(_path(one) for one in re.findall(r"`([^`]+/[^`]*)`", line))
    return found


def _path(told: str) -> str:
    return TABLES + told.removeprefix("tables/") if told.startswith("tables/") else told
