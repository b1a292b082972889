"""Trade tables: every row typed, with its source; the workshop's own tables lie over them."""

from pinchbolt.reference.gather import Overlaid
from pinchbolt.reference.loader import load, tables
from pinchbolt.reference.tables_type import Tables

__all__ = ["Overlaid", "Tables", "load", "tables"]
