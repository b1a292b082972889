"""Which ids stand in the files, and a complaint for one that does not."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from pinchbolt.reference.checks.complaint import Complaint
from pinchbolt.reference.rows.base import Row
from pinchbolt.values.wording import worded


@dataclass(frozen=True, slots=True)
class Known:
    """Ids that stand in the files, also of rows with faults; a table whose file could not be read knows every id."""

    ids: Mapping[str, frozenset[object]]
    unread: frozenset[str]

    def missing(self, names: Iterable[object], *tables: str) -> list[object]:
        """The *names* that none of *tables* has."""
        if self.unread.intersection(tables):
            return []
        return [name for name in names if not any(name in self.ids.get(table, ()) for table in tables)]


def dangling(known: Known, row: Row, field: str, names: Iterable[object], *into: str) -> Iterator[Complaint]:
    """A complaint for each of *names* that none of the tables *into* has."""
    where = " or ".join(f"[[{table}]]" for table in into)
    for name in known.missing(names, *into):
        yield Complaint(
            row,
            field,
            worded('names "{name}"', name=name),
            worded("an id that stands under {where}", where=where),
        )
