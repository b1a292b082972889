"""The tables in use. Without records, so that a question that needs none is answered without opening any."""

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings

from pinchbolt import reference

if TYPE_CHECKING:
    from pinchbolt.reference import Tables


@lru_cache(maxsize=1)
def tables() -> "Tables":
    """The trade tables with the workshop's own rows laid over them, where it has any; read once a start."""
    own = Path(settings.SHOP_TABLES)
    return reference.load(own if own.is_dir() else None)


def fit_tables() -> object:
    """The tables that the fit rules look at; two files alone where the workshop has none of its own."""
    own = Path(settings.SHOP_TABLES)
    return tables() if own.is_dir() else reference.plain_fit_tables()
