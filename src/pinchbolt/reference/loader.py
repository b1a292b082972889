"""How the tables are loaded."""

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pinchbolt.reference.checks import Complaint, Known, conditions, links, looks, ranges, words, work
from pinchbolt.reference.faults import Fault, refusal
from pinchbolt.reference.files import FILE_OF, INTERFACES, KINDS
from pinchbolt.reference.gather import Gathered, Overlaid, gather, gather_once, lay_over
from pinchbolt.reference.read import row_of, toml_key
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.tables_type import ATTRIBUTES, Tables

TRADE_FOLDER = Path(__file__).parent / "tables"


@cache
def tables() -> Tables:
    """The trade tables alone, read once.

    Raises:
        InputRefused: A table has a fault; the sentence names file, row, field and what is allowed.
    """
    return load()


def load(shop_folder: Path | None = None, instead: Mapping[str, bytes] | None = None) -> Tables:
    """Read the trade tables, with the workshop's own tables from *shop_folder* laid over them.

    A file of the same name in that folder lays its rows over those of the trade by id (pair tables by their pair).
    A row may give only what differs; a row with an id that the trade table has not must be whole.

    Args:
        shop_folder: Folder of the workshop's own TOML tables; None = the trade tables alone. [-]
        instead: Text of files by name that is read in the place of what the workshop's folder holds: a change that is tried
            before it is written. [-]

    Returns:
        All tables, checked. [-]

    Raises:
        InputRefused: A file cannot be read, a row is bad or names a row that is not there: all faults in one message.
    """
    found = gather_once(TRADE_FOLDER)
    overlaid: tuple[Overlaid, ...] = ()
    if shop_folder is not None or instead:
        label = f"{shop_folder}/" if shop_folder is not None else ""
        overlaid = lay_over(found, gather(shop_folder, label, needed=False, instead=instead), KINDS)
    rows = _typed(found)
    made = _assemble(rows, overlaid)
    known = Known({table: _ids(found, table) for table in KINDS}, frozenset(found.unread))
    files = {kind: FILE_OF[table] for table, kind in KINDS.items()}
    complaints = (
        *ranges(made), *links(made, known), *words(made, known), *conditions(made, known), *work(made, known),
        *looks(made, known),
    )  # fmt: skip
    for complaint in complaints:
        found.faults.append(_fault(complaint, files, shop_folder))
    if found.faults:
        raise refusal(found.faults)
    return made


def _typed(found: Gathered) -> dict[str, list[Row]]:
    """Every row that can be read; the faults of the others go to *found*."""
    rows: dict[str, list[Row]] = {table: [] for table in KINDS}
    for table, kind in KINDS.items():
        for raw in found.rows.get(table, {}).values():
            if raw.typed is None:
                instead_of = raw.instead_of if raw.from_shop else None
                raw.typed = row_of(kind, raw.raw, raw.file, raw.name, instead_of)
            row, faults = raw.typed
            found.faults += faults
            if row is not None:
                rows[table].append(row)
    return rows


def _assemble(rows: Mapping[str, Sequence[Row]], overlaid: tuple[Overlaid, ...]) -> Tables:
    by_attribute: dict[str, Any] = {
        attribute: MappingProxyType({getattr(row, row.key[0]): row for row in rows[table]})
        for attribute, table in ATTRIBUTES.items()
    }
    interfaces = MappingProxyType({kind: tuple(rows[kind]) for kind in INTERFACES})
    return Tables(interfaces=interfaces, overlaid=overlaid, **by_attribute)


def _ids(found: Gathered, table: str) -> frozenset[object]:
    return frozenset(key[0] for key in found.rows.get(table, {}) if key)


def _fault(complaint: Complaint, files: Mapping[type[Row], str], shop_folder: Path | None) -> Fault:
    row = complaint.row
    file = files[type(row)]
    shown_as = f"{shop_folder}/{file}" if row.from_shop and shop_folder is not None else file
    return Fault(shown_as, row.named, toml_key(complaint.field), complaint.wrong, complaint.allowed)
