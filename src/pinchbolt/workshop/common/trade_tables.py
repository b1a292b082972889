"""The tables in use. Without records, so that a question that needs none is answered without opening any."""

from functools import lru_cache
from pathlib import Path

from django.conf import settings

from pinchbolt import reference


@lru_cache(maxsize=1)
def tables() -> reference.Tables:
    """The trade tables with the workshop's own rows laid over them, where it has any; read once a start."""
    own = Path(settings.SHOP_TABLES)
    return reference.load(own if own.is_dir() else None)
