"""Every table of the records as an open file: its name, its columns, and how a value stands in a cell.

A table that a later release adds is written by itself. Cells: a day as 2026-11-28, a time with its offset, a decimal point, true or
false; what is not known is empty. In a text column that may be unknown, a text that is known to be empty stands as two quotes.
"""

import json
import re
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from math import isfinite
from typing import TYPE_CHECKING

from django.apps import apps
from django.db import models

from pinchbolt.records.models import (
    ApiToken,
    BikeCallBack,
    Bill,
    Erasing,
    Event,
    Finding,
    JobHere,
    Line,
    LookUp,
    OwnerWords,
    PartDescription,
    Person,
)
from pinchbolt.values import Json
from pinchbolt.values.wording import worded

FORMAT = 1
if TYPE_CHECKING:
    Column = models.Field[object, object]
else:
    Column = models.Field
_NAMES = {
    "Person": "people",
    "Workshop": "workshop",
    "NotSeen": "not-seen",
    "OwnerWords": "owner-words",
    "Marking": "markings",
    "Warranty": "warranties",
}
# Found anew from the other tables, or never there outside one transaction; and tokens, which end where the records leave.
_NOT_WRITTEN: tuple[type[models.Model], ...] = (LookUp, Erasing, ApiToken, JobHere, BikeCallBack)
# Secrets of people.
_LEFT_OUT: Mapping[type[models.Model], tuple[str, ...]] = {Person: ("password", "pin", "last_login")}
# What lies beside as a file of its own, by the column's name.
_ENDS: Mapping[str, str] = {"pdf": "pdf", "jpeg": "jpg"}
# Rows with much inside them, one JSON object a line.
_BY_LINE: tuple[type[models.Model], ...] = (Event, Finding, Line, Bill, OwnerWords, PartDescription)
_ONLY_QUOTES = re.compile(r'"*')


def tables_written() -> dict[str, type[models.Model]]:
    """Return every table by the name of its file."""
    found = {
        _file_name(model): model
        for model in apps.get_app_config("records").get_models()
        if model not in _NOT_WRITTEN
    }
    return dict(sorted(found.items()))


def _file_name(model: type[models.Model]) -> str:
    told = _NAMES.get(model.__name__)
    words = told or re.sub(r"(?<=[a-z])(?=[A-Z])", "-", model.__name__).lower() + "s"
    return f"{words}.{'ndjson' if model in _BY_LINE else 'csv'}"


def columns_of(model: type[models.Model]) -> tuple[Column, ...]:
    """Return the columns of a table, in order."""
    left_out = _LEFT_OUT.get(model, ())
    return tuple(
        field
        for field in model._meta.concrete_fields
        if field.name not in left_out and not isinstance(field, models.BinaryField)
    )


def files_beside(model: type[models.Model]) -> tuple[str, ...]:
    """Return the columns whose values lie beside as files of their own."""
    return tuple(field.name for field in model._meta.concrete_fields if isinstance(field, models.BinaryField))


def beside_name(name: str, row: object, column: str) -> str:
    """Return where such a value lies: papers/12.pdf."""
    return f"{name.partition('.')[0]}/{row}.{_ENDS.get(column, column)}"


def schema_of(name: str, model: type[models.Model]) -> Json:
    """Return the JSON Schema of a row."""
    columns = columns_of(model)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": name,
        "description": " ".join((model.__doc__ or "").split()),
        "type": "object",
        "additionalProperties": False,
        "required": [column.name for column in columns],
        "properties": {column.name: _schema(column) for column in columns},
    }


def _schema(column: Column) -> Json:
    kind = _kind(column)
    told: Json = {}
    if kind in ("date", "date-time"):
        told = {"format": kind}
    elif kind == "decimal":
        told = {"pattern": r"^-?\d+(\.\d+)?$"}
    elif kind == "string" and column.max_length:
        told = {"maxLength": column.max_length}
    sort = {"integer": "integer", "number": "number", "boolean": "boolean"}.get(kind, "string")
    if kind == "json":
        return {"description": worded("any JSON value")}
    if isinstance(column, models.ForeignKey):
        told["description"] = worded("id of a row of {file_name}", file_name=_file_name(_target(column)))
    return {"type": [sort, "null"] if column.null else sort, **told}


def _target(column: Column) -> type[models.Model]:
    target = column.related_model
    assert isinstance(target, type)  # the records name no model by a word
    return target


