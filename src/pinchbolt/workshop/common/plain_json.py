"""Results as plain JSON values, the same for every door and for what is kept with an event."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from math import isfinite
from typing import Any


def as_json(value: object) -> Any:
    """Return *value* as JSON values: dataclasses as objects, money and days as text, an infinite end as null."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: as_json(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(name): as_json(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [as_json(inner) for inner in value]
    return value
