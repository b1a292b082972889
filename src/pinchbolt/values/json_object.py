"""A JSON object, for every room that reads or writes one."""

import json
from collections.abc import Callable, Mapping
from typing import Any

from pinchbolt.values.wording import worded

# What stands under a key is said by whoever makes it, and no static type says it shorter.
Json = dict[str, Any]
JsonRead = Mapping[str, Any]


class RepeatedKey(ValueError):
    """One object says two things under one name, such as two markings of one stem: which of them counts is not said."""

    def __init__(self, key: str, sentence: str) -> None:
        super().__init__(sentence)
        self.key = key
        self.sentence = sentence


def read_json(text: str | bytes, parse_constant: Callable[[str], object] | None = None) -> Any:
    """Return what a JSON text says.

    Raises:
        RepeatedKey: A name stands twice in one object: Python's own reader takes the last one in silence.
        ValueError: No sound JSON.
    """
    return json.loads(text, object_pairs_hook=_once, parse_constant=parse_constant)


def _once(pairs: list[tuple[str, object]]) -> Json:
    found = dict(pairs)
    if len(found) < len(pairs):
        key = next(name for at, (name, _) in enumerate(pairs) if name in dict(pairs[:at]))
        said = worded(" and ").join(_short(value) for name, value in pairs if name == key)
        short = key[:40]
        raise RepeatedKey(
            short,
            worded(
                '"{short}" stands more than once, with {said}: which of them counts is not said. '
                "Write each name once.",
                short=short,
                said=said,
            ),
        )
    return found


def _short(value: object) -> str:
    words = json.dumps(value, ensure_ascii=False)
    return words if len(words) <= 30 else f"{words[:29]}…"
