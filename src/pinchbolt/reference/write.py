"""Rows of the workshop's own as the text of a TOML file, and the raw rows of such a file."""

import json
import tomllib
from collections.abc import Mapping, Sequence
from decimal import Decimal

from pinchbolt.reference.files import FILE_OF, KINDS
from pinchbolt.reference.read import Raw, key_of


def with_row(text: bytes, table: str, key: Sequence[object], fields: Mapping[str, object]) -> str:
    """Return a file of own rows with one row said anew.

    Args:
        text: The file as it is; empty where there is none. [-]
        table: The row's table, such as "limit". [-]
        key: The row's key fields, in their order. [-]
        fields: What the row says besides its key; none takes the row away. [-]

    Returns:
        The whole file. [-]

    Raises:
        tomllib.TOMLDecodeError: The text is no TOML.
    """
    content: Raw = tomllib.loads(text.decode("utf-8"))
    kind, rows = KINDS[table], list(_rows(content, table))
    place = next((n for n, raw in enumerate(rows) if key_of(kind, raw) == tuple(key)), len(rows))
    row = dict(zip(kind.key, key, strict=True)) | dict(fields)
    rows[place : place + 1] = [row] if fields else []
    content[table] = rows
    return as_toml_rows(content)


def own_row(text: bytes, table: str, key: Sequence[object]) -> Mapping[str, object]:
    """Return what a file of own rows says of a row besides its key; empty where it has none.

    Args:
        text: The file. [-]
        table: The row's table. [-]
        key: The row's key fields. [-]

    Returns:
        Field and value. [-]
    """
    kind = KINDS[table]
    for raw in _rows(tomllib.loads(text.decode("utf-8")), table):
        if key_of(kind, raw) == tuple(key):
            return {name: value for name, value in raw.items() if name not in kind.key}
    return {}


def file_of(table: str) -> str:
    """Return the name of the file that holds a table.

    Args:
        table: Such as "limit". [-]

    Returns:
        Such as "limits.toml". [-]
    """
    return FILE_OF[table]


def as_toml_rows(content: Raw) -> str:
    """Return raw tables as TOML: heads first, then one block a row.

    Args:
        content: Heads, and lists of rows by table. [-]

    Returns:
        The text of a file. [-]
    """
    heads = [f"{name} = {_value(value)}" for name, value in content.items() if not _is_table(value)]
    blocks = []
    for table, rows in content.items():
        if _is_table(rows):
            for raw in _rows(content, table):
                lines = "\n".join(f"{_key(name)} = {_value(value)}" for name, value in raw.items())
                blocks.append(f"[[{table}]]\n{lines}")
    return "\n\n".join([*(["\n".join(heads)] if heads else []), *blocks]) + "\n"


def _is_table(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(one, dict) for one in value)


def _rows(content: Raw, table: str) -> list[Raw]:
    rows = content.get(table, [])
    return [raw for raw in rows if isinstance(raw, dict)] if isinstance(rows, list) else []


def _key(name: str) -> str:
    return name if name.isascii() and name.replace("-", "").replace("_", "").isalnum() else _text(name)


def _text(value: str) -> str:
    # A TOML string is written as a JSON one, save for the one control sign that JSON lets stand.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, Decimal):
        return _text(f"{value:.2f}")
    if isinstance(value, list | tuple):
        return f"[{', '.join(_value(one) for one in value)}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{_key(str(name))} = {_value(one)}' for name, one in value.items())} }}"
    return repr(value)
