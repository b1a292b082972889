"""Plain value types that every room may use. Imports nothing of ours."""

from pinchbolt.values.json_object import Json, JsonRead, RepeatedKey, read_json
from pinchbolt.values.plain import DaySpread, Interval, Reason, Spread, Verdict

__all__ = [
    "DaySpread",
    "Interval",
    "Json",
    "JsonRead",
    "Reason",
    "RepeatedKey",
    "Spread",
    "Verdict",
    "read_json",
]
