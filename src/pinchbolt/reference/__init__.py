"""Trade tables: every row typed, with its source; the workshop's own tables lie over them."""

from pinchbolt.reference.tables import Tables, load, tables

__all__ = ["Tables", "load", "tables"]
