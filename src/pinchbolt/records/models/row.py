"""A row as it is read: laid down as it comes, which is most of what a page costs once its questions are written."""

from collections.abc import Collection
from typing import Self

from django.db import models
from django.db.models.base import ModelState


class RecordRow(models.Model):
    """What every table's rows are. Reading one asks no field and tells nobody; making one is as ever.

    The framework gives each value to its field's descriptor, and says before and after that a row is made. No column of ours does
    anything as it is given its value, and nobody listens: `tests/records/test_rows_as_read.py` holds both.
    """

    class Meta:
        abstract = True

    @classmethod
    def from_db(  # type: ignore[override]  # the stubs are of a later framework, which says a fourth
        cls, db: str | None, field_names: Collection[str], values: Collection[object]
    ) -> Self:
        """The row that stands there; a column that was not asked for is looked up when it is wanted, as ever."""
        row = cls.__new__(cls)
        row._state = state = ModelState()
        state.adding, state.db = False, db
        row.__dict__.update(zip(field_names, values, strict=True))
        return row
