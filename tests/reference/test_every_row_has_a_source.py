"""No row of any table is without a source and a word on how sure it is; the check that says so can fail."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from pinchbolt.errors import InputRefused
from pinchbolt.reference import Tables, load
from pinchbolt.reference.files import FILE_OF, INTERFACES
from pinchbolt.reference.rows.base import Row
from pinchbolt.reference.tables_type import ATTRIBUTES

Shop = Callable[..., Path]
TABLES = [*ATTRIBUTES.items(), *((name, name) for name in INTERFACES)]
# Words that stand for a source where there is none to name.
ADMITTED = ("common practice, no source", "from memory", "computed", "invented")


def first_row(trade: Tables, attribute: str) -> Row:
    """The first row of a table."""
    rows = trade.interfaces[attribute] if attribute in INTERFACES else getattr(trade, attribute).values()
    return next(iter(rows))


def test_every_row_says_where_it_comes_from_and_how_sure_that_is(trade: Tables) -> None:
    """A phrase that admits it, or a name with a figure, a word or an address in it: never a shrug."""
    rows = list(trade.all_rows())
    assert len(rows) > 1500
    for row in rows:
        assert row.certain in ("high", "medium", "low"), row.named
        admits = any(words in row.source for words in ADMITTED)
        assert admits or len(row.source) > 7, f"{type(row).__name__} {row.named}: {row.source}"


@pytest.mark.parametrize(("field", "text"), [("source", ""), ("source", "  "), ("certain", "perhaps")])
def test_a_row_without_a_source_stops_the_start(trade: Tables, shop: Shop, field: str, text: str) -> None:
    """One row of every table at once: each is named, by its file and field."""
    files: dict[str, str] = {}
    for attribute, table in TABLES:
        row = first_row(trade, attribute)
        key = "".join(f"{name.rstrip('_')} = {_toml(getattr(row, name))}\n" for name in row.key)
        file = FILE_OF[table].removesuffix(".toml").replace("-", "_")
        files[file] = files.get(file, "") + f'[[{table}]]\n{key}{field} = "{text}"\n'
    with pytest.raises(InputRefused) as refused:
        load(shop(**files))
    told = " ".join(refused.value.errors.values())
    assert told.count(f'field "{field}" is ') == len(TABLES)


def _toml(value: object) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(_toml(one) for one in value) + "]"
    return json.dumps(value) if not isinstance(value, float) else repr(value)
