"""A JSON object, for every room that reads or writes one."""

from collections.abc import Mapping
from typing import Any

# What stands under a key is said by whoever makes it, and no static type says it shorter.
Json = dict[str, Any]
JsonRead = Mapping[str, Any]
