"""The tables in use. Without records, so that a question that needs none is answered without opening any."""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings

from pinchbolt import reference
from pinchbolt.errors import InputRefused

if TYPE_CHECKING:
    from pinchbolt.reference import Tables


@lru_cache(maxsize=1)
def tables() -> "Tables":
    """The trade tables with the workshop's own rows laid over them, where it has any; read once a start."""
    own = Path(settings.SHOP_TABLES)
    return reference.load(own if own.is_dir() else None)


@dataclass(frozen=True, slots=True)
class OwnTables:
    """What a folder of own tables changes, a sentence a field; `rows` are all rows that hold then."""

    folder: str
    changes: tuple[str, ...]
    rows: int


def own_tables(folder: Path | None = None) -> OwnTables:
    """Read a folder of own tables anew, laid over the trade's, and say what it changes; without one that of the workshop.

    Raises:
        InputRefused: The folder is not there, or a row of it is bad; the sentence says which, and what is allowed.
    """
    own = folder or Path(settings.SHOP_TABLES)
    if folder is not None and not folder.is_dir():
        raise InputRefused(f"{folder} is no folder: the workshop's own tables lie in one. Name that folder.")
    found = reference.load(own if own.is_dir() else None)
    return OwnTables(str(own), tuple(one.words for one in found.overlaid), sum(1 for _ in found.all_rows()))


def fit_tables() -> object:
    """The tables that the fit rules look at; two files alone where the workshop has none of its own."""
    own = Path(settings.SHOP_TABLES)
    return tables() if own.is_dir() else reference.plain_fit_tables()
