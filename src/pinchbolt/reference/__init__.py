"""Trade tables with a source on every row, their typed loader, and the workshop's own tables laid over them.

The loader with its row classes is imported when it is asked for: a question that two files answer does not wait for it.
"""

from typing import TYPE_CHECKING

from pinchbolt.reference.fit_files import plain_fit_tables

if TYPE_CHECKING:
    from pinchbolt.reference.gather import Overlaid
    from pinchbolt.reference.loader import load, tables
    from pinchbolt.reference.tables_type import Tables

__all__ = ["Overlaid", "Tables", "load", "plain_fit_tables", "tables"]


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"pinchbolt.reference has no {name}")
    from pinchbolt.reference import loader  # noqa: PLC0415

    return getattr(loader, name)