def target_of(column: Column) -> type[models.Model] | None:
    """Return the table that a column points into, None where it points nowhere."""
    return _target(column) if isinstance(column, models.ForeignKey) else None


def _kind(column: Column) -> str:
    """The sort of a column's values; of one that points at a row, the sort of that row's id."""
    if isinstance(column, models.ForeignKey):
        return "integer"
    for sort, kind in _KINDS:
        if isinstance(column, sort):
            return kind
    raise TypeError(f"{column}: say in _open_files.py how such a column is written")


_KINDS: tuple[tuple[type[Column], str], ...] = (
    (models.JSONField, "json"),
    (models.BooleanField, "boolean"),
    (models.DateTimeField, "date-time"),
    (models.DateField, "date"),
    (models.DecimalField, "decimal"),
    (models.FloatField, "number"),
    (models.IntegerField, "integer"),
    (models.CharField, "string"),
    (models.TextField, "string"),
)


def as_value(column: Column, value: object) -> object:
    """Return a value as it stands in a line of JSON."""
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value) if isinstance(value, Decimal) else value


def as_cell(column: Column, value: object) -> str:
    """Return a value as it stands in a cell."""
    kind = _kind(column)
    if value is None and kind != "json":
        return ""
    if kind == "json":
        return "" if value is None and column.null else json.dumps(value, ensure_ascii=False, sort_keys=True)
    if kind == "boolean":
        return "true" if value else "false"
    if kind == "number":
        return repr(value)
    text = str(as_value(column, value))
    return f'{text}""' if kind == "string" and column.null and _ONLY_QUOTES.fullmatch(text) else text


def from_cell(column: Column, text: str) -> object:
    """Return the value that stands in a cell.

    Raises:
        ValueError: It can't stand there; the message says what can.
    """
    kind = _kind(column)
    if text == "" and column.null:
        return None
    if kind == "json":
        try:
            return json.loads(text)
        except ValueError:
            raise ValueError(worded("JSON is needed")) from None
    if kind == "string" and column.null and len(text) >= 2 and _ONLY_QUOTES.fullmatch(text):
        text = text[:-2]
    read: object = text
    if kind in ("integer", "number") and re.fullmatch(r"-?\d+" if kind == "integer" else r"[-+.\deE]+", text):
        read = int(text) if kind == "integer" else _float(text)
    if kind == "boolean":
        read = {"true": True, "false": False}.get(text, text)
    return from_value(column, read)


def _float(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def from_value(column: Column, value: object) -> object:
    """Return a value that stood in a line of JSON, as the records take it.

    Raises:
        ValueError: It can't stand there; the message says what can.
    """
    kind = _kind(column)
    if kind == "json":
        return value
    if value is None:
        if column.null:
            return None
        raise ValueError(worded("something is needed here"))
    read = _READ[kind](value)
    if kind == "string" and column.max_length and len(str(read)) > column.max_length:
        raise ValueError(worded("{max_length} characters are allowed", max_length=column.max_length))
    return read


def _whole(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) >= 2**63:
        raise ValueError(worded("a whole number is needed"))
    return value


def _number(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise ValueError(worded("a number is needed"))
    return float(value)


def _truth(value: object) -> object:
    if not isinstance(value, bool):
        raise ValueError(worded("true or false is needed"))
    return value


def _text(value: object) -> object:
    if not isinstance(value, str) or "\x00" in value:
        raise ValueError(worded("text is needed"))
    return value


def _amount(value: object) -> object:
    try:
        read = Decimal(str(value))
    except InvalidOperation:
        read = Decimal("NaN")
    if not read.is_finite():
        raise ValueError(worded("an amount such as 12.50 is needed"))
    return read


def _day(value: object) -> object:
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        raise ValueError(worded("a day such as 2026-11-28 is needed")) from None


def _moment(value: object) -> object:
    try:
        read = datetime.fromisoformat(str(value))
    except ValueError:
        read = datetime.min
    if read.tzinfo is None:
        raise ValueError(worded("a time with its offset is needed, such as 2026-11-28T09:00:00+00:00"))
    return read


_READ = {
    "integer": _whole,
    "number": _number,
    "boolean": _truth,
    "string": _text,
    "decimal": _amount,
    "date": _day,
    "date-time": _moment,
}
